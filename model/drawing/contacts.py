"""What comes close and what touches over a turn: displacer and pistons against ends and each other, cranks that jam."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from model.drawing.plan import DEGREES, Plan
from model.drawing.shapes import Drawing, Point

CLOSE = 1e-3
"""A clearance under this is told, [m]."""
SHORT = 1.05
"""Rods up to so many throws cannot turn, as `model.inputs.complete` has it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Contact:
    """Two parts that come close, or that touch."""

    where: str
    """``hot`` or ``cold`` (the moving part's end there), ``side``, ``piston``, ``crank``."""
    label: str
    """Which parts, in the words of the trade."""
    field: str
    """The field that tells the clearance."""
    part: str = "displacer"
    """Key of the part that moves: ``displacer``, ``hot``, ``piston``."""
    gap: float
    """The least of the turn, [m]; below nil they would lie in each other."""
    degree: int
    """At which angle that is; a clearance that stays has 0."""
    touches: tuple[float, float] | None = None
    """From which angle to which they touch, in the direction of turn, [deg]; None where they do not."""
    always: bool = False
    """Whether it is the same at every angle."""

    @property
    def bad(self) -> bool:
        """Whether they touch."""
        return self.gap <= 0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Gap:
    where: str
    label: str
    field: str
    at: Callable[[int], float]
    always: bool = False


def gap_at(plan: Plan, contact: Contact, degree: int) -> float:
    """Return the clearance of a contact at another angle, [m]."""
    return next(gap.at(degree % DEGREES) for gap in _gaps(plan) if gap.where == contact.where)


def place_of(contact: Contact, drawing: Drawing) -> Point | None:
    """Return where two parts come close, at the angle of a drawing; None where they are not drawn."""
    alpha = bool(drawing.of_part("hot_piston"))
    part = {"hot": "hot_piston" if alpha else "displacer", "cold": "piston" if alpha else "displacer"}.get(
        contact.where, f"{contact.part}_crank" if contact.where == "crank" else "displacer"
    )
    shapes = drawing.of_part(part)
    if not shapes:
        return None
    corners = shapes[0].points
    if contact.where == "crank":
        return corners[0]
    # corners go round from the left end of the side that lies nearest to the hot end, or to the head
    ends = {"side": (1, 2), "hot": (0, 1), "cold": (0, 1) if alpha else (3, 2), "piston": (3, 2)}[contact.where]
    one, other = corners[ends[0]], corners[ends[1]]
    share = 0.5 if contact.where == "side" else 0.25
    return Point(one.x + (other.x - one.x) * share, one.y + (other.y - one.y) * share)


def contacts(plan: Plan) -> tuple[Contact, ...]:
    """Return what touches, and every clearance under a millimetre, the worst first."""
    found = [*_jammed(plan), *(_over_a_turn(gap) for gap in _gaps(plan))]
    return tuple(sorted((one for one in found if one.gap < CLOSE), key=lambda one: one.gap))


def _gaps(plan: Plan) -> list[_Gap]:
    if plan.layout == "alpha":
        gaps = [_Gap(where="hot", label="Hot piston to its head", field="end_clearance_hot",
                     at=lambda i: plan["end_clearance_hot"] + plan.first[i])]  # fmt: skip
        gaps += [_Gap(where="cold", label="Cold piston to its head", field="end_clearance_cold",
                      at=lambda i: plan["end_clearance_cold"] + plan.second[i])]  # fmt: skip
        return [gap for gap in gaps if not {"piston_bore", "hot_bore"} & plan.hidden]
    if "displacer_bore" in plan.hidden:
        return []
    gaps = [_Gap(where="side", label="Displacer to its cylinder", field="side_clearance",
                 at=lambda i: plan["side_clearance"], always=True)]  # fmt: skip
    gaps += [_Gap(where="hot", label="Displacer to the hot end", field="end_clearance_hot",
                  at=lambda i: plan["end_clearance_hot"] + plan.first[i])]  # fmt: skip
    if plan.between and "piston_throw" not in plan.hidden:
        gaps += [_Gap(where="piston", label="Displacer to the piston", field="end_clearance_cold",
                      at=lambda i: plan.between[i])]  # fmt: skip
    elif not plan.between:
        gaps += [_Gap(where="cold", label="Displacer to the cold end", field="end_clearance_cold",
                      at=lambda i: plan["end_clearance_cold"] + plan.travel - plan.first[i])]  # fmt: skip
    return [gap for gap in gaps if gap.always or "displacer_throw" not in plan.hidden]


def _over_a_turn(gap: _Gap) -> Contact:
    gaps = [gap.at(degree) for degree in range(DEGREES)]
    least = min(gaps)
    return Contact(
        where=gap.where,
        label=gap.label,
        field=gap.field,
        gap=least,
        degree=gaps.index(least),
        touches=None if least > 0 or gap.always else _touching(gaps),
        always=gap.always,
    )


def _touching(gaps: list[float]) -> tuple[float, float]:
    """Return from where to where gaps are not above nil, [deg]; between two degrees by a straight line."""
    if max(gaps) <= 0:
        return 0.0, 360.0
    worst = gaps.index(min(gaps))

    def end(step: int) -> float:
        degree = worst
        while gaps[(degree + step) % DEGREES] <= 0:
            degree += step
        here, there = gaps[degree % DEGREES], gaps[(degree + step) % DEGREES]
        return (degree + step * here / (here - there)) % DEGREES

    return end(-1), end(1)


def _jammed(plan: Plan) -> list[Contact]:
    """Return the cranks that cannot go round, whichever way the rest is built."""
    parts = ("hot", "piston") if plan.layout == "alpha" else ("displacer", "piston")
    found = []
    for part in parts:
        throw, rod = f"{part}_throw", f"{part}_rod"
        if {throw, rod} & plan.hidden:
            continue
        name = {"hot": "Hot piston", "piston": "Piston", "displacer": "Displacer"}[part]
        spare = plan[rod] - SHORT * plan[throw]
        if spare <= 0:
            found.append(Contact(where="crank", label=f"{name}'s connecting rod is no longer than its throw",
                                 field=rod, gap=spare, degree=90, always=True))  # fmt: skip
        elif part == "piston" and abs(plan["piston_offset"]) >= plan[rod] - plan[throw]:
            found.append(Contact(where="crank", label="The crank is offset further than the piston's rod can reach",
                                 field="piston_offset", gap=plan[rod] - plan[throw] - abs(plan["piston_offset"]),
                                 degree=90, always=True))  # fmt: skip
    return found
