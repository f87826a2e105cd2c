"""Words and pictures."""
