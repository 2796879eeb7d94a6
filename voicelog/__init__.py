"""A voice-driven, hands-free recorder of movement trials."""

__version__ = "0.1.0"
