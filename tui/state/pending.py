"""Texts that were typed into a mark and are not written to it yet: shown over its own, kept in the draft alone.

They wait for an answer (a correction, or a change), or were brought back after the program was ended while a field was
open. Knows neither controller nor persistence.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from model.fields import Build, fields_of
from model.record import Mark, Project
from tui.text.labels import full_label


@dataclass(frozen=True, slots=True, kw_only=True)
class Pending:
    """Texts of one mark that stand on the screen alone."""

    number: int
    """The mark they were typed into."""
    texts: Mapping[str, str]
    """Field name -> text; an empty one takes the field's text away."""
    left: bool = False
    """Whether the field was left without an answer: then it is told on every pane, and Enter asks."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Offered:
    """What was brought back beside texts of the build: readings, diary texts, marks."""

    base: Project
    """The project without it."""
    project: Project
    """The project with it."""


def address(number: int, name: str) -> str:
    """Return where a text stands among the open texts of a draft."""
    return f"mark.{number}.build.{name}"


def laid_over(mark: Mark, pending: Pending | None) -> Mark:
    """Return a mark as it is shown: with the texts that were typed into it."""
    if pending is None or pending.number != mark.number:
        return mark
    build = {name: text for name, text in {**mark.build, **pending.texts}.items() if text}
    return replace(mark, build=build)


def with_text(pending: Pending | None, mark: Mark, name: str, text: str) -> Pending | None:
    """Return what is pending when a text of a mark was typed; one that says what the mark says is not."""
    texts = dict(pending.texts) if pending and pending.number == mark.number else {}
    if text == mark.build.get(name, ""):
        texts.pop(name, None)
    else:
        texts[name] = text
    return Pending(number=mark.number, texts=texts) if texts else None


def without_text(pending: Pending | None, number: int, name: str) -> Pending | None:
    """Return what is pending beside one field."""
    if pending is None or pending.number != number:
        return pending
    texts = {key: text for key, text in pending.texts.items() if key != name}
    return replace(pending, texts=texts) if texts else None


def held_texts(pending: Pending | None) -> dict[str, str]:
    """Return the open texts for the draft, by address; an emptied field is held as ``?``."""
    return {address(pending.number, name): text or "?" for name, text in pending.texts.items()} if pending else {}


def from_held(held_texts_by_name: Mapping[str, str], project: Project) -> Pending | None:
    """Return what a draft holds for the latest mark that it has texts for."""
    for number in sorted(project.marks, reverse=True):
        build = project.marks[number].build
        texts = {
            name: held_texts_by_name[address(number, name)]
            for name in fields_of(Build)
            if address(number, name) in held_texts_by_name
        }
        texts = {name: text for name, text in texts.items() if text != build.get(name, "")}
        if texts:
            return Pending(number=number, texts=texts, left=True)
    return None


def apart(project: Project, recovered: Project) -> tuple[Project, Pending | None]:
    """Return what was brought back without the build texts of its latest changed mark, and those texts."""
    for number in sorted(set(project.marks) & set(recovered.marks), reverse=True):
        old, new = project.marks[number].build, recovered.marks[number].build
        texts = {name: new.get(name, "") for name in {**old, **new} if old.get(name, "") != new.get(name, "")}
        if texts:
            rest = recovered.with_mark(replace(recovered.marks[number], build=old))
            return rest, Pending(number=number, texts=texts, left=True)
    return recovered, None


def pending_text(project: Project, pending: Pending | None) -> str:
    """Return in words what is pending: ``Piston bore: 12 mm -> 14 mm``."""
    if pending is None:
        return ""
    mark = project.marks.get(pending.number)
    before = mark.build if mark else {}
    changes = (f"{full_label(n)}: {before.get(n) or '?'} -> {text or '?'}" for n, text in pending.texts.items())
    return "; ".join(changes)


def pending_message(project: Project, pending: Pending | None) -> str:
    """Return what is said on every pane of texts whose field was left without an answer."""
    if pending is None or not pending.left:
        return ""
    mark = f" (Mk {pending.number})" if len(project.marks) > 1 else ""
    what = pending_text(project, pending)
    return f"Brought back{mark}: {what} was typed, not saved. Enter keeps it, ctrl+z drops it."
