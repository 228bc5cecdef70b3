"""The machine that the notebook runs on: its terminal, memory, signals, and where faults are written down."""
