"""How any answer is told: numbers, lines, dials."""
