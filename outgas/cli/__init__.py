"""The command line: one thin command per verb."""
