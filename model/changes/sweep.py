"""A row of values: the engine at seven to nine values of one field, and within which of them it runs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np

from model.changes.compare import effect_of, outcome_of, paired_run_of, range_of, runs_now
from model.changes.edits import edits_between
from model.changes.engines import FIRST
from model.changes.paired import Outcomes, PairedRun
from model.changes.result import Bound, Row, Step
from model.changes.values import RowValue, bare_text, read_values, row_values, unit_of
from model.checkpoint import Progress, silent
from model.errors import NotUnderstood
from model.fields import Build, Field, applies, fields_of, is_unknown, parse_build
from model.fields.nearest import nearest_hint
from model.physics.values import FloatArray
from model.quantities.phrases import chance_text, watts_text
from model.quantities.uncertain import Uncertain
from model.quantities.units import Kind, digits, from_si
from model.record import Project

QUESTIONS: Mapping[str, str] = {"wheel": "wheel_mass", "leak": "leak_half_time", "piston": "piston_throw"}
"""How big a wheel, how much may it leak, how large a piston can this heat turn -> the field whose row tells it."""
TELLS = 0.5
"""Share of the engines that must begin or cease to run within the row for a bound to be told as lying in it."""


def sweep(
    project: Project,
    mark: int,
    field: str,
    values: Sequence[str] | None = None,
    *,
    build: Mapping[str, str] | None = None,
    seed: int = 1,
    progress: Progress = silent,
) -> Iterator[Row]:
    """Yield an engine at seven to nine values of one field: of a few engines, then of all of them.

    Parameters
    ----------
    project, mark
        The prototype, and its mark as it is; its readings count.
    field : str
        Name of a field that takes a number, or one of `QUESTIONS`.
    values : sequence of str, optional
        Texts as typed into the field; else values round the present one, in the unit that was typed.
    build : mapping, optional
        Texts of a whole build to stand on instead of the mark's own, such as a scratch copy of it.
    seed : int
        Where the random numbers begin.
    progress : callable
        Told the share that is done, 0 to 1.

    Raises
    ------
    NotUnderstood
        There is no such field, it takes no number, it has no meaning for this build, or a value cannot be read.
    """
    declared = _declared(QUESTIONS.get(field, field))
    paired = paired_run_of(project, mark, seed=seed, progress=lambda share: progress(0.4 * share))
    if isinstance(paired, str):
        yield _empty(declared, mark, paired)
        return
    texts = dict(project.marks[mark].build if build is None else build)
    own = parse_build(texts).build
    if not applies(declared, own):
        raise NotUnderstood(
            f"{declared.label}: has no meaning for this build.", hint="Ask for a field that its form shows."
        )
    now = _now(paired, own, declared)
    typed = texts.get(declared.name, "")
    wanted = (
        row_values(declared, now, "" if is_unknown(typed) else typed)
        if values is None
        else read_values(declared, values)
    )
    if len(wanted) < 2:
        yield _empty(
            declared, mark, f"{declared.label}: nothing usual to try. Ask for values: sweep FILE {field} VALUE."
        )
        return
    few = paired.first(FIRST)
    yield _row(few, own, declared, now, wanted, typed, lambda share: progress(0.4 + 0.2 * share))
    yield _row(paired, own, declared, now, wanted, typed, lambda share: progress(0.6 + 0.4 * share))


def _declared(name: str) -> Field:
    fields = fields_of(Build)
    if name not in fields:
        raise NotUnderstood(f"{name!r} is no field of a build.", hint=nearest_hint(name))
    if fields[name].kind is None:
        raise NotUnderstood(f"{fields[name].label}: takes a word, not a number.", hint="Ask for a field with a number.")
    return fields[name]


def _empty(field: Field, mark: int, reason: str) -> Row:
    return Row(
        mark=mark, field=field.name, label=field.full_label, kind=field.kind or Kind.NUMBER, unit=field.unit,
        now=None, guessed=True, reason=reason,
    )  # fmt: skip


def _now(paired: PairedRun, own: Build, field: Field) -> Uncertain | None:
    typed = getattr(own, field.name)
    return typed if isinstance(typed, Uncertain) else paired.engines.inputs.values.get(field.name)


def _row(
    paired: PairedRun, own: Build, field: Field, now: Uncertain | None, wanted: Sequence[RowValue], typed: str,
    progress: Progress,
) -> Row:  # fmt: skip
    scratch = edits_between(paired.engines.build, own)
    base = paired.edited(scratch)
    changes = [base if each.present else paired.edited({**scratch, field.name: each.value}) for each in wanted]
    before, *tried = paired.of([base, *changes], progress=progress)
    running = before is not None and runs_now(before)
    steps = []
    for each, change, then in zip(wanted, changes, tried, strict=True):
        effect = None
        if before is not None and then is not None and not each.present:
            effect = effect_of(before, then, running=running)
        outcome = outcome_of(then, change)
        steps.append(Step(value=each.value.value, text=each.text, present=each.present, outcome=outcome, effect=effect))
    gains = [-np.inf if t is None else float(np.median(t.power if running else t.spare)) for t in tried]
    best = int(np.argmax(gains)) if np.isfinite(gains).any() else None
    bounds = _bounds(wanted, tried, best)
    row = Row(
        mark=paired.engines.mark,
        field=field.name,
        label=field.full_label,
        kind=field.kind or Kind.NUMBER,
        unit=unit_of(field, typed),
        now=now,
        guessed=is_unknown(typed),
        steps=tuple(steps),
        best=best,
        bounds=bounds,
        engines=paired.engines.size,
        learned=paired.engines.learned,
        running=running,
    )
    return _with_sentence(row, field)


def _bounds(wanted: Sequence[RowValue], tried: Sequence[Outcomes | None], best: int | None) -> tuple[Bound, ...]:
    """Return within which values the engines run: from the best value down and up, where each ceases to."""
    there = [n for n, each in enumerate(tried) if each is not None]
    if best is None or len(there) < 2:
        return ()
    value = np.array([wanted[n].value.value for n in there])
    spare = np.stack([each.spare for each in tried if each is not None], axis=1)
    at = there.index(best)
    made = []
    for at_most in (False, True):
        order = range(at, len(there)) if at_most else range(at, -1, -1)
        crossed = [_crossing(value, row, order) for row in spare if row[at] > 0]
        found = np.array([x for x in crossed if x is not None])
        if len(crossed) < TELLS * len(spare) or not found.size:
            continue
        end = value[order[-1]]
        ends = np.concatenate([found, np.full(len(crossed) - found.size, end)])
        made.append(Bound(at_most=at_most, at=range_of(ends), beyond=found.size < TELLS * len(crossed)))
    return tuple(made)


def _crossing(value: FloatArray, spare: FloatArray, order: range) -> float | None:
    """Return where the torque to spare passes nil on the way; None where it runs to the end."""
    last = order[0]
    for here in order[1:]:
        if spare[here] <= 0:
            share = float(spare[last] / (spare[last] - spare[here]))
            return float(value[last] + share * (value[here] - value[last]))
        last = here
    return None


NO_DIFFERENCE = 0.02
"""Share of the power below which values of a row give the same: two digits of it are told."""


def _with_sentence(row: Row, field: Field) -> Row:
    parts = []
    if row.best is not None and row.steps[row.best].outcome.power is not None:
        best = row.steps[row.best]
        power = best.outcome.power
        if row.running and power is not None and _flat(row):
            parts.append(f"It makes no difference: {watts_text(power.middle)} at all of these.")
        elif row.running and power is not None:
            here = " (where it stands)" if best.present else ""
            at = bare_text(best.text)
            begin = f"Still rising at {at}" if _at_end(row) else f"Most power at {at}"
            parts.append(f"{begin}{here}: {watts_text(power.middle)}.")
        elif not row.running:
            parts.append(f"Nearest to running at {bare_text(best.text)}: {chance_text(best.outcome.runs)}.")
    parts += [_bound_text(bound, field, row.unit) for bound in row.bounds]
    return replace(row, sentence=" ".join(parts))


def _flat(row: Row) -> bool:
    """Whether the power is the same at all values that can be, to two digits as it is told."""
    powers = [step.outcome.power.middle for step in row.steps if step.outcome.power is not None]
    return len(powers) > 1 and max(powers) - min(powers) < NO_DIFFERENCE * max(map(abs, powers))


def _at_end(row: Row) -> bool:
    """Whether the best value is the last that can be at one end of the row, so that more may lie beyond it."""
    solved = [number for number, step in enumerate(row.steps) if step.outcome.solved]
    end = row.best in (solved[0], solved[-1])
    # one that something stands in the way of beyond it is the best there is
    beyond = row.best is not None and (row.steps[0] if row.best == solved[0] else row.steps[-1]).outcome.solved
    return len(solved) > 1 and end and beyond


def _bound_text(bound: Bound, field: Field, unit: str) -> str:
    middle, low, high = (
        digits(from_si(x, field.kind or Kind.NUMBER, unit), 2) for x in (bound.at.middle, bound.at.low, bound.at.high)
    )
    word = "up to" if bound.at_most else "from"
    if bound.beyond:
        worst = low if bound.at_most else high
        return f"It may run only {word} {worst} {unit}.".replace(" .", ".")
    ends = f" ({low} to {high})" if low != high else ""
    return f"It runs {word} {middle} {unit}{ends}.".replace(" .", ".")


__all__ = ["QUESTIONS", "sweep"]
