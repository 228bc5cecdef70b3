"""The model's only callers on screen, on threads: queues of numbered runs, and the model's functions they call."""
