"""``quarterturn FOLDER --text`` and ``list FOLDER``: the prototypes line by line, for a screen reader or a pipe."""

from __future__ import annotations

import argparse
from dataclasses import dataclass
from pathlib import Path

from model.checks.problems import problems_of
from model.checks.stage import stage_of
from model.errors import ModelError, Problem
from model.fields import Build, fields_of
from model.prediction.result import Gap, Prediction, Verdict
from model.store import Item, open_notebook
from tui.commands.asjson import figure_json
from tui.commands.common import json_argument, problem_json, show, show_json
from tui.commands.folders import demo_notebook, notebook_folder, own_notebook, tell_empty
from tui.commands.progress import doing
from tui.text.figures import best_measured, figure_text, value_text
from tui.text.sanitise import sanitise
from tui.text.verdicts import verdict_text


@dataclass(frozen=True, slots=True, kw_only=True)
class Computed:
    """What the list says of a prototype beyond what stands in its file."""

    prediction: Prediction | None = None
    best: Gap | None = None
    """The reading with the most power of the latest mark."""
    failure: str = ""
    """Why there is no prediction."""


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument(
        "folder", metavar="FOLDER", nargs="?", type=Path, help="the folder of the notebook; without it your own"
    )
    json_argument(parser, "one object with every prototype")


def run(options: argparse.Namespace) -> int:
    """Print every prototype as it comes, and where to read on."""
    demo = getattr(options, "demo", False)
    folder = notebook_folder(options.folder) if options.folder else demo_notebook() if demo else own_notebook()
    if not (options.folder or demo):
        tell_empty(folder)
    items = open_notebook(folder).items
    if options.json:
        show_json({"folder": sanitise(folder), "prototypes": [_item_json(item, _computed(item)) for item in items]})
        return 0
    show(f"{len(items)} prototype{'' if len(items) == 1 else 's'} in {folder}")
    for item in items:
        show("\n".join(item_lines(item, _computed(item))))
    if items:
        show("\nAll of one prototype: quarterturn report FILE")
    return 0


def item_lines(item: Item, computed: Computed) -> list[str]:
    """Return what the list says of one project file: each line a sentence that stands by itself."""
    if item.stored is None:
        return ["", f"{item.path.name}: cannot be read. {item.error}"]
    project = item.stored.project
    mark = project.latest
    layouts = {choice.key: choice.label for choice in fields_of(Build)["layout"].choices}
    layout = layouts.get(mark.build.get("layout", ""), "layout not said")
    seen = stage_of(project)
    stage = seen.latest.label if seen.latest and seen.latest_mark == mark.number else seen.latest_text
    lines = ["", f"{project.name}: {layout}, Mk {mark.number}, {stage or 'no stage yet'}."]
    lines += [f"  {line}" for line in _figures(computed)]
    if project.entries:
        lines.append(f"  Last entry of the diary: {list(project.entries.values())[-1].day}.")
    problems = _problems(item)
    if problems:
        more = f" And {len(problems) - 1} more." if len(problems) > 1 else ""
        lines.append(f"  Flagged: {problems[0]}{more}")
    return [*lines, f"  File: {item.path.name}"]


def _problems(item: Item) -> tuple[Problem, ...]:
    return () if item.stored is None else (*item.stored.problems, *problems_of(item.stored.project))


def _computed(item: Item) -> Computed:
    if item.stored is None:
        return Computed()
    project = item.stored.project
    number = project.latest.number
    with doing(f"Predicting {sanitise(project.name)}, Mk {number}"):
        from model.explain.gap import gaps
        from model.explain.outlook import outlook

        try:
            prediction = outlook(project, mark=number)
            return Computed(prediction=prediction, best=best_measured(gaps(project, mark=number, samples=0)))
        except ModelError as error:
            return Computed(failure=str(error))


def _figures(computed: Computed) -> list[str]:
    if computed.prediction is None:
        return [f"No prediction: {computed.failure}"]
    best = computed.best
    measured = f"Best measured: {value_text(best.measured)}." if best else "No power measured on this mark."
    return [_predicted(computed.prediction), measured]


def _predicted(prediction: Prediction) -> str:
    if prediction.verdict is Verdict.NO_PREDICTION:
        return f"No prediction: {prediction.reason}"
    power = prediction.figures.get("shaft_power")
    verdict = f"{verdict_text(prediction)}."
    if prediction.verdict is Verdict.DOES_NOT_RUN or power is None or power.value is None:
        return verdict
    return f"{verdict} {power.label} {figure_text(power)}."


def _item_json(item: Item, computed: Computed) -> dict[str, object]:
    """Return what the list says of one project file as plain keys and numbers; null where it does not say it."""
    stored, prediction = item.stored, computed.prediction
    project = stored.project if stored else None
    stage = stage_of(project).latest if project else None
    power = prediction.figures.get("shaft_power") if prediction else None
    runs = prediction is not None and prediction.verdict is not Verdict.DOES_NOT_RUN
    return {
        "file": sanitise(item.path),
        "error": sanitise(item.error or computed.failure),
        "project": sanitise(project.name) if project else None,
        "mark": project.latest.number if project else None,
        "layout": sanitise(project.latest.build.get("layout", "")) if project else None,
        "stage": stage.key if stage else None,
        "verdict": str(prediction.verdict) if prediction else None,
        "run_probability": prediction.run_probability if prediction else None,
        "shaft_power_W": figure_json(power, "W") if power and runs else None,
        "best_measured_W": figure_json(computed.best.measured, "W") if computed.best else None,
        "last_entry": sanitise(list(project.entries.values())[-1].day) if project and project.entries else None,
        "flagged": [problem_json(problem) for problem in _problems(item)],
    }
