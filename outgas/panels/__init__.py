"""What a shop's own panels teach: a log of them, and the Experience made of it."""
