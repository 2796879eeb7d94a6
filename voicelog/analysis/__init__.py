"""What the numbers say: pure functions from records to results."""
