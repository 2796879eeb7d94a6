"""How the practice wants it: what can be set, where that stands, and what it changes."""
