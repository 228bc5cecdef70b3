"""The list of prototypes, also while only names are known. Pure; loads what it needs of those that are read, then."""

from __future__ import annotations

from tui.state.selection import Selection
from tui.view.lines import Line, cut, fitted, wrapped


def name_width(width: int) -> int:
    """Return how many cells a name gets."""
    return max(16, min(30, width - 58))


def name_lines(name: str, width: int, *, here: bool) -> list[Line]:
    """Return the two lines of a prototype of which only the name is known yet."""
    marker = (">  " if here else "   ", "here")
    return [
        (marker, (f" {fitted(name, name_width(width) - 1)} ", "here" if here else "strong")),
        (("   ...", "aside"),),
    ]


def head_line(folder: str, total: int, width: int, *, reading: bool) -> Line:
    """Return how many prototypes are where."""
    count = f"{total} prototype{'' if total == 1 else 's'}"
    more = ", reading" if reading and total else ""
    return (("Quarterturn", "name"), (f"   {count} in {cut(folder, width - 42)}{more}", "aside"))


def nothing_lines(width: int) -> list[Line]:
    """Return what stands in the place of an empty list."""
    return [
        (("Nothing here yet.", "strong"),),
        (),
        *wrapped("Press a to add a prototype: a name and one of three simple starts are enough.", width),
        *wrapped("Press e for copies of three invented examples, to look at and to change.", width),
    ]


def list_lines(selection: Selection, rows: int, width: int) -> list[Line]:
    """Return the prototypes in a window of so many rows; their names alone while nothing is read."""
    lines: list[Line] = []
    if selection.project_list is None:
        for index, name in enumerate(selection.names[selection.first : selection.first + rows], selection.first):
            lines += [*name_lines(name, width, here=index == selection.at), ()]
        return lines
    from tui.view.project_list import item_lines

    for index, prototype in enumerate(selection.in_sight(rows), selection.first):
        ticked = prototype.path in selection.ticked
        lines += [*item_lines(prototype, width, here=index == selection.at, ticked=ticked), ()]
    return lines


def lines_below(selection: Selection, status: str, width: int, *, most: int) -> list[Line]:
    """Return what the last key did, and what there is to say of the chosen prototype."""
    lines = wrapped(status, width)[:most] if status else []
    chosen = selection.chosen
    if chosen is None or chosen.unread:
        return lines
    from tui.view.project_list import chosen_lines, not_in_file

    # What is not in its file is told beside what a key did, which may sound as if it were.
    return [*lines, *chosen_lines(chosen, width)][:most] if not lines or not_in_file(chosen) else lines
