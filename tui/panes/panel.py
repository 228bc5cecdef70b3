"""The model panel: what the engine will do and how sure that is, as lines. Pure; drawn by the project screen.

The first line says how the figures stand to the texts: fresh, computing, or old because a field is flagged. For an
engine that does not run, what it would need comes first.
"""

from __future__ import annotations

from model.fields import Build, fields_of
from model.prediction import Figure, Gap, Need, Prediction, Verdict
from model.record import Project
from model.units import Kind
from tui.figures import figure_text, interval_text, need_text, value_text
from tui.lines import Line, beside, cut, wrapped
from tui.plot import power_plot
from tui.session import Age, Outlook, Session

MAIN = ("shaft_power", "speed_at_best_power", "free_running_speed")
THERE = ("shaft_power_there", "indicated_power", "hot_metal", "hot_gas", "cold_gas", "cold_metal", "heat_in")
TALL = 24
"""Lines from which the panel shows more: curve, widest inputs, warnings."""


def panel_lines(session: Session, *, width: int, height: int, plain: bool) -> list[Line]:
    """Return the panel for the open prototype."""
    outlook = session.at.outlook
    prediction = outlook.prediction
    lines = [_head(session, width)]
    lines += _state(session, width)
    if prediction is None:
        if not outlook.failure:
            lines.append((("The first figures are being worked out.", "dim"),))
        return lines[:height]
    if prediction.verdict is Verdict.NO_PREDICTION:
        lines += _without(prediction, width)
    else:
        lines += _verdict(prediction, outlook, width)
        lines += _figures(prediction, outlook, width)
    lines += _measured(session, width)
    if height >= TALL and prediction.verdict is not Verdict.NO_PREDICTION:
        lines += _more(prediction, width, height - len(lines), plain)
    return lines[:height]


def short_lines(session: Session, *, width: int) -> list[Line]:
    """Return the panel in two lines, for a narrow screen."""
    prediction = session.at.outlook.prediction
    first: list[tuple[str, str]] = [("Model ", "head"), (_age_word(session), _age_role(session)), ("  ", "")]
    if prediction is None:
        return [tuple(first), ((cut(session.at.outlook.failure, width), "flag"),)]
    if prediction.verdict is Verdict.NO_PREDICTION:
        return [tuple(first), ((cut(prediction.reason, width), ""),)]
    unmet = [need for need in prediction.needs if not need.met]
    if unmet:
        first.append((cut(f"{unmet[0].label}: {need_text(unmet[0])}", max(1, width - 20)), "strong"))
    else:
        first.append((prediction.verdict.value, "strong"))
    power, speed = (prediction.figures.get(key) for key in MAIN[:2])
    text = f"{power.label} {figure_text(power)}" if power else ""
    if speed and speed.value is not None:
        text += f" at {value_text(speed)}"
    return [tuple(first), ((cut(text, width), ""),)]


def _age_word(session: Session) -> str:
    return {
        Age.FRESH: "fresh",
        Age.VALUE: "value fresh, interval comes",
        Age.COMPUTING: "computing",
        Age.OLD: "old",
        Age.NONE: "none",
    }[session.age]


def _age_role(session: Session) -> str:
    return "flag" if session.age in (Age.OLD, Age.NONE) else "dim"


def _head(session: Session, width: int) -> Line:
    word = _age_word(session)
    if len(word) > width - 8:
        word = "interval comes"
    return beside((("Model", "head"),), ((word, _age_role(session)),), width)


def _state(session: Session, width: int) -> list[Line]:
    lines: list[Line] = []
    labels = session.flagged
    if labels:
        which = labels[0] if len(labels) == 1 else f"{labels[0]} and {len(labels) - 1} more"
        verb = "is" if len(labels) == 1 else "are"
        if session.age is Age.OLD:
            lines += wrapped(f"! old, because {which} {verb} flagged", width, role="flag", rest="  ")
        else:
            lines += wrapped(f"! {which} {verb} flagged, taken as not known", width, role="flag", rest="  ")
    if session.at.outlook.failure:
        lines += wrapped(f"! {session.at.outlook.failure}", width, role="flag", rest="  ")
    return lines


def _without(prediction: Prediction, width: int) -> list[Line]:
    lines = wrapped("No prediction", width, role="strong")
    lines += wrapped(prediction.reason, width)
    labels = [fields_of(Build)[name].label for name in prediction.missing if name in fields_of(Build)]
    if labels and not prediction.reason:
        lines += wrapped("Wanted first: " + ", ".join(labels) + ".", width)
    return lines


def _verdict(prediction: Prediction, outlook: Outlook, width: int) -> list[Line]:
    chance = prediction.run_probability
    if chance is None and outlook.spread is not None:
        chance = outlook.spread.run_probability
    sure = "" if chance is None else f", {round(100 * chance)} in 100"
    unmet = [need for need in prediction.needs if not need.met]
    if prediction.verdict is Verdict.RUNS:
        return [((f"Runs{sure}", "strong"),)]
    lines: list[Line] = []
    if unmet:
        lines.append((("To run it would need", "strong"),))
        for need in unmet[:3]:
            lines += _need(need, width)
    word = "Does not run" if prediction.verdict is Verdict.DOES_NOT_RUN else "Doubtful"
    lines.append(((f"{word}{sure}{'' if not sure else ' to run'}", "" if unmet else "strong"),))
    return lines


def _need(need: Need, width: int) -> list[Line]:
    return wrapped(f"{need.label}: {need_text(need)}", width, role="strong", first=" ", rest="   ")


def _figures(prediction: Prediction, outlook: Outlook, width: int) -> list[Line]:
    lines: list[Line] = []
    main = [prediction.figures[key] for key in MAIN if key in prediction.figures]
    shown = [figure for figure in main if figure.value is not None or figure.low is not None]
    for figure in shown:
        lines += figure_lines(figure, outlook, width)
    if len(shown) == len(main) and shown:
        return lines
    if prediction.at_speed is not None:
        speed = Figure(key="", label="", kind=Kind.ROTATION, unit="rpm", value=prediction.at_speed)
        lines.append(((f"Turned at {value_text(speed)}:", "dim"),))
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
        lines.append(((f"  was {was}" if was else "", "dim"),))
    else:
        lines.append((("", ""),))
    return lines


def best_measured(gaps: tuple[Gap, ...], quantity: str = "shaft_power") -> Gap | None:
    """Return the reading with the largest measured value of a quantity."""
    known = [g for g in gaps if g.quantity == quantity and g.measured.value is not None]
    return max(known, key=lambda g: g.measured.value or 0.0, default=None)


def _measured(session: Session, width: int) -> list[Line]:
    project: Project = session.at.project
    gaps = tuple(g for g in session.at.outlook.gaps if g.mark in (None, session.number))
    readings = project.readings_of(session.number)
    if not readings:
        return [((f"Nothing measured on Mk {session.number} yet", "dim"),)]
    best = best_measured(gaps) or best_measured(gaps, "speed")
    if best is None:
        return [((cut(f"Readings on Mk {session.number}: {len(readings)}", width), "dim"),)]
    lines = [beside((("Measured best", ""),), ((value_text(best.measured), "strong"),), width)]
    lines.append(beside((("  predicted there", "dim"),), ((value_text(best.predicted), ""),), width))
    lines.append(beside((("  gap", ""),), ((value_text(best.gap), "strong"),), width))
    interval = interval_text(best.gap)
    if interval:
        lines.append(((f"    {interval}", ""),))
    return lines


def _more(prediction: Prediction, width: int, room: int, plain: bool) -> list[Line]:
    """Return what taller screens show besides: curve, widest inputs, warnings."""
    after: list[Line] = []
    if prediction.widest:
        shares = ", ".join(f"{label} {round(100 * share)} %" for label, share in prediction.widest[:4])
        after += [(), *wrapped(f"Widened most by: {shares}.", width)]
    for warning in prediction.warnings[:3]:
        after += wrapped(f"! {warning}", width, role="dim", rest="  ")
    plot = power_plot(prediction.curve, width=width, height=min(14, room - len(after) - 1), plain=plain)
    return [*([(), *plot] if plot else []), *after]
