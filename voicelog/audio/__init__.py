"""Sound in and out: microphone, files, endpointing, clips."""
