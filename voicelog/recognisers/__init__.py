"""Speech engines. Each file here is one engine; its name is the name on the command line."""
