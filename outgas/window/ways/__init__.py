"""What would help: ways out, what an input moved alone would do, and the press instead."""
