"""The one room that reaches into textual's private parts. Each is looked for before it is used.

A textual without one is asked for the same by its public side, which costs more.

`base` is the app below the notebook; `celldiff` sends only changed cells (off with ``QUARTERTURN_DIFF=0``); `decoder`
survives stray bytes; `writer` lets a stalled line hold up nothing. The rest uses textual's public side alone.
"""
