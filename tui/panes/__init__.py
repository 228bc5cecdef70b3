"""What fills the left of the open project, one pane at a time, and the panel beside it.

`pane.Pane` is what a pane must be; `build` has the three of the build; `results`, `diary` and `next` the others.
To add one: its class here, a row of `tui.view.panes.ALL_PANES`, and its keys in `tui.view.keys`.
"""
