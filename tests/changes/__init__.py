"""What to change next, held against hidden engines and published pairs."""
