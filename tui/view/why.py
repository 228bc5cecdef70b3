"""Why every shown figure is what it is: formula, inputs, source, note; then the cautions. As lines; pure."""

from __future__ import annotations

from collections.abc import Iterable

from model.checks.cautions import Caution
from model.prediction.result import Gap, Prediction, Why
from model.quantities.phrases import percent_text
from tui.text.figures import figure_text, is_assumed, need_text, stated_speed
from tui.text.verdicts import as_drawn, faults_text, verdict_text
from tui.view.lines import Line, wrapped


def why_lines(
    prediction: Prediction | None, gaps: Iterable[Gap], cautions: Iterable[Caution], width: int
) -> list[Line]:
    """Return everything that can be said of the figures on the screen."""
    lines: list[Line] = []
    if prediction is None:
        lines += [(("There is no prediction yet.", ""),), ()]
    else:
        lines += _of_prediction(prediction, width)
    for gap in gaps:
        title = f"Gap of {gap.day}, {gap.quantity.replace('_', ' ')}: {figure_text(gap.gap)}"
        lines += wrapped(title, width, role="strong")
        lines += wrapped(
            f"measured {figure_text(gap.measured)}, predicted {figure_text(gap.predicted)}",
            width,
            first="  ",
            rest="  ",
        )
        for figure in gap.also:
            lines += wrapped(f"{figure.label}: {figure_text(figure)}", width, first="  ", rest="  ")
        if gap.note:
            lines += wrapped(gap.note, width, first="  ", rest="  ")
        lines += [*_why(gap.predicted.why, width), ()]
    known = tuple(cautions)
    if known:
        lines += [(("Cautions", "head"),)]
    for caution in known:
        lines += wrapped(f"! {caution.title}", width, role="flag", rest="  ")
        lines += wrapped(caution.text, width, first="  ", rest="  ")
        lines += [*wrapped(f"Source: {caution.source}", width, role="aside", first="  ", rest="  "), ()]
    return lines


def _of_prediction(prediction: Prediction, width: int) -> list[Line]:
    lines = wrapped(f"Verdict: {verdict_text(prediction)}. {prediction.reason}", width, role="strong")
    lines += wrapped(faults_text(prediction), width) if as_drawn(prediction) else []
    if prediction.at_speed is not None:
        lines += wrapped(f"{stated_speed(prediction)}: figures at a speed, unless they say otherwise.", width)
    lines += wrapped("An interval holds the value nine times in ten, as far as the inputs' spreads are right.", width)
    lines.append(())
    for need in prediction.needs:
        need_words = need_text(need, assumed=is_assumed(need, prediction.assumed))
        lines += wrapped(f"{need.label}: {need_words}{' (met)' if need.met else ''}", width, role="strong")
        lines += [*_why(need.why, width), ()]
    for figure in prediction.figures.values():
        lines += wrapped(f"{figure.label}: {figure_text(figure)}", width, role="strong")
        lines += [*_why(figure.why, width), ()]
    if prediction.widest:
        lines.append((("What widens the interval most", "head"),))
        lines += [((f"  {label}: {percent_text(share)} of the variance", ""),) for label, share in prediction.widest]
        lines.append(())
    if prediction.warnings:
        lines.append((("Warnings", "head"),))
        for warning in prediction.warnings:
            lines += wrapped(f"! {warning}", width, first="  ", rest="    ")
        lines.append(())
    if prediction.untried:
        lines.append((("Formulas beyond what their sources tried", "head"),))
        for note in prediction.untried:
            lines += wrapped(note, width, first="  ", rest="    ")
        lines.append(())
    return lines


def _why(why: Why, width: int) -> list[Line]:
    lines: list[Line] = []
    if why.formula:
        lines += wrapped(why.formula, width, first="  ", rest="    ")
    if why.inputs:
        inputs = "; ".join(f"{label} {text}" for label, text in why.inputs)
        lines += wrapped(f"Inputs: {inputs}", width, first="  ", rest="    ")
    if why.source:
        lines += wrapped(f"Source: {why.source}", width, role="aside", first="  ", rest="    ")
    if why.note:
        lines += wrapped(why.note, width, first="  ", rest="    ")
    return lines
