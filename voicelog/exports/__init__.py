"""Ways to hand a visit over. Each file here is one format; its name is the name of the format."""
