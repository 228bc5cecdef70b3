"""``quarterturn report FILE``: one plain sheet of a project, for sharing or for asking help."""

from __future__ import annotations

import argparse
import math
import re
from collections.abc import Iterator
from datetime import date
from typing import TYPE_CHECKING

from model.bench.kinds import kind_of
from model.bench.reading import ReadingValues
from model.checks.cautions import DEFER, cautions_for
from model.checks.problems import problems_of
from model.checks.stage import TICKS, stage_of, steps_of
from model.fields import PANES, Build, Parsed, applies, fields_of, is_unknown, of_source
from model.fields.field import Field
from model.prediction.result import Gap, Prediction, Why
from model.record import Mark, Project
from tui.commands.common import build_of, file_argument, json_argument, mark_of, open_file, show, show_json
from tui.commands.gap import gap_lines
from tui.commands.predict import prediction_lines
from tui.commands.progress import doing
from tui.commands.shown import shown_lines
from tui.commands.strip import timing_strip
from tui.text.sanitise import sanitise

if TYPE_CHECKING:
    from model.knowledge.result import Knowledge

WIDTH = 78
"""Columns of the sheet."""
_GRAMMAR = re.compile(
    r"\b(between|and|to|about|approx|circa|ca|around|round|circumference|plus|or|minus|give|take"
    r"|measured|drawn|guessed)\b|(?<=\d)[eE](?=[+-]?\d)|[Øø⌀∅]",
    re.IGNORECASE,
)
"""Words of a field's grammar that are not units."""
_EXPLAINED = ("shaft_power", "speed_at_best_power", "free_running_speed", "indicated_power", "hot_gas", "heat_in")


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    file_argument(parser)
    parser.add_argument("--mark", metavar="N", type=int, help="the mark to report; without it the latest")
    json_argument(parser, "one object with all that the sheet says")


def run(options: argparse.Namespace) -> int:
    """Print the sheet."""
    project = open_file(options.file).project
    mark = mark_of(project, options.mark, options.file)
    with doing(f"Weighing what Mk {mark.number} has shown"):
        from model.knowledge.learn import learn

        known = learn(project, mark.number)
    with doing(f"Predicting Mk {mark.number} and its readings"):
        from model.explain.gap import gaps
        from model.explain.outlook import whole_outlook

        prediction = whole_outlook(project, mark=mark.number)
        mark_gaps = gaps(project, mark=mark.number)
    with doing("Weighing what was found beside each visit"):
        from model.knowledge.expect import expected
        from model.knowledge.gaps import gaps_with

        mark_gaps = gaps_with(mark_gaps, expected(project, mark.number))
    today = date.today().isoformat()
    if options.json:
        from tui.commands.sheetjson import sheet_json

        show_json(sheet_json(project, mark, prediction, known, mark_gaps, today))
    else:
        show("\n".join(sheet_lines(project, mark, prediction, known, mark_gaps, today)))
    return 0


def sheet_lines(
    project: Project, mark: Mark, prediction: Prediction, known: Knowledge, gaps: tuple[Gap, ...], today: str
) -> list[str]:
    """Return the whole sheet as lines of text."""
    build = build_of(mark).build
    kinds = {reading.kind for _, reading in project.readings_of(mark.number)}
    sections = (
        _head(project, mark, build, today),
        _stage(project),
        _dimensions(mark, build),
        _timing(build),
        _section("Predicted", [*prediction_lines(prediction), *shown_lines(known)]),
        _section("Measured, with the gap from the prediction", [line for gap in gaps for line in gap_lines(gap)]),
        _section("Readings", list(_readings(project, mark))),
        _section("Diary", list(_diary(project))),
        _section("Flagged", [f"  {problem}" for problem in problems_of(project)]),
        _why(prediction),
        _cautions(build, kinds),
    )
    return [short for section in sections for line in section for short in _shortened(line)]


def _shortened(line: str) -> list[str]:
    """Break a line that is too long, with its own indent and two more from the second line on."""
    if len(line) <= WIDTH:
        return [line]
    indent = len(line) - len(line.lstrip())
    first, *rest = wrap(line, indent=indent)
    return [first, *wrap(" ".join(rest), indent=indent + 2)]


def _head(project: Project, mark: Mark, build: Build, today: str) -> list[str]:
    layout = next((c.label for c in fields_of(Build)["layout"].choices if c.key == build.layout), "layout not given")
    lines = [sanitise(project.name), "=" * min(WIDTH, max(3, len(sanitise(project.name))))]
    if project.about:
        lines += wrap(project.about)
    lines.append(f"Mk {mark.number} of {max(project.marks, default=1)}, {layout}. Sheet of {today}.")
    return [*lines, *wrap(f"This mark: {mark.reason}")] if mark.reason else lines


def _stage(project: Project) -> list[str]:
    stage = stage_of(project)
    if stage.best is None:
        return _section("Stage", ["  Nothing ticked yet."])
    moved = [f"    {sanitise(step.day) or 'no day':<10}  {step.seen.label}" for step in steps_of(project)]
    over_time = ["  over the diary:", *moved] if len(moved) > 1 else []
    seen = (("best", stage.best, stage.best_mark), ("latest", stage.latest, stage.latest_mark))
    lines = [f"  {name}: {tick.label}{f', on Mk {at}' if at else ''}" for name, tick, at in seen if tick is not None]
    return _section("Stage", [*lines, *over_time])


def _dimensions(mark: Mark, build: Build) -> list[str]:
    fields = fields_of(Build)
    names = [name for name, field in fields.items() if applies(field, build) and _says_something(mark, name)]
    width = max((len(fields[name].label) for name in names), default=0)
    lines: list[str] = []
    for pane, title in PANES:
        rows: list[str] = []
        group = ""
        for name in names:
            field = fields[name]
            if field.pane != pane:
                continue
            if field.group != group:
                group = field.group
                rows.append(f"  {group}")
            text = mark.build[name]
            rows.append(f"    {field.label:<{width}}  {_typed(field, text, getattr(build, name))}")
        lines += _section(f"{title}, as typed", rows)
    return lines


def _says_something(mark: Mark, name: str) -> bool:
    """Whether a field was filled in; ``?`` says that the value is not known."""
    return bool(mark.build.get(name, "").strip())


def _typed(field: Field, text: str, value: Parsed | None) -> str:
    """Return a text as typed, with the unit that was meant, or that it is not known or flagged."""
    if isinstance(value, str):
        return next((choice.label for choice in field.choices if choice.key == value), sanitise(value))
    if is_unknown(text):
        return f"{sanitise(text)}  (not known)"
    return f"{sanitise(text)}{_missing_unit(field, text)}" if value is not None else f"{sanitise(text)}  (flagged)"


def _timing(build: Build) -> list[str]:
    if build.layout not in ("gamma", "beta", "alpha") or build.phase is None:
        return []
    between = build.cylinder_angle.value if build.cylinder_angle is not None else 0.0
    ahead = math.degrees(build.phase.value + between)
    if build.layout == "alpha":
        strip = timing_strip(ahead, first="hot piston", second="cold piston", zero="the hot piston is fully out")
    else:
        away = "displacer (out: away from the hot end)"
        strip = timing_strip(ahead, first=away, second="power piston", zero="all the air is hot")
    return _section("Timing", strip)


def _readings(project: Project, mark: Mark) -> Iterator[str]:
    fields = fields_of(ReadingValues)
    for entry, reading in project.readings_of(mark.number):
        declared = kind_of(reading.kind)
        kind = declared.label if declared else reading.kind or "reading"
        source = reading.texts.get("heat_source", "") or mark.build.get("heat_source", "")
        parts = [
            f"{_label(fields.get(name), name, source)} {_text_with_unit(fields.get(name), text)}"
            for name, text in reading.texts.items()
            if name not in ("mark", "kind") and text.strip()
        ]
        yield from wrap(f"{sanitise(entry.day) or 'no day'}  {kind}: {'; '.join(parts)}", indent=2)


def _label(field: Field | None, name: str, source: str) -> str:
    return sanitise(name) if field is None else of_source(field, source).label.lower()


def _text_with_unit(field: Field | None, text: str) -> str:
    """Return the text of a reading's field: a word by its label, a number with the unit that was meant."""
    if field is not None and field.takes_words:
        return next((choice.label for choice in field.choices if choice.key == text.strip()), sanitise(text))
    return f"{sanitise(text)}{_missing_unit(field, text)}"


def _missing_unit(field: Field | None, text: str) -> str:
    """Return the unit that was meant where none is written."""
    if field is None or not field.unit or is_unknown(text):
        return ""
    bare = _GRAMMAR.sub(" ", text)
    return "" if any(char.isalpha() or char in '"″′%°' for char in bare) else f" {field.unit}"


def _diary(project: Project) -> Iterator[str]:
    ticked = {choice.key: choice.label for choice in TICKS}
    for entry in project.entries.values():
        mark = f", Mk {entry.mark}" if entry.mark is not None else ""
        yield f"  {sanitise(entry.day) or 'no day'}{mark}"
        for line in entry.text.strip().splitlines():
            yield from wrap(line, indent=4)
        for label, text in (
            ("seen", ", ".join(ticked.get(tick, tick) for tick in entry.ticks)),
            ("changed", entry.changed),
            ("next", entry.next_idea),
        ):
            if text.strip():
                yield from wrap(f"{label}: {text}", indent=4)


def _why(prediction: Prediction) -> list[str]:
    lines: list[str] = []
    for key in _EXPLAINED:
        figure = prediction.figures.get(key)
        if figure is not None and figure.why.formula:
            lines += [f"  {figure.label}", *_why_lines(figure.why)]
    if prediction.untried:
        lines.append("  Formulas beyond what their sources tried")
        lines += [line for note in prediction.untried for line in wrap(note, indent=4)]
    return _section("Why", lines)


def _why_lines(why: Why) -> list[str]:
    lines = wrap(why.formula, indent=4)
    if why.inputs:
        lines += wrap("; ".join(f"{label} {text}" for label, text in why.inputs), indent=4)
    if why.note:
        lines += wrap(why.note, indent=4)
    return [*lines, *wrap(f"source: {why.source}", indent=4)] if why.source else lines


def _cautions(build: Build, kinds: set[str]) -> list[str]:
    lines: list[str] = []
    for caution in cautions_for(build, kinds):
        lines += [f"  {caution.title}", *wrap(caution.body, indent=4)]
    return _section("Cautions", [*lines, f"  {DEFER}"])


def _section(title: str, lines: list[str]) -> list[str]:
    return ["", title, "-" * len(title), *lines] if lines else []


def wrap(text: str, *, indent: int = 0) -> list[str]:
    """Break a text into lines of the sheet's width at its spaces."""
    words = sanitise(text).split()
    lines: list[str] = []
    current = " " * indent
    for word in words:
        if len(current) + 1 + len(word) > WIDTH and current.strip():
            lines.append(current)
            current = " " * indent
        current += word if not current.strip() else f" {word}"
    return [*lines, current] if current.strip() else lines
