"""A practitioner's voice: learnt from phrases that are read out, and kept beside the records."""
