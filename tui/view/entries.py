"""Diary entries as text: a row of the list, what stands below it, the rows of an entry's form. Pure.

The form's rows have names of their own: `DAY`, `MARK`, `CHANGED`, `NEXT`, and one for each observation.
"""

from __future__ import annotations

from dataclasses import replace

from model.checks.plausibility import doubts_of_entry
from model.checks.stage import LABELS, SIGNS, TICKS, stage_of, steps_of
from model.checks.touched import TOUCHES
from model.errors import Problem
from model.fields import Field
from model.fields.field import Choice
from model.record import Entry, Project
from tui.state.diary_edits import clean_lines, with_mark_of_entry
from tui.view.form_rows import Content, FormRow
from tui.view.lines import Line, beside, cut, fitted, wrapped

DAY, MARK, CHANGED, NEXT, TICK = "day", "mark", "changed", "next_idea", "tick."
_NO, _YES = Choice(key="no", label="[ ]"), Choice(key="yes", label="[x]")
_LINES = (
    Field(
        name=CHANGED,
        label="Changed",
        help="What was changed on the engine. One thing at a time tells most.",
    ),
    Field(name=NEXT, label="Next", help="What to try the next evening."),
)
_DAY = Field(name=DAY, label="Day", help="Year, month, day: 2026-11-25.")
_MARK = Field(
    name=MARK, label="Mark", help="The mark at hand. Readings in this entry stay on the mark they were taken on."
)
NO_MARK = "none"
_RANK = {choice.key: rank for rank, choice in enumerate(TICKS)}


def furthest(entry: Entry) -> str:
    """Return the label of the furthest observation ticked in an entry; empty when there is none."""
    ranks = [_RANK[tick] for tick in entry.ticks if tick in _RANK]
    return TICKS[max(ranks)].label if ranks else ""


def stage_lines(project: Project, width: int) -> list[Line]:
    """Return how far the engine has come: latest and best; then how the stage moved over the diary, the end of it."""
    stage = stage_of(project)
    if stage.best is None:
        return wrapped("Stage: nothing ticked yet", width, role="head")
    text = f"Stage {stage.latest_text}"
    text += "" if stage.latest is stage.best else f"; best {stage.best_text}"
    lines = wrapped(text, width, role="head", rest="  ")
    steps = [str(_RANK[step.seen.key] + 1) for step in steps_of(project)]
    if len(steps) < 2:
        return lines
    step_text, of = "  over the diary: step ", f" of {len(TICKS)}"
    last_steps = steps[-max(2, (width - len(step_text) - len(of) - 4) // 2) :]
    more = "" if len(last_steps) == len(steps) else ".. "
    return [*lines, ((cut(step_text + more + " ".join(last_steps) + of, width), "aside"),)]


def row_lines(entry: Entry, width: int, *, here: bool, flagged: bool) -> list[Line]:
    """Return an entry in two lines: day, mark, stage; then the first line of its text."""
    mark = "" if entry.mark is None else f"Mk {entry.mark}"
    start: Line = (
        (">" if here else " ", "here"),
        ("!" if flagged else " ", "flag"),
        (fitted(entry.day or "no day", 11), "here" if here else ""),
        (fitted(mark, 6), ""),
    )
    return [
        (*start, (cut(furthest(entry), width - 19), "strong")),
        ((cut(f"    {first_line(entry)}", width), ""),),
    ]


def touch_ticks(entry: Entry) -> list[str]:
    """Return in words what was done to the engine since the mark before."""
    return [choice.label for choice in TOUCHES if choice.key in entry.ticks]


def seen_ticks(entry: Entry) -> list[str]:
    """Return in words what was seen; a tick that is not known as it is written."""
    touched = {choice.key for choice in TOUCHES}
    return [LABELS.get(tick, tick) for tick in entry.ticks if tick not in touched]


def first_line(entry: Entry) -> str:
    """Return the first line of an entry that says something."""
    lines = clean_lines(entry.text).splitlines()
    first_text = next((line.strip() for line in lines if line.strip()), "")
    if first_text:
        return first_text
    if touch_ticks(entry):
        return f"Mark begun: {', '.join(touch_ticks(entry))}"
    if entry.changed or entry.next_idea:
        return entry.changed or f"Next: {entry.next_idea}"
    count = len(entry.readings)
    return f"{count} reading{'' if count == 1 else 's'}" if count else "empty"


def below_lines(entry: Entry, problems: tuple[Problem, ...], width: int) -> list[Line]:
    """Return what else is in an entry: flags, text, ticks, change, next idea, readings."""
    lines: list[Line] = []
    for problem in problems[:1]:
        lines += wrapped(f"! {problem.message} {problem.remedy}", width, role="flag", rest="  ")
    for begin, ticks in (("Seen", seen_ticks(entry)), ("Done to it", touch_ticks(entry))):
        lines += wrapped(f"{begin}: {', '.join(ticks)}", width)[:2] if ticks else []
    if entry.changed:
        lines += wrapped(f"Changed: {entry.changed}", width, role="strong", rest="  ")[:2]
    if entry.next_idea:
        lines += wrapped(f"Next: {entry.next_idea}", width, rest="  ")[:2]
    count = len(entry.readings)
    if count:
        lines.append(((f"{count} reading{'' if count == 1 else 's'} (pane Results)", "aside"),))
    return lines


def entry_title(entry: Entry, width: int) -> Line:
    """Return what stands over an open entry's text."""
    mark = "" if entry.mark is None else f", Mk {entry.mark}"
    return beside(((cut(f"{entry.day or 'no day'}{mark}", width - 22), "head"),), ((furthest(entry), ""),), width)


def entry_content(entry: Entry, project: Project, problems: tuple[Problem, ...]) -> Content:
    """Return the rows of an entry's form; `problems` is what is flagged in the entry."""
    flags = {problem.where.rpartition(".")[2]: problem for problem in problems}
    rows = [FormRow(heading="Seen (Space ticks)")]
    doubts = {tick: clash.problem for clash in doubts_of_entry(entry) for tick in clash.names}
    for choice in TICKS:
        rows.append(replace(_tick_row(choice, entry), doubt=doubts.get(choice.key)))
    rows.append(FormRow(heading="Then"))
    texts = {CHANGED: entry.changed, NEXT: entry.next_idea}
    rows += [FormRow(field=field, text=texts[field.name]) for field in _LINES]
    rows.append(FormRow(heading="Noticed as well"))
    rows += [_tick_row(choice, entry) for choice in SIGNS]
    rows.append(FormRow(heading="Done to it since the mark before"))
    rows += [_tick_row(choice, entry) for choice in TOUCHES]
    rows.append(FormRow(heading="When"))
    rows.append(FormRow(field=_DAY, text=entry.day, problem=flags.get(DAY)))
    mark = NO_MARK if entry.mark is None else str(entry.mark)
    rows.append(FormRow(field=_mark_field(project), text=mark, problem=flags.get(MARK)))
    return Content(rows=tuple(rows))


def _tick_row(choice: Choice, entry: Entry) -> FormRow:
    field = Field(name=TICK + choice.key, label=choice.label, help=f"{choice.help}.", choices=(_NO, _YES))
    return FormRow(field=field, text="yes" if choice.key in entry.ticks else "no")


def _mark_field(project: Project) -> Field:
    marks = tuple(Choice(key=str(number), label=f"Mk {number}", help=m.reason) for number, m in project.marks.items())
    return replace(_MARK, choices=(*marks, Choice(key=NO_MARK, label="no mark")))


def with_row(project: Project, entry: Entry, name: str, text: str) -> Project:
    """Return a project whose entry has another text in a row of its form."""
    if name.startswith(TICK):
        key = name.removeprefix(TICK)
        ticks = tuple(tick for tick in entry.ticks if tick != key)
        if text == "yes":
            ticks = tuple(sorted((*ticks, key), key=lambda tick: _RANK.get(tick, len(_RANK))))
        return project.with_entry(replace(entry, ticks=ticks))
    if name == MARK:
        if text == NO_MARK or text in {str(number) for number in project.marks}:
            return with_mark_of_entry(project, entry, None if text == NO_MARK else int(text))
        return project
    if name == DAY:
        return project.with_entry(replace(entry, day=text))
    if name == CHANGED:
        return project.with_entry(replace(entry, changed=text))
    return project.with_entry(replace(entry, next_idea=text))


def problems_in(problems: tuple[Problem, ...], entry: Entry) -> tuple[Problem, ...]:
    """Return those problems of a project that are in an entry itself, not in its readings."""
    start = f"entry.{entry.key}."
    return tuple(p for p in problems if p.where.startswith(start) and p.where.count(".") == start.count("."))
