"""Why a laminate went milky, and what its bleed says."""
