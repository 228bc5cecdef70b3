"""The list while only names are known: what is drawn before anything is read. Pure; loads nothing else."""

from __future__ import annotations

from tui.view.lines import Line, cut, fitted, wrapped


def name_width(width: int) -> int:
    """Return how many cells a name gets."""
    return max(16, width - 58)


def name_lines(name: str, width: int, *, here: bool) -> list[Line]:
    """Return the two lines of a prototype of which only the name is known yet."""
    marker = (">  " if here else "   ", "here")
    return [(marker, (f" {fitted(name, name_width(width) - 1)} ", "here" if here else "strong")), (("   ...", "dim"),)]


def head_line(folder: str, total: int, width: int, *, reading: bool) -> Line:
    """Return how many prototypes are where."""
    count = f"{total} prototype{'' if total == 1 else 's'}"
    more = ", reading" if reading and total else ""
    return (("Quarterturn", "name"), (f"   {count} in {cut(folder, width - 42)}{more}", "dim"))


def nothing_lines(width: int) -> list[Line]:
    """Return what stands in the place of an empty list."""
    return [
        (("Nothing here yet.", "strong"),),
        (),
        *wrapped("Press a to add a prototype: a name and one of three simple starts are enough.", width),
        *wrapped("Press e for copies of three invented examples, to look at and to change.", width),
    ]
