"""What an advice looks like: its window on a dial, against what moves it, and over time."""
