"""The numbers: typed records, catalogue, curves, rates, experiments."""
