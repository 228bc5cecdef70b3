"""What stands over a prototype's panes: its name, mark and layout, how safe the texts are, and the panes. Pure."""

from __future__ import annotations

from model.checks.plausibility import doubts_of_mark
from model.fields import Build, fields_of
from model.record import Mark
from tui.state.pending import pending_message
from tui.state.prototype import BAD, SaveState
from tui.state.session import Session, tried
from tui.view.lines import Line, beside, cut, wrapped
from tui.view.panes import ALL_PANES, ROOM, named_panes
from tui.view.recovered import offered_text
from tui.view.scratch import scratch_title

NARROW = 74
"""Columns below which the titles stand closer."""


def layout_label(mark: Mark) -> str:
    """Return the layout of a mark in words; ``?`` where it is not said."""
    key = mark.build.get("layout", "")
    return next((c.label for c in fields_of(Build)["layout"].choices if c.key == key), key or "?")


def title_line(session: Session, width: int) -> Line:
    """Return name, mark, layout, and whether it is saved."""
    prototype = session.prototype
    latest = prototype.project.latest.number
    mark = f"Mk {session.number}" + (f" of {latest}" if session.number != latest else "")
    mark = scratch_title(session.scratch, session.number) if session.scratch else mark
    save_state = (
        SaveState.TYPING
        if (prototype.pending or prototype.offered) and prototype.save_state is SaveState.SAVED
        else prototype.save_state
    )
    state_span = (save_state.value, "flag" if prototype.save_state in BAD | {SaveState.READ_ONLY} else "aside")
    layout = cut(layout_label(session.mark), 18)
    left: Line = (
        (cut(prototype.project.name, max(12, width - 52)), "name"),
        (f"   {mark}", "strong"),
        (f"   {layout}", ""),
    )
    return beside(left, (state_span,), width)


def panes_line(session: Session, number: int, width: int) -> Line:
    """Return the titles of the panes; the one shown stands in brackets, ``!`` where a field is flagged.

    On a narrow screen they stand closer, and the longest is shortened.
    """
    narrow = width < NARROW
    fields = fields_of(Build)
    doubted = {clash.names[0] for clash in doubts_of_mark(tried(session), session.number)}
    flagged = {fields[name].pane for name in {*session.parsed.problems, *doubted}}
    line: list[tuple[str, str]] = []
    narrow = narrow or (width < ROOM and not ALL_PANES[number].turned)
    named = [(index, ALL_PANES[index]) for index in named_panes(number, width)]
    if width < NARROW:
        named.sort(key=lambda each: each[0] != number or each[1].turned)  # so that the one shown is not cut
    for index, pane in named:
        sign = "!" if pane.key in flagged else ""
        title = pane.title.split(" ")[0] if narrow and pane.key == "heat" else pane.title
        here = index == number
        line.append((f"[{title}{sign}]" if here else f" {title}{sign} ", "on" if here else ""))
        line += [] if narrow else [(" ", "")]
    return tuple(line)


def message_lines(session: Session, width: int) -> list[Line]:
    """Return what has to be known about saving and reading: at most four lines."""
    prototype = session.prototype
    sentences = (
        offered_text(prototype.offered),
        pending_message(prototype.project, prototype.pending),
        prototype.message or prototype.notice,
    )
    lines = [
        line for sentence in sentences if sentence for line in wrapped(f"! {sentence}", width, role="flag", rest="  ")
    ]
    lines += wrapped(prototype.done, width, role="strong")[:2] if prototype.done else []
    return lines[: 4 if prototype.offered else 3]
