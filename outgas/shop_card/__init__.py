"""The shop card: one page for a phone or the wall that answers for this shop, with its plan."""
