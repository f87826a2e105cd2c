"""What a logger wrote of a bag, held against what the resin stood."""
