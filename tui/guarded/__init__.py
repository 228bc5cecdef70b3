"""The one room that reaches into textual's private parts, each guarded by version and by a switch.

`celldiff` sends only changed cells; `decoder` survives stray bytes. Everything else uses textual's public side alone.
"""
