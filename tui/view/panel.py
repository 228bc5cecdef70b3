"""The model panel: what the engine will do and how sure that is, as lines. Pure; drawn by the project screen.

The first line says how the figures stand to the texts: up to date, computing, old because a field is flagged, or of
before the edit that is under way; then the last line says what the typed text comes to. For an engine that does not
run, what it would need comes first.
"""

from __future__ import annotations

from model.bench.evidence import left_behind
from model.checks.plausibility import has_doubted_speed
from model.checks.seen_running import Standing, standing_of
from model.fields import Build, fields_of
from model.knowledge.gaps import gaps_with
from model.prediction.result import Figure, Need, Prediction, Verdict
from model.quantities.phrases import percent_text
from model.record import Project
from tui.state.changes import advice_of
from tui.state.knowledge import knowledge_of
from tui.state.prototype import Age, Outlook
from tui.state.session import Session
from tui.text.figures import (
    MAIN,
    NONE,
    best_measured,
    figure_text,
    interval_text,
    is_assumed,
    need_text,
    speed_text,
    value_text,
)
from tui.text.verdicts import NOTHING_TESTED, sentence, verdict_text
from tui.view.first_test import NOT_TRIED, first_test_of
from tui.view.knowledge import learning_lines, shown_lines
from tui.view.lines import Line, beside, cut, text_of, wrapped
from tui.view.next import best_text
from tui.view.plot import power_plot
from tui.view.scratch import gain_lines, scratch_head, scratch_lines

THERE = ("shaft_power_there", "indicated_power", "hot_metal", "hot_gas", "cold_gas", "cold_metal", "heat_in")
LASTS = ("run_time",)
"""How long a cup of water or ice lasts; arrives after the others."""
SHORT_NEEDS = {
    "temperature_difference": "temperatures",
    "friction": "friction",
    "leak_half_time": "leak",
    "phase": "phase",
    "piston": "stroke",
    "wheel": "wheel",
}
"""Needs in one word."""
PLOT = 13
"""Lines that the curve may have before what is said below it."""
TALL = 24
"""Lines from which the panel shows more: curve, widest inputs, warnings."""


def panel_lines(session: Session, *, width: int, height: int, plain: bool, curve: bool = True) -> list[Line]:
    """Return the panel for the open prototype, with the curve where it does not stand beside it."""
    before = session.before
    outlook = before or session.prototype.outlook
    prediction = outlook.prediction
    lines = [_head(session, width), *scratch_head(session, width)]
    lines += [] if before else _state(session, width)
    if prediction is None:
        if not outlook.failure:
            lines.append((("The first figures are being worked out.", ""),))
        return lines[:height]
    if prediction.verdict is Verdict.NO_PREDICTION:
        lines += _without(prediction, outlook, width)
    elif session.scratch is not None:
        lines += scratch_lines(session, prediction, width)
    elif known := [] if before else shown_lines(session, prediction, width):
        lines += known
    else:
        lines += [] if before else learning_lines(session, width)
        test = "" if _untried(session) else sentence(first_test_of(session.prototype, session.number))
        lines += _verdict(prediction, outlook, width, brief=bool(test))
        lines += wrapped(test, width) if test else []
        lines += _figures(prediction, outlook, width)
    lines += _measured(session, outlook, width) if session.scratch is None else []
    best = [] if before else _best(session, width)
    lines = [*lines[: height - len(best)], *best] if best else lines
    if before:
        lines = [*lines[: height - 1], ((cut(_as_typed(session), width), "strong"),)]
    if height >= TALL and prediction.verdict is not Verdict.NO_PREDICTION:
        free_rows = height - len(lines)
        lines += _more(prediction, width, free_rows, plain, measured_dots(session) if curve else None)
    return lines[:height]


def _as_typed(session: Session) -> str:
    """Return what a text that is being typed comes to, in one line."""
    outlook = session.prototype.outlook
    prediction = outlook.prediction
    if session.parsed.problems:
        return "As typed: not a value yet"
    if outlook.failure or prediction is None or outlook.build != session.parsed.build:
        return "As typed: no figures" if outlook.failure else "As typed: computing"
    power, speed = (prediction.figures.get(key) for key in MAIN[:2])
    if prediction.verdict is Verdict.NO_PREDICTION or power is None or speed is None or speed.value is None:
        return f"As typed: {prediction.verdict.value}"
    return f"As typed: {value_text(power)} at {value_text(speed)}"


def short_lines(session: Session, *, width: int) -> list[Line]:
    """Return the panel in two lines, for a narrow screen."""
    before = session.before
    prediction = (before or session.prototype.outlook).prediction
    known = None if before or session.scratch else knowledge_of(session)
    if known is not None and known.prediction.verdict is not Verdict.NO_PREDICTION:
        prediction = known.prediction
    first: list[tuple[str, str]] = [("Model ", "head"), (_age_word(session), _age_role(session)), ("  ", "")]
    if prediction is None:
        return [tuple(first), ((cut(session.prototype.outlook.failure, width), "flag"),)]
    if prediction.verdict is Verdict.NO_PREDICTION:
        return [tuple(first), ((cut(prediction.reason, width), ""),)]
    unmet = [need for need in prediction.needs if not need.met]
    if unmet:
        first.append((cut(f"{unmet[0].label}: {_has(unmet[0], prediction)}", max(1, width - 20)), "strong"))
    else:
        first.append((verdict_text(prediction, shown=known is not None), "strong"))
        first.append((", from what it has shown" if known is not None else "", ""))
    power, speed = (prediction.figures.get(key) for key in MAIN[:2])
    text = f"{power.label} {figure_text(power)}" if power else ""
    if speed and speed.value is not None:
        text += f" at {value_text(speed)}"
    own = session.prototype.own.prediction if session.scratch and session.prototype.own else None
    if own is not None:
        text = f"{value_text(power)}" if power else ""
        text += f" as drawn; Mk {session.number} {value_text(own.figures[MAIN[0]]) if MAIN[0] in own.figures else NONE}"
        text += "".join(f"; {text_of(line)}" for line in gain_lines(session, 200))
    if before:
        text = f"{_as_typed(session)}; before: {text}"
    return [tuple(first), ((cut(text, width), ""),)]


def _age_word(session: Session) -> str:
    if session.before:
        return "before this edit"
    return {
        Age.UP_TO_DATE: "up to date",
        Age.VALUE: "computing the interval",
        Age.COMPUTING: "computing",
        Age.OLD: "old",
        Age.NONE: "none",
    }[session.age]


def _age_role(session: Session) -> str:
    return "flag" if session.before or session.age in (Age.OLD, Age.NONE) else "aside"


def _head(session: Session, width: int) -> Line:
    return beside((("Model", "head"),), ((_age_word(session), _age_role(session)),), width)


def _state(session: Session, width: int) -> list[Line]:
    lines: list[Line] = []
    labels = [fields_of(Build)[name].label for name in session.parsed.problems]
    if labels:
        which = labels[0] if len(labels) == 1 else f"{labels[0]} and {len(labels) - 1} more"
        verb = "is" if len(labels) == 1 else "are"
        if session.age is Age.OLD:
            lines += wrapped(f"! old, because {which} {verb} flagged", width, role="flag", rest="  ")
        else:
            lines += wrapped(f"! {which} {verb} flagged, taken as not known", width, role="flag", rest="  ")
    if session.prototype.outlook.failure:
        lines += wrapped(f"! {session.prototype.outlook.failure}", width, role="flag", rest="  ")
    return lines


def _without(prediction: Prediction, outlook: Outlook, width: int) -> list[Line]:
    lines = wrapped("No prediction", width, role="strong")
    lines += wrapped(prediction.reason, width)
    labels = [fields_of(Build)[name].label for name in prediction.missing if name in fields_of(Build)]
    if labels and not prediction.reason:
        lines += wrapped("Wanted first: " + ", ".join(labels) + ".", width)
    if prediction.figures:
        lines += wrapped("What stands all the same:", width, role="aside")
    return lines + [line for f in prediction.figures.values() for line in figure_lines(f, outlook, width) if any(line)]


def _verdict(prediction: Prediction, outlook: Outlook, width: int, *, brief: bool) -> list[Line]:
    chance = prediction.run_probability
    if chance is None and outlook.spread is not None:
        chance = outlook.spread.run_probability
    unmet = [need for need in prediction.needs if not need.met]
    if prediction.verdict is Verdict.RUNS:
        return [((cut(verdict_text(prediction, chance), width), "strong"),)]
    lines: list[Line] = []
    tightest = unmet or ([] if brief else list(prediction.needs[:2]))
    helping = [need for need in tightest if need.wants is not None]
    if tightest:
        lines.append((("To run it would need" if unmet else "To run it needs", "strong"),))
        for need in helping[:3]:
            lines += wrapped(f"{need.label}: {_has(need, prediction)}", width, role="strong", first=" ", rest="   ")
        lines += _not_enough([need for need in tightest if need.wants is None], width)
    lines.append(((cut(verdict_text(prediction, chance), width), "" if tightest else "strong"),))
    return lines


def _untried(session: Session) -> bool:
    """Whether the mark is a change that was not tried yet: then its first reading stands at the foot."""
    return standing_of(session.prototype.project, session.number) is Standing.UNTRIED


def _best(session: Session, width: int) -> list[Line]:
    """Return the one best thing to do next; what does not fit above it stands in Results and What next too."""
    advice = advice_of(session) if session.scratch is None else None
    text = sentence(first_test_of(session.prototype, session.number)) if _untried(session) else ""
    text = text or (best_text(advice) if advice else "")
    return wrapped(text, width, role="strong", rest="  ") if text else []


def _not_enough(needs: list[Need], width: int) -> list[Line]:
    """Return in one line what would not make it run by itself, whatever its value."""
    words = ", ".join(SHORT_NEEDS.get(need.key, need.label.lower()) for need in needs)
    return wrapped(f"alone not enough: {words}", width, first=" ", rest="   ") if words else []


def _has(need: Need, prediction: Prediction) -> str:
    """Return what is needed against what there is; what rests on a guess is called assumed."""
    return need_text(need, assumed=is_assumed(need, prediction.assumed))


def _figures(prediction: Prediction, outlook: Outlook, width: int) -> list[Line]:
    lines: list[Line] = []
    main = [prediction.figures[key] for key in MAIN if key in prediction.figures]
    figures = [figure for figure in main if figure.value is not None or figure.low is not None]
    for figure in figures:
        lines += figure_lines(figure, outlook, width)
    if len(figures) == len(main) and figures:
        lasts = [prediction.figures[key] for key in LASTS if key in prediction.figures]
        return lines + [line for figure in lasts for line in figure_lines(figure, outlook, width)]
    if prediction.at_speed is not None:
        lines.append(((f"Turned at {speed_text(prediction)}:", ""),))
    for key in THERE:
        if key in prediction.figures and prediction.figures[key].value is not None:
            lines += figure_lines(prediction.figures[key], outlook, width)
    return lines


def figure_lines(figure: Figure, outlook: Outlook, width: int) -> list[Line]:
    """Return a figure: label and value on one line, its interval below (the old one while the new one comes)."""
    lines = [beside(((cut(figure.label, width - 12), ""),), ((value_text(figure), "strong"),), width)]
    interval = interval_text(figure)
    if interval:
        lines.append(((f"  {interval}", ""),))
    elif outlook.spread and figure.key in outlook.spread.figures:
        was = interval_text(outlook.spread.figures[figure.key])
        lines.append(((f"  was {was}" if was else "", "aside"),))
    else:
        lines.append((("", ""),))
    return lines


def _measured(session: Session, outlook: Outlook, width: int) -> list[Line]:
    project: Project = session.prototype.project
    known = knowledge_of(session)
    gaps = tuple(g for g in outlook.gaps if g.mark in (None, session.number))
    gaps = gaps if known is None else gaps_with(gaps, known.expected)
    readings = project.readings_of(session.number)
    if not readings:
        lost = left_behind(project, session.number)
        losses = ", ".join(f"{word.lower()} (Mk {mark})" for word, mark in lost.items())
        first = first_test_of(session.prototype, session.number)
        said = outlook.prediction is not None and first.startswith((NOTHING_TESTED, NOT_TRIED))
        nothing: Line = ((f"Nothing measured on Mk {session.number} yet", ""),)
        return [
            *([] if said else [nothing]),
            *(wrapped(f"As drawn leaves out {losses}", width, rest="  ") if losses else []),
        ]
    best = best_measured(gaps) or best_measured(gaps, "speed") or best_measured(gaps, "work_of_heat")
    doubted = sum(has_doubted_speed(project, entry, reading) for entry, reading in readings)
    flagged = wrapped(f"! {doubted} of {len(readings)} not counted: see Results", width, role="flag") if doubted else []
    if best is None:
        return [((cut(f"Readings on Mk {session.number}: {len(readings)}", width), ""),), *flagged]
    name = "Heat adds to a turn" if best.quantity == "work_of_heat" else "Measured best"
    lines = [*flagged, beside(((name, ""),), ((value_text(best.measured), "strong"),), width)]
    if outlook.gaps_old:
        word = NONE if outlook.failure or session.age is Age.OLD else "computing"
        return [*lines, beside((("  gap", ""),), ((word, "aside"),), width)]
    there = "  predicted there" if best.shown is None else "  as drawn there"
    lines.append(beside(((there, ""),), ((value_text(best.predicted), ""),), width))
    lines.append(beside((("  gap", ""),), ((value_text(best.gap), "strong"),), width))
    interval = interval_text(best.gap)
    if interval:
        lines.append(((f"    {interval}", ""),))
    if best.shown is not None and best.shown_gap is not None:
        lines.append(beside((("  by all else found", ""),), ((value_text(best.shown), ""),), width))
        lines.append(beside((("  gap", ""),), ((value_text(best.shown_gap), "strong"),), width))
    return lines


def measured_dots(session: Session) -> list[tuple[float, float]]:
    """Return speed and power, [rad/s, W], of the brake readings of the mark, and of free running (no power).

    A speed that cannot be is left out: it would set the scale.
    """
    from tui.view.readings import measured_in  # loaded for tall screens alone

    project = session.prototype.project
    readings = [r for e, r in project.readings_of(session.number) if not has_doubted_speed(project, e, r)]
    measured = [result for result in map(measured_in, readings) if result is not None]
    return [(result.speed, 0.0 if result.quantity == "speed" else result.value) for result in measured]


def _more(
    prediction: Prediction, width: int, free_rows: int, plain: bool, dots: list[tuple[float, float]] | None
) -> list[Line]:
    """Return what taller screens show besides: curve with readings (None: no curve), widest inputs, warnings."""
    after: list[Line] = []
    if prediction.widest:
        shares = ", ".join(f"{label} {percent_text(share)}" for label, share in prediction.widest[:4])
        after += [(), *wrapped(f"Widened most by: {shares}.", width)]
    for warning in prediction.warnings[:3]:
        after += wrapped(f"! {warning}", width, rest="  ")
    high = min(14, max(free_rows - len(after), PLOT) - 1)
    curve = () if dots is None else prediction.curve
    plot = power_plot(curve, width=width, height=high, plain=plain, dots=dots or ())
    rows_left = free_rows - len(plot) - 1
    if len(after) > rows_left > 0:
        after = [*after[: rows_left - 1], (("... more: w", "aside"),)]
    return [*([(), *plot] if plot else []), *after]
