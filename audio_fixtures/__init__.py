"""Recorded test speech: what is said, by which voice, and what it means."""
