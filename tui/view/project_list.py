"""What the list says of a prototype that was read: two lines, and the words below for the chosen one. Pure."""

from __future__ import annotations

from model.checks.seen_running import seen_running
from model.checks.stage import stage_of, stage_of_mark
from model.prediction.result import Verdict
from model.record import Project
from tui.state.knowledge import known_of
from tui.state.prototype import BAD, Prototype
from tui.text.figures import best_measured, figure_text, value_text
from tui.text.labels import told_problem
from tui.text.verdicts import NOTHING_TESTED, as_drawn, verdict_text
from tui.view.first_screen import name_lines, name_width
from tui.view.first_test import first_test_of
from tui.view.lines import Line, cut, fitted, wrapped
from tui.view.title import layout_label


def item_lines(prototype: Prototype, width: int, *, here: bool, ticked: bool = False) -> list[Line]:
    """Return the two lines of a prototype in the list."""
    project = prototype.project
    if prototype.unread:
        return name_lines(project.name, width, here=here)
    marker = ((">" if here else " ") + ("x" if ticked else " "), "here")
    unsafe = prototype.trouble or prototype.all_problems or prototype.save_state in BAD
    sign = ("!" if unsafe else " ", "flag")
    wide = name_width(width)
    name = (f" {fitted(project.name, wide - 1)} ", "here" if here else "strong")
    if not prototype.usable:
        return [(marker, sign, name, ("cannot be read", "flag")), ((cut(f"   {prototype.trouble}", width), ""),)]
    mark = project.latest
    first: Line = (
        marker,
        sign,
        name,
        (fitted(layout_label(mark), 18) + fitted(f"Mk {mark.number}", 6), ""),
        (cut(_stage_text(project), width - wide - 28), ""),
    )
    last = list(project.entries.values())[-1].day if project.entries else ""
    power = _power_text(prototype)
    measured = best_measured(prototype.outlook.gaps)
    measured_text = f"measured {value_text(measured.measured)}" if measured else ""
    free = max(1, min(wide + 18, width - 3 - 16 - 17))
    second: Line = (
        (f"   {fitted(power, free)} ", ""),
        (fitted(measured_text, 16) + " ", ""),
        (fitted(last, 12), ""),
    )
    return [first, second]


def _stage_text(project: Project) -> str:
    """Return how far the latest mark has come, as it was seen last; of an earlier mark with its number."""
    latest = project.latest.number
    seen = seen_running(project, latest)
    if seen is not None:
        return f"ran: {seen.by.rpartition(', ')[2]}" if "rpm" in seen.by else seen.by.removeprefix("ticked: ")
    stages = [
        (number, stage)
        for entry in project.entries.values()
        for number in project.marks
        if (stage := stage_of_mark(project, entry, number))
    ]
    own = [stage.label for number, stage in stages if number == latest]
    return own[-1] if own else f"Mk {stages[-1][0]}: {stages[-1][1].label}" if stages else "no stage yet"


def _power_text(prototype: Prototype) -> str:
    outlook = prototype.outlook
    if outlook.failure:
        return "no prediction: see why when it is open"
    prediction = outlook.prediction
    if prediction is None:
        return "..."
    if prediction.verdict is Verdict.NO_PREDICTION:
        return "no prediction"
    power = prediction.figures.get("shaft_power")
    known = known_of(prototype)
    shown = known.prediction.figures.get("shaft_power") if known else None
    if known is not None and shown is not None and shown.value is not None and power is not None:
        if known.prediction.verdict is not Verdict.DOES_NOT_RUN:
            expected = figure_text(shown).replace("between ", "").replace(" and ", " to ")
            return f"expect {expected}, drawn {value_text(power)}"
        return f"{verdict_text(known.prediction, shown=True)}, from what it has shown"
    if prediction.verdict is Verdict.DOES_NOT_RUN or power is None or power.value is None:
        return verdict_text(prediction)
    return f"{'as drawn' if as_drawn(prediction) else 'predicted'} {figure_text(power)}"


def _test_text(prototype: Prototype) -> str:
    """Return how sure the latest mark is to run, and which test would tell most; empty where it was seen running."""
    prediction, number = prototype.outlook.prediction, prototype.project.latest.number
    if prediction is None or prediction.verdict is Verdict.NO_PREDICTION or seen_running(prototype.project, number):
        return ""
    test = first_test_of(prototype, number)
    comma = "," if test.startswith(NOTHING_TESTED) else ";"
    return f"{verdict_text(prediction)}{f'{comma} {test}' if test else ''}."


def not_in_file(prototype: Prototype) -> bool:
    """Whether the newest of a prototype is not in its file, and will not be by itself at once."""
    return prototype.save_state in BAD


def chosen_lines(prototype: Prototype, width: int) -> list[Line]:
    """Return what there is to say of the chosen prototype: trouble first."""
    if prototype.trouble:
        return wrapped(f"! {prototype.trouble}", width, role="flag", rest="  ")[:4]
    lines: list[Line] = []
    if prototype.message:
        lines += wrapped(f"! {prototype.message}", width, role="flag", rest="  ")
    if prototype.notice:
        lines += wrapped(f"! {prototype.notice}", width, role="flag", rest="  ")
    problems = prototype.all_problems
    if problems:
        more = f" (and {len(problems) - 1} more)" if len(problems) > 1 else ""
        lines += wrapped(f"! {told_problem(problems[0])}{more}", width, role="flag", rest="  ")
    test = _test_text(prototype)
    if test:
        lines += wrapped(test, width)
    if prototype.project.about:
        lines += wrapped(prototype.project.about, width)
    stage = stage_of(prototype.project)
    if stage.best and stage.latest and stage.best is not stage.latest:
        lines.append(((f"Best so far: {stage.best_text}.", ""),))
    return lines[:4]
