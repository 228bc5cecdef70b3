"""What a prediction means for a mark: its outlook, the gap to what was measured, run time, and why it does not run."""
