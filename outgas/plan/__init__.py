"""The plan, minute by minute: outgas.schedule."""
