"""The spoken language: one tree, built from the files in `grammar/`, read in every direction."""
