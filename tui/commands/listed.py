"""``quarterturn FOLDER --text``: the list of prototypes line by line, for a screen reader, a phone or a pipe."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from model.checks.problems import problems_of
from model.checks.stage import stage_of
from model.errors import ModelError
from model.fields import Build, fields_of
from model.prediction.result import Gap, Prediction, Verdict
from model.record import Project
from model.store import Item, open_notebook
from tui.commands.common import show
from tui.text.figures import figure_text, value_text


def print_list(folder: Path) -> int:
    """Print every prototype as it comes, and where to read on."""
    items = open_notebook(folder).items
    show(f"{len(items)} prototype{'' if len(items) == 1 else 's'} in {folder}")
    for item in items:
        show("\n".join(item_lines(item)))
    if items:
        show("\nAll of one prototype: quarterturn report FILE")
    return 0


def item_lines(item: Item) -> list[str]:
    """Return what the list says of one project file: each line a sentence that stands by itself."""
    if item.stored is None:
        return ["", f"{item.path.name}: cannot be read. {item.error}"]
    project = item.stored.project
    mark = project.latest
    layouts = {choice.key: choice.label for choice in fields_of(Build)["layout"].choices}
    layout = layouts.get(mark.build.get("layout", ""), "layout not said")
    stage = stage_of(project).latest
    lines = ["", f"{project.name}: {layout}, Mk {mark.number}, {stage.label if stage else 'no stage yet'}."]
    lines += [f"  {line}" for line in _figures(project)]
    if project.entries:
        lines.append(f"  Last entry of the diary: {list(project.entries.values())[-1].day}.")
    problems = (*item.stored.problems, *problems_of(project))
    if problems:
        more = f" And {len(problems) - 1} more." if len(problems) > 1 else ""
        lines.append(f"  Flagged: {problems[0]}{more}")
    return [*lines, f"  File: {item.path.name}"]


def _figures(project: Project) -> Iterator[str]:
    from model.explain.gap import gaps
    from model.explain.outlook import outlook

    number = project.latest.number
    try:
        yield _predicted(outlook(project, mark=number))
        best = _best(gaps(project, mark=number, samples=0))
    except ModelError as error:
        yield f"No prediction: {error}"
        return
    yield f"Best measured: {value_text(best.measured)}." if best else "No power measured on this mark."


def _predicted(prediction: Prediction) -> str:
    if prediction.verdict is Verdict.NO_PREDICTION:
        return f"No prediction: {prediction.reason}"
    power = prediction.figures.get("shaft_power")
    chance = "" if prediction.run_probability is None else f", {round(100 * prediction.run_probability)} in 100"
    said = f"Predicted: {prediction.verdict.value}{chance}."
    if prediction.verdict is Verdict.DOES_NOT_RUN or power is None or power.value is None:
        return said
    return f"{said} {power.label} {figure_text(power)}."


def _best(found: tuple[Gap, ...]) -> Gap | None:
    known = [gap for gap in found if gap.quantity == "shaft_power" and gap.measured.value is not None]
    return max(known, key=lambda gap: gap.measured.value or 0.0, default=None)
