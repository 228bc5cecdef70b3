"""The store's only callers on screen, on threads: saves, drafts, reading, watching, the bin."""
