"""Many heat runs stepped together as arrays, each with steps of its own."""
