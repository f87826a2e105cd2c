"""The window between deepest and shallowest: outgas.advise."""
