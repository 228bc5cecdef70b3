"""What fills the left of the open project, one leaf at a time, and the panel beside it.

`pane.Pane` is what a leaf must be; `build` has the three leaves of the build; `results` and `diary` the other two.
"""
