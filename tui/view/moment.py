"""What stands beside the picture of an engine: the air at an angle, driven or carried, what touches. Pure."""

from __future__ import annotations

from model.checks.cautions import DEFER
from model.drawing.contacts import Contact
from model.drawing.draw import draw
from model.drawing.plan import DEGREES, Plan
from model.drawing.result import EngineView, SolvedTurn
from model.fields import Build, fields_of
from model.quantities.ladder import unit_for
from model.quantities.units import Kind, digits, from_si
from tui.text.labels import full_label
from tui.view.engine import length_text
from tui.view.lines import Line, cut, wrapped

BESIDE = 27
"""Columns of what stands beside the picture."""
LABEL = 14
EQUAL = 1e-6
"""Lengths that differ by less are drawn as long as they are, [m]."""
UNUSED = "flagged and not used"
"""Said of a text that cannot be a value of its field."""
TURNING = "On the engine turn it by hand and cold, fingers and sleeves away from rods and wheel."
"""A caution where somebody will look for what touches; common practice, no source."""


def moment_lines(view: EngineView, degree: int, width: int, *, waiting: bool, plain: bool) -> list[Line]:
    """Return the figures at an angle, then what touches, then how to read the picture.

    Parameters
    ----------
    view : EngineView
        The engine.
    degree : int
        Crank angle.
    width : int
        Cells across.
    waiting : bool
        Whether its turn is still being solved.
    plain : bool
        Whether only ASCII may be used.
    """
    plan, turn = view.plan, view.turn
    degree %= DEGREES
    lines: list[Line] = [_row("Crank angle", f"{degree} deg", width, "strong")]
    if turn is not None:
        moment = turn.moments[degree]
        lines += [((_who(turn, degree), "strong"),)]
        side = "Above the room" if moment.pressure >= 0 else "Below the room"
        most = max(abs(each.pressure) for each in turn.moments)
        lines += [_row(side, _amount(abs(moment.pressure), Kind.PRESSURE, "Pa", most), width)]
        lines += [_row("Hot air", _amount(moment.hot, Kind.TEMPERATURE, "C"), width, "hot")]
        lines += [_row("Cold air", _amount(moment.cold, Kind.TEMPERATURE, "C"), width, "cold")]
        largest = max(abs(each.torque) for each in turn.moments)
        lines += [_row("Air's torque", _amount(moment.torque, Kind.TORQUE, "mN m", largest), width)]
    if not plan.hidden and min(*plan.volume_hot, *plan.volume_cold) > 0:
        lines += [_row("Hot space", _amount(plan.volume_hot[degree], Kind.VOLUME, "ml"), width)]
        lines += [_row("Cold space", _amount(plan.volume_cold[degree], Kind.VOLUME, "ml"), width)]
    if turn is not None:
        lines += [((f"at {_amount(turn.speed, Kind.ROTATION, 'rpm')}", "aside"),)]
        lines += _arcs(turn, degree, width)
    elif view.unsolved:
        lines += wrapped(view.unsolved, width, role="aside")
    elif waiting:
        lines += wrapped("Pressure, temperatures and torque are being worked out.", width, role="aside")
    for contact in view.contacts:
        lines += wrapped(short_text(contact), width, role="flag" if contact.bad else "strong", first="! ", rest="  ")
    return [*lines, *_legend(plan, width, plain)]


def _row(label: str, text: str, width: int, role: str = "") -> Line:
    """Return a figure: its value ends where all do, so that few cells change from step to step."""
    room = min(width, BESIDE) - LABEL
    return (label.ljust(LABEL), "" if role == "strong" else role), (cut(text, room).rjust(room), role)


def _amount(value: float, kind: Kind, unit: str, most: float | None = None) -> str:
    """Write a value; where a turn goes through many sizes of it, in the steps that the largest allows."""
    if most is None:
        return f"{digits(from_si(value, kind, unit), 3)} {unit}"
    unit = unit_for(kind, unit, most)
    number, top = from_si(value, kind, unit), from_si(most, kind, unit)
    places = 0 if top >= 100 else 1 if top >= 10 else 2
    text = f"{number:.{places}f}"
    return f"{text if float(text) else text.removeprefix('-')} {unit}"


def _who(turn: SolvedTurn, degree: int) -> str:
    """Say whether the air drives or the wheel carries, and up to which angle."""
    for start, end, driven in turn.arcs():
        if start <= degree < end or start <= degree + DEGREES < end:
            word = "driven by air" if driven else "carried by wheel"
            return word if end - start == DEGREES else f"{word} to {end % DEGREES} deg"
    return ""


def _arcs(turn: SolvedTurn, degree: int, width: int) -> list[Line]:
    """Draw the turn as a strip: ``=`` where the air drives, ``-`` where the wheel carries, ``^`` at the angle."""
    cells = min(width, BESIDE) - 2
    strip = "".join("=" if turn.moments[cell * DEGREES // cells].driven else "-" for cell in range(cells))
    at = degree * cells // DEGREES
    return [
        ((f"0{strip}0", ""),),
        ((" " * (at + 1) + "^", "strong"),),
        (("= driven  - carried", "aside"),),
    ]


def short_text(contact: Contact) -> str:
    """Return what touches, or how close it comes, in few words."""
    if contact.where == "crank":
        return f"{contact.label}: it cannot turn"
    if not contact.bad:
        when = "always" if contact.always else f"at {contact.degree} deg"
        return f"{contact.label}: {length_text(contact.gap)} {when}"
    over = f"{length_text(-contact.gap)} too far"
    if contact.touches is None or contact.touches == (0.0, 360.0):
        return f"{contact.label}: touches all the way, {over}"
    start, end = (round(degree) % DEGREES for degree in contact.touches)
    return f"{contact.label}: touches from {start} to {end} deg, {over}"


def _legend(plan: Plan, width: int, plain: bool) -> list[Line]:
    parts = "D displacer, P piston" if plan.layout != "alpha" else "H hot piston, C cold piston"
    air = "hot air :, cold air ." if plain else "hot hatched, cold dotted"
    texts = (air, "dashed lines are assumed", parts)
    return [(), *(((cut(text, width), "aside"),) for text in texts)]


def below_lines(view: EngineView, degree: int, focus: str, width: int, *, flagged: bool = False) -> list[Line]:
    """Return what stands below the picture: the field that is pointed at, what lacks, and what to look out for.

    `flagged`: the text of that field cannot be used.
    """
    plan, lines = view.plan, list[Line]()
    touching = any(contact.bad for contact in view.contacts)
    if not touching:
        lines += _reason(view, width)
    if focus:
        lines += _focus_lines(view, degree, focus, width, flagged)
    if plan.missing:
        names = ", ".join(full_label(name) for name in plan.missing)
        lines += wrapped(f"To draw the rest, fill in: {names}.", width, role="flag")
    for sentence in plan.left_out:
        lines += wrapped(sentence, width)
    if touching:  # that is told beside the picture: the caution comes before the reason
        lines += [*wrapped(f"Caution: {TURNING} {DEFER}", width), *_reason(view, width)]
    dead = [
        f"{_amount(plan[name], Kind.VOLUME, 'ml')} {side}"
        for name, side in (("dead_volume_hot", "hot"), ("dead_volume_cold", "cold"))
        if plan.has(name) and plan[name] > 0 and name in plan.known
    ]
    if dead and not focus:
        lines += wrapped(f"Not drawn, for nobody knows its shape: dead volume of {' and '.join(dead)}.", width)
    return lines


def _reason(view: EngineView, width: int) -> list[Line]:
    """Say why no engine can be built so, in the words of a check; of several reasons the first."""
    if not view.problems:
        return []
    first, others = view.problems[0], len(view.problems) - 1
    more = f" ({others} more)" if others else ""
    return wrapped(f"No engine can be built so: {first.message} {first.remedy}".strip() + more, width, role="flag")


def _focus_lines(view: EngineView, degree: int, focus: str, width: int, flagged: bool) -> list[Line]:
    drawing, declared = draw(view.plan, degree), fields_of(Build)[focus]
    label = full_label(focus)
    label = label[:1].upper() + label[1:]
    dimension = drawing.dimension(focus)
    if dimension is not None:
        fits = abs(dimension.length - view.plan.values.get(focus, dimension.length)) < EQUAL
        known = "as before" if flagged else "as written" if fits else "as far as it can be drawn"
        known = "assumed" if dimension.assumed else known
        drawn = f"{length_text(dimension.length, focus)}, {known}"
        text = f"{label}: {f'{UNUSED}; drawn with ' if flagged else ''}{drawn}. {declared.help}"
    elif drawing.showing(focus):
        parts = ", ".join(dict.fromkeys(shape.label.lower() for shape in drawing.showing(focus)))
        text = f"{label}: of the {parts}{f'; {UNUSED}' if flagged else ''}. {declared.help}"
    elif declared.takes_words:
        return []
    else:
        text = f"{label} has no place on this drawing."
    return wrapped(text, width, role="flag" if flagged else "strong")


def next_contact(view: EngineView, degree: int) -> int:
    """Return the next angle, in the direction of turn, at which parts come closest; the same where there is none."""
    places = sorted(contact.degree for contact in view.contacts if not contact.always)
    after = [place for place in places if place > degree % DEGREES]
    return (after or places or [degree])[0]


def no_contact(view: EngineView) -> str:
    """Say that nothing touches; of an engine that is not drawn whole, that nothing that is drawn does."""
    whole = not view.plan.missing and not view.plan.hidden
    return f"{'Nothing' if whole else 'Nothing that is drawn'} touches, and nothing comes nearer than a millimetre."
