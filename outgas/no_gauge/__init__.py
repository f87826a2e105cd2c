"""The bag pressure without a gauge: know it, set it, hold it."""
