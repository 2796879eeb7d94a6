"""The files that come with voicelog: where they lie, what is in them, and which line is wrong."""
