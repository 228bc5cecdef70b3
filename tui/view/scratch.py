"""A scratch copy on the panel: what it changes, its prediction, and its mark's beside it. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from model.changes.result import Outcome
from model.prediction.result import Figure, Prediction
from model.quantities.ladder import unit_for
from model.quantities.phrases import chance_text
from model.quantities.units import Kind
from tui.state.changes import tried_of
from tui.state.scratch import Scratch, changes_of
from tui.state.session import Session
from tui.text.figures import MAIN, NONE, interval_text, value_text
from tui.text.verdicts import verdict_text
from tui.view.knowledge import chance_of
from tui.view.lines import Line, beside, cut, wrapped
from tui.view.next import TELLING
from tui.view.row import range_text

MOST = 3
"""Most changes that are told one by one."""


def scratch_title(scratch: Scratch, number: int) -> str:
    """Return what a scratch copy is called: ``scratch longer throw of Mk 2``."""
    return f"scratch {cut(scratch.name, 24)} of Mk {number}"


def scratch_head(session: Session, width: int) -> list[Line]:
    """Return name and changes of the scratch copy that is looked at; empty where it is a mark."""
    scratch = session.scratch
    if scratch is None:
        return []
    changes = changes_of(scratch, session.own)
    lines: list[Line] = [((cut(scratch_title(scratch, session.number), width), "strong"),)]
    if not changes:
        lines += wrapped("Change anything in the form.", width, role="aside")
    for text in changes[:MOST]:
        lines += wrapped(text, width, rest="  ")
    more = len(changes) - MOST
    return [*lines, *([((f"and {more} more (i)", "aside"),)] if more > 0 else [])]


def scratch_lines(session: Session, prediction: Prediction, width: int) -> list[Line]:
    """Return what a scratch copy will do, each figure with its mark's below it, and from what both are known.

    Both are of the engines that the mark could be, as soon as the copy was tried on them; until then as drawn.
    """
    number, mark = session.number, f"Mk {session.number}"
    own = session.prototype.own
    drawn = own.prediction if own and own.mark == number else None
    tried = tried_of(session)
    lines: list[Line] = []
    if tried is not None and tried.outcome.power is not None and tried.now.power is not None:
        lines += wrapped(f"{f'From what {mark} has shown' if tried.learned else 'As drawn'}:", width, role="head")
        lines.append(((cut(f"Runs {chance_text(tried.outcome.runs)}", width), "strong"),))
        lines.append(((cut(f"  {mark} {chance_text(tried.now.runs)}", width), "aside"),))
        pair: tuple[Mapping[str, Figure], Mapping[str, Figure]] = (
            outcome_figures(tried.outcome, prediction), outcome_figures(tried.now, prediction),
        )  # fmt: skip
    else:
        lines.append(((cut(verdict_text(prediction), width), "strong"),))
        if drawn is not None:
            lines.append(((cut(f"  {mark} {chance_of(drawn)}", width), "aside"),))
        lines += wrapped("As drawn:", width, role="head")
        pair = (prediction.figures, drawn.figures if drawn else {})
    lines += gain_lines(session, width)
    for key in MAIN:
        figure, other = pair[0].get(key), pair[1].get(key)
        if figure is not None and (figure.value is not None or other is not None):
            lines += _both(figure, other, mark, width)
    if drawn is None:
        lines += wrapped(f"{mark} is being worked out.", width, role="aside")
    return lines


def outcome_figures(outcome: Outcome, drawn: Prediction) -> dict[str, Figure]:
    """Return what engines do as the figures that a prediction calls by the same names."""
    found = dict(zip(MAIN, (outcome.power, outcome.best_speed, outcome.free_speed), strict=True))
    return {
        key: replace(
            drawn.figures[key],
            value=None if each is None else each.middle,
            low=None if each is None else each.low,
            high=None if each is None else each.high,
        )
        for key, each in found.items()
        if key in drawn.figures
    }


def gain_lines(session: Session, width: int) -> list[Line]:
    """Return what the copy changes, engine by engine: gain and chance that it helps, or what is in its way."""
    tried = tried_of(session)
    if tried is None:
        return []
    effect = tried.effect
    if tried.outcome.in_the_way:
        return wrapped(f"! {' '.join(tried.outcome.in_the_way)}", width, role="flag", rest="  ")
    if effect is None or not session.scratch or not session.scratch.texts:
        return []
    helps = f", helps {chance_text(effect.helps)}" if effect.helps < TELLING else ""
    if not tried.running:
        return wrapped(f"On the same engines: runs {100 * effect.runs:+.0f} in 100{helps}", width, rest="  ")
    unit = unit_for(Kind.POWER, "W", effect.power.middle, effect.power.high)
    gain = range_text(effect.power, Kind.POWER, unit).split(" (")
    sign = "+" if effect.power.middle > 0 else ""
    text = f"Gain, on the same engines: {sign}{gain[0]} {unit}{' (' + gain[1] if len(gain) > 1 else ''}{helps}"
    return wrapped(text, width, role="strong", rest="  ")


def _both(figure: Figure, own: Figure | None, mark: str, width: int) -> list[Line]:
    lines: list[Line] = [beside(((cut(figure.label, width - 12), ""),), ((value_text(figure), "strong"),), width)]
    if interval := interval_text(figure):
        lines.append(((cut(f"  {interval}", width), ""),))
    if own is not None:
        interval = interval_text(own).removeprefix("between ").replace(" and ", " to ")
        value = value_text(own)
        text = f"  {mark} {value}{f' ({interval})' if interval else ''}" if value != NONE else f"  {mark} none"
        lines += wrapped(text.strip(), width, role="aside", first="  ", rest="    ")
    return lines
