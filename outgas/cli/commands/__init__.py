"""One module for the commands that are told alike; each is thin, and loaded when it is named."""
