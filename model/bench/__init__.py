"""What was measured at the bench: readings in, quantities with uncertainty out. Opens no file."""
