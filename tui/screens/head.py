"""What stands over a prototype's leaves: its name, mark and layout, how safe the texts are, and the leaves. Pure."""

from __future__ import annotations

from model.fields import PANES, Build, fields_of
from model.record import Mark
from tui.lines import Line, beside, cut, wrapped
from tui.session import Kept, Session

LEAVES = (*PANES, ("results", "Results"), ("diary", "Diary"))
"""Key and title of every leaf, in order."""


def layout_label(mark: Mark) -> str:
    """Return the layout of a mark in words; ``?`` where it is not said."""
    key = mark.build.get("layout", "")
    return next((c.label for c in fields_of(Build)["layout"].choices if c.key == key), key or "?")


def title_line(session: Session, width: int) -> Line:
    """Return name, mark, layout, and whether it is saved."""
    at = session.at
    latest = at.project.latest.number
    mark = f"Mk {session.number}" + (f" of {latest}" if session.number != latest else "")
    kept = (at.kept.value, "flag" if at.kept in (Kept.FAILED, Kept.READ_ONLY) else "dim")
    layout = cut(layout_label(session.mark), 18)
    left: Line = (
        (cut(at.project.name, max(12, width - 52)), "name"),
        (f"   {mark}", "strong"),
        (f"   {layout}", ""),
    )
    return beside(left, (kept,), width)


def leaves_line(session: Session, leaf: int) -> Line:
    """Return the titles of the leaves; the one shown stands in brackets, ``!`` where a field is flagged."""
    fields = fields_of(Build)
    flagged = {fields[name].pane for name in session.parsed.problems}
    line: list[tuple[str, str]] = []
    for index, (key, title) in enumerate(LEAVES):
        sign = "!" if key in flagged else ""
        here = index == leaf
        line.append((f"[{title}{sign}]" if here else f" {title}{sign} ", "on" if here else ""))
        line.append((" ", ""))
    return tuple(line)


def message_lines(session: Session, width: int) -> list[Line]:
    """Return what has to be known about saving and reading: at most three lines."""
    at = session.at
    said = at.message or at.notice
    return wrapped(f"! {said}", width, role="flag", rest="  ")[:3] if said else []
