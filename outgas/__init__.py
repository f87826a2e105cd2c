"""How much vacuum a resin will stand."""

__version__ = "0.1.0"
