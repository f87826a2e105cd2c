"""What the user describes: shop, layup, rig; plain frozen records."""
