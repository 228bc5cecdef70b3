"""What is said of a project beside its figures: problems, cautions, how far the engine has come."""
