"""Keeping the records safe: locked up, opened again, backed up and put back."""
