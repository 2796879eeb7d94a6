"""Where records are kept."""
