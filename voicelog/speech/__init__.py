"""Read-back and tones."""
