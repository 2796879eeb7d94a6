"""Putting records right after the visit: what a correction is, for the desk and the terminal."""
