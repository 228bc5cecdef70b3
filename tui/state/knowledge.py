"""What the open prototype has shown: what was asked, what came back, whether it is of what stands there now. No widget.

It is worked out anew from all readings and ticks of the mark and of those before it whenever one of them changes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from model.record import Entry, Project
from tui.runs.runner import Runner
from tui.state.asked import ask, is_asked
from tui.state.prototype import Asked, Prototype, parsed_build
from tui.state.session import Session

if TYPE_CHECKING:
    from model.knowledge.result import Knowledge


def ask_knowledge(session: Session, runner: Runner) -> None:
    """Ask what the mark at hand has shown, unless that is asked, nothing was found, or a field is open or flagged."""
    prototype = session.prototype
    if parsed_build(session.own).problems or prototype.visit is not None:
        return
    wanted = about(session.shown, session.number)  # a scratch copy has shown nothing
    if is_asked(prototype.knowledge, wanted, runner.knowledge.awaits):
        return
    if shows_anything(session.shown, session.number):
        ask(session, runner.knowledge, prototype.knowledge, wanted)
    else:
        prototype.knowledge = Asked(wanted=wanted)
        runner.knowledge.give_up()


def shows_anything(project: Project, number: int) -> bool:
    """Whether anything was found on a mark or on one before it: a reading, or a tick."""
    return any(
        entry.ticks or entry.readings
        for entry in project.entries.values()
        if entry.mark is None or entry.mark <= number
    )


@dataclass(frozen=True, slots=True, eq=False)
class About:
    """What is learnt of a mark depends on; compared at every key, so what is the very same is not looked into."""

    project: Project
    number: int

    def __eq__(self, other: object) -> bool:
        """Whether the same would be learnt: builds up to the mark, and what was found, whatever else was written."""
        if not isinstance(other, About) or self.number != other.number:
            return False
        mine, theirs = self.project, other.project
        return mine is theirs or (self._builds() == other._builds() and _alike(mine, theirs))

    __hash__ = None  # type: ignore[assignment]

    def _builds(self) -> list[tuple[int, Mapping[str, str]]]:
        return [(n, mark.build) for n, mark in self.project.marks.items() if n <= self.number]


def _alike(mine: Project, theirs: Project) -> bool:
    if mine.entries is theirs.entries:
        return True
    found = [
        [entry for entry in project.entries.values() if entry.readings or entry.ticks] for project in (mine, theirs)
    ]
    if len(found[0]) != len(found[1]):
        return False
    return all(a is b or _found_in(a) == _found_in(b) for a, b in zip(*found, strict=True))


def _found_in(entry: Entry) -> tuple[object, ...]:
    return entry.key, entry.day, entry.mark, entry.ticks, entry.readings


def about(project: Project, number: int) -> About:
    """Return what is learnt of a mark depends on."""
    return About(project, number)


def known_of(prototype: Prototype) -> Knowledge | None:
    """Return what the latest mark of a prototype has shown, where that was worked out and nothing changed since."""
    return _learnt(prototype.knowledge, about(prototype.project, prototype.project.latest.number))


def knowledge_of(session: Session) -> Knowledge | None:
    """Return what the mark at hand has shown; None where it is of something else, or nothing took part."""
    return _learnt(session.prototype.knowledge, about(session.shown, session.number))


def _learnt(state: Asked[Knowledge], wanted: About) -> Knowledge | None:
    known = state.answer
    return known if known is not None and known.learned and state.of == wanted else None
