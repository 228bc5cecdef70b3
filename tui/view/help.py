"""The keys, as lines: what `?` shows. Pure."""

from __future__ import annotations

from tui.view.keys import DIARY, LIST, NOT_RUNNING, PROJECT, RESULTS, TYPING, help_rows
from tui.view.lines import Line, wrapped


def help_lines(width: int, *, project: bool, pane: str = "") -> list[Line]:
    """Return the keys of the list, or of an open prototype; those of the pane at hand come first."""
    panes = [
        ("results", "In Results", help_rows(RESULTS)),
        ("diary", "In the Diary", help_rows(DIARY)),
        ("notrunning", "In Not running", help_rows(NOT_RUNNING)),
    ]
    first = [(title, keys) for key, title, keys in panes if key == pane]
    others = [(title, keys) for key, title, keys in panes if key != pane]
    parts = [*first, ("In a prototype", help_rows(PROJECT)), ("What a field takes", TYPING), *others]
    parts = parts if project else [("In the list", help_rows(LIST)), *parts]
    lines: list[Line] = []
    for title, keys in parts:
        lines += [((title, "head"),)]
        for key, meaning in keys:
            name = f"  {key}".ljust(19)
            broken = wrapped(meaning, max(10, width - 20))
            lines.append(((name + " ", "key"), *broken[0]))
            lines += [((" " * 20, ""), *rest) for rest in broken[1:]]
        lines.append(())
    lines += wrapped("A `!` stands where something needs attention; the words are below the form.", width, role="dim")
    return lines
