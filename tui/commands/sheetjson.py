"""All that the report says of a project, as plain keys: ``report --json``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from model.checks.cautions import cautions_for
from model.checks.problems import problems_of
from model.checks.stage import stage_of, steps_of
from model.fields import Build, ParsedBuild, fields_of, show
from model.prediction.result import Gap, Prediction
from model.record import Entry, Mark, Project, Reading
from tui.commands.asjson import gap_json, prediction_json
from tui.commands.common import build_of, problem_json
from tui.commands.shown import known_json, shown_json
from tui.text.sanitise import sanitise

if TYPE_CHECKING:
    from model.knowledge.result import Knowledge


def sheet_json(
    project: Project, mark: Mark, prediction: Prediction, known: Knowledge, gaps: tuple[Gap, ...], today: str
) -> dict[str, Any]:
    """Return the sheet of a mark as plain keys; texts as typed, numbers as in ``predict`` and ``gap``."""
    parsed = build_of(mark)
    readings = project.readings_of(mark.number)
    kinds = {reading.kind for _, reading in readings}
    return {
        "project": sanitise(project.name),
        "about": sanitise(project.about),
        "mark": mark.number,
        "marks": list(project.marks),
        "reason": sanitise(mark.reason),
        "day": today,
        "stage": _stage(project),
        "build": [_field(name, text, parsed) for name, text in mark.build.items() if text.strip()],
        "prediction": prediction_json(prediction),
        "shown": shown_json(known),
        **known_json(known),
        "gaps": [gap_json(gap) for gap in gaps],
        "readings": [_reading(entry, reading) for entry, reading in readings],
        "diary": [_entry(entry) for entry in project.entries.values()],
        "flagged": [problem_json(problem) for problem in problems_of(project)],
        "cautions": [{"id": c.id, "title": c.title, "text": c.text} for c in cautions_for(parsed.build, kinds)],
    }


def _stage(project: Project) -> dict[str, Any]:
    stage = stage_of(project)
    return {
        "best": stage.best.key if stage.best else None,
        "latest": stage.latest.key if stage.latest else None,
        "steps": [{"day": sanitise(step.day), "seen": step.seen.key} for step in steps_of(project)],
    }


def _field(name: str, text: str, parsed: ParsedBuild) -> dict[str, Any]:
    """Return a field as typed, and as it is read in the field's own unit; null where it is flagged or not known."""
    field = fields_of(Build).get(name)
    value = getattr(parsed.build, name) if field is not None else None
    return {
        "field": sanitise(name),
        "label": sanitise(field.label) if field else None,
        "text": sanitise(text),
        "read": sanitise(show(value, field)) if field and value is not None else None,
    }


def _reading(entry: Entry, reading: Reading) -> dict[str, Any]:
    return {
        "reading": sanitise(f"{entry.key}.{reading.key}"),
        "day": sanitise(entry.day),
        "kind": sanitise(reading.kind),
        "fields": {sanitise(name): sanitise(text) for name, text in reading.texts.items() if text.strip()},
    }


def _entry(entry: Entry) -> dict[str, Any]:
    return {
        "entry": sanitise(entry.key),
        "day": sanitise(entry.day),
        "mark": entry.mark,
        "text": sanitise(entry.text, lines=True),
        "ticks": [sanitise(tick) for tick in entry.ticks],
        "changed": sanitise(entry.changed),
        "next_idea": sanitise(entry.next_idea),
    }
