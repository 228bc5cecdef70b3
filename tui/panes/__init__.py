"""What fills the left of the open project, one pane at a time, and the panel beside it.

`pane.Pane` is what a pane must be; `build` has the three of the build; `results`, `diary` and `notrunning` the others.
To add one: its module here, its key and title in `tui.view.title.ALL_PANES`, the module in `_late_pane` and the key in
the CSS `layers` of `tui.screens.project`, its keys in `tui.view.keys`.
"""
