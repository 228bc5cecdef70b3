"""The model's only callers on screen, on threads: lanes, calls, doors; what is known of why it does not run."""
