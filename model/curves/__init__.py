"""What is drawn as curves, as data: axes, series with intervals, measured points, arcs, marks; and their export.

`chart` says what a chart is, `curves` makes those of a mark, `ranges` and `ticks` say what of it is shown, `export`
writes one as SVG or CSV. Screens and commands draw the same data. Loading this package loads no numpy.
"""
