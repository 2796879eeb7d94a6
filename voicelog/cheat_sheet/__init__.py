"""The cheat sheet: all that can be said, to print and hang where it can be seen."""
