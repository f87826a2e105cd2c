"""The numbers: typed records, catalogue, rates, experiments."""
