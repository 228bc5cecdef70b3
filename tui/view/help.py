"""The keys, as lines: what `?` shows. Pure."""

from __future__ import annotations

from tui.view.keys import APP, LIST, PROJECT, TYPING, help_rows
from tui.view.lines import Line, wrapped
from tui.view.panes import ALL_PANES


def help_lines(width: int, *, project: bool, pane: str = "") -> list[Line]:
    """Return the keys of the list, or of an open prototype; those of the pane at hand come first."""
    with_keys = [each for each in ALL_PANES if each.keys]
    first = [(each.help_title, help_rows(each.keys)) for each in with_keys if each.key == pane]
    others = [(each.help_title, help_rows(each.keys)) for each in with_keys if each.key != pane]
    parts = [*first, ("In a prototype", help_rows((*PROJECT, *APP))), ("What a field takes", TYPING), *others]
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
    lines += wrapped("A `!` stands where something needs attention; the words are below the form.", width)
    return lines
