"""The one room that reaches into textual's private parts, each guarded by version and by a switch.

`base` is the app below the notebook; `celldiff` sends only changed cells; `decoder` survives stray bytes. The rest uses
textual's public side alone.
"""
