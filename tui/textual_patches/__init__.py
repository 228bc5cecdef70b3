"""The one package that reaches into textual's private parts. Each is looked for before it is used.

A textual without one is asked for the same by its public side, which costs more.

`base` is the app below the notebook; `keyboard` makes keys of what is typed, stray bytes too; `key_order` carries
them out one after the other; `faults` lets the program go on after a fault; `output_filter` looks at every line last;
`celldiff` sends only changed cells (off with ``QUARTERTURN_DIFF=0``); `writer` lets a stalled line hold up nothing.
The rest uses textual's public side alone.
"""
