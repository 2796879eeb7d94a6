"""Deciding: events in, actions out. No clock, no sound, no files."""
