"""A client or the whole practice as one file, to hand on or to keep, and back again."""
