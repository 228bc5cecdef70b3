"""The model's one entry: model inputs in, a `Prediction` out. Opens no file.

First the best values alone (quick), then samples of everything uncertain, which give intervals and the probability
that the engine runs, then what costs more than it is looked at. `predict` is the whole; `predict_stepwise` hands out
each part as soon as it is there.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from model.inputs.model_inputs import ModelInputs
from model.physics.values import FloatArray
from model.prediction.figures import figure, need
from model.prediction.first_test import first_test, shown_by_tests, untested
from model.prediction.partial import partial_figures
from model.prediction.result import (
    RUNS_ABOVE,
    RUNS_NOT_BELOW,
    CurvePoint,
    Figure,
    FirstTest,
    Need,
    Prediction,
    Verdict,
)
from model.quantities.constants import GRAVITY
from model.quantities.formula import sentences
from model.quantities.wheel import moment_of_inertia
from model.running.curve import SAMPLED, Curve, batches, curve_of
from model.running.leak_down import HOSE, half_time, share_shown
from model.running.needs import DIFFERENCES, LEAKS, PHASES, THROWS, Limits, lightest_wheel, limits, whatever_the_wheel
from model.running.operate import Operation, operate
from model.running.points import STALL_SHARE, Points, Torques, find_points, smooth
from model.running.ranges import out_of_range
from model.running.samples import SampledInputs, central, drawn
from model.running.spread import interval, widest
from model.running.watts import quarters, watts

SPIN_UP = 30.0
"""Time in which a wheel should come up to speed, [s]; a heavier one serves too. Common practice, no source."""
BY_HAND = 2 * np.pi / 6.0
"""Speed at which an engine is turned by hand, a turn in six seconds, [rad/s]."""


def predict(model_inputs: ModelInputs, *, samples: int = 100, seed: int = 1) -> Prediction:
    """Predict what an engine will do.

    Parameters
    ----------
    model_inputs : ModelInputs
        Complete inputs, from `complete_inputs`.
    samples : int
        Number of samples of the uncertain inputs; 0 gives values without intervals, quickly.
    seed : int
        Seed of the samples; equal seeds give equal results.

    Returns
    -------
    Prediction
        With a reason instead of figures where there is no prediction.
    """
    *_, whole = predict_stepwise(model_inputs, samples=samples, seed=seed)
    return whole


def predict_stepwise(model_inputs: ModelInputs, *, samples: int = 100, seed: int = 1) -> Iterator[Prediction]:
    """Yield a prediction as soon as there is more of it: values, then intervals, then what the engine needs.

    An engine that does not run tells its needs at once. Parameters as for `predict`, whose result is the last one.
    """
    refused = refusal(model_inputs)
    if refused:
        yield refused
        return
    best = best_values(model_inputs, central(model_inputs.words, model_inputs.values))
    yield best.prediction
    if samples <= 1:
        return
    prediction = _with_intervals(best.prediction, model_inputs, best.curve, samples=samples, seed=seed)
    yield prediction
    yield finished(prediction, model_inputs, best)


class Best(NamedTuple):
    """What one engine, whose values are the best that are known, will do."""

    prediction: Prediction
    """Without intervals."""
    inputs: SampledInputs
    """Of that engine alone."""
    curve: Curve
    now: Operation
    """At the stated speed."""


def best_values(model_inputs: ModelInputs, inputs: SampledInputs) -> Best:
    """Predict one engine; where it does not run, with what it needs."""
    over = curve_of(inputs)
    curve, points, column = over
    now = _only(curve, column)
    prediction = _assemble(model_inputs, inputs, over.reference, curve, points, now)
    if not points.runs[0] and curve.converged.any():
        prediction = replace(prediction, needs=_needs(inputs, curve, over.reference))
    return Best(prediction=prediction, inputs=inputs, curve=over, now=now)


def finished(prediction: Prediction, model_inputs: ModelInputs, best: Best) -> Prediction:
    """Put to a prediction what costs more than it is looked at."""
    by_hand = {key: figure(key, value, model_inputs) for key, value in _by_hand(best.inputs, best.now).items()}
    prediction = replace(prediction, figures={**prediction.figures, **by_hand})
    if prediction.needs or not best.curve.operation.converged.any():
        return prediction
    return replace(prediction, needs=_needs(best.inputs, best.curve.operation, best.curve.reference))


def refusal(model_inputs: ModelInputs) -> Prediction | None:
    """Return a prediction that says why there is none, or None."""
    if not model_inputs.values and not model_inputs.missing:
        return Prediction(
            verdict=Verdict.NO_PREDICTION,
            reason="There is no model for a layout without a crank on the displacer; diary and readings work.",
        )
    if model_inputs.missing:
        wanted = ", ".join(model_inputs.labels.get(name, name) for name in model_inputs.missing)
        return Prediction(
            verdict=Verdict.NO_PREDICTION, reason=f"Still needed: {wanted}.", missing=model_inputs.missing
        )
    if model_inputs.problems:
        # what does not rest on the contradiction still stands
        return Prediction(
            verdict=Verdict.NO_PREDICTION,
            reason=" ".join(f"{p.message} {p.remedy}".strip() for p in model_inputs.problems),
            missing=tuple(p.where for p in model_inputs.problems),
            figures=partial_figures(model_inputs),
            assumed=model_inputs.assumed,
            warnings=model_inputs.warnings,
        )
    return None


def outcomes_at(operation: Operation) -> dict[str, FloatArray]:
    """Return the figures at one speed (the operation's only one), each (samples,)."""
    o = operation
    speed, turns = o.speed[:, 0], o.speed[:, 0] / (2 * np.pi)
    along = o.network.conduction[:, 0] * (o.hot_metal[:, 0] - o.cold_metal[:, 0])
    shaft = o.torque[:, 0] * speed
    flows = {key: values[:, 0] for key, values in watts(o).items()}
    heat_in = flows["heat_released"] - flows["heat_missed"]
    isothermal = o.isothermal[:, 0]
    indicated = o.indicated[:, 0]
    swept = o.geometry.swept_hot if o.geometry.layout == "alpha" else o.geometry.swept_piston
    return {
        "indicated_power": indicated * turns,
        "isothermal_power": isothermal * turns,
        "shaft_power_there": shaft,
        "hot_metal": o.hot_metal[:, 0],
        "cold_metal": o.cold_metal[:, 0],
        "hot_gas": o.hot_gas[:, 0],
        "cold_gas": o.cold_gas[:, 0],
        "heat_in": heat_in,
        "heat_out": o.heat_given[:, 0] + along,
        "wheel_carries": o.fluctuation[:, 0],
        "pressure_swing": np.ptp(o.pressure[:, 0], axis=-1),
        "closed_form_share": indicated / np.where(np.abs(isothermal) > 1e-15, isothermal, 1e-15),
        "beale": shaft / (o.inputs["room_pressure"] * swept * turns),
        "efficiency": shaft / np.maximum(heat_in, 1e-9),
        "gap_effectiveness": o.effectiveness[:, 0],
        **flows,
        **{f"quarter_{n + 1}": quarters(o)[:, 0, n] for n in range(4)},
    }


def _by_hand(inputs: SampledInputs, now: Operation) -> dict[str, float]:
    """Return what a U-tube shows when the engine is turned slowly by hand: cold by the piston, hot by the displacer."""
    room = inputs["room_temperature"]
    both = inputs.repeated(2)
    swept = now.geometry.swept_piston
    displacer = inputs.words["layout"] != "alpha"
    changed = both.changed(
        hot_metal=np.concatenate([room + 0.01, now.hot_metal[:, 0] if displacer else room + 0.01]),
        cold_metal=np.concatenate([room, now.cold_metal[:, 0] if displacer else room]),
        # by the displacer alone: the piston held at the middle of its stroke
        piston_throw=both["piston_throw"] * np.array([1.0, 1e-3 if displacer else 1.0]),
        dead_volume_cold=both["dead_volume_cold"] + np.array([0.0, 0.5 if displacer else 0.0]) * swept,
    )
    turned = operate(changed, np.full((2, 1), BY_HAND), passes=1, refined=False)
    cold, hot = (float(swing) for swing in np.ptp(turned.pressure[:, 0], axis=-1))
    seen = float(share_shown(inputs, now.geometry, now.leak[:, 0], speed=BY_HAND)[0])
    if not displacer:
        return {"swing_cold": cold * seen}
    volume = float((now.geometry.volume_hot + now.geometry.volume_cold).mean() + now.geometry.volume_gap[0])
    travel = hot * volume / float(inputs["room_pressure"][0] * now.geometry.piston_area[0])
    return {"swing_cold": cold * seen, "swing_hot": hot * seen, "loose_travel": travel}


def _wheels(inputs: SampledInputs, now: Operation, curve: Operation) -> dict[str, float]:
    """Return the range of wheels that serve, as masses at the wheel's diameter, [kg].

    At the speed of best power whatever the wheel, so that it does not depend on the wheel there is; at the stated speed
    where no speed has torque to spare.
    """
    points = whatever_the_wheel(inputs, curve)
    best = np.where(points.runs, points.best_speed, now.speed[:, 0])
    speed = float(best[0])
    carried = float(smooth(np.log(curve.speed), curve.fluctuation, np.log(best)[:, None])[0, 0])
    per_mass = moment_of_inertia(mass=1.0, diameter=float(inputs["wheel_diameter"][0]))
    least = 2 * STALL_SHARE * carried / (per_mass * speed**2)
    figures = {"wheel_least": least}
    if points.runs[0]:
        figures["wheel_most"] = max(float(points.spare_torque[0]) * SPIN_UP / (speed * per_mass), least)
    return figures


def _assemble(
    model_inputs: ModelInputs,
    inputs: SampledInputs,
    reference: float,
    curve: Operation,
    points: Points,
    now: Operation,
) -> Prediction:
    runs = bool(points.runs[0])
    figures: dict[str, Figure] = {
        "shaft_power": figure("shaft_power", float(points.best_power[0]), model_inputs),
        "speed_at_best_power": figure(
            "speed_at_best_power", float(points.best_speed[0]) if runs else None, model_inputs
        ),
        "free_running_speed": figure("free_running_speed", float(points.free_speed[0]) if runs else None, model_inputs),
    }
    if "wheel_mass" in inputs:
        figures["least_speed"] = figure("least_speed", float(points.least_speed[0]), model_inputs)
    for key, values in outcomes_at(now).items():
        figures[key] = figure(key, float(values[0]), model_inputs)
    for key, value in _wheels(inputs, now, curve).items():
        figures[key] = figure(key, value, model_inputs)
    line = tuple(
        CurvePoint(speed=float(s), indicated=float(w * s / (2 * np.pi)), shaft=float(t * s))
        for s, w, t in zip(curve.speed[0], curve.indicated[0], curve.torque[0], strict=True)
    )
    warnings = [*model_inputs.warnings, *now.state.reason]
    if not curve.converged.all():
        warnings.append("Some speeds of the curve did not settle; they are left as they are.")
    return Prediction(
        verdict=Verdict.RUNS if runs else Verdict.DOES_NOT_RUN,
        figures=figures,
        at_speed=reference,
        curve=line,
        assumed=model_inputs.assumed,
        warnings=tuple(warnings),
        untested=untested(model_inputs),
        untried=sentences(out_of_range(now)),
    )


def _needs(inputs: SampledInputs, curve: Operation, reference: float) -> tuple[Need, ...]:
    made, wheel = _declared_needs(limits(inputs, curve, reference=reference)), lightest_wheel(inputs, curve)
    if wheel is not None:
        made = (*made, need("wheel", wants=wheel, has=float(inputs["wheel_mass"][0])))

    def order(item: Need) -> tuple[bool, bool, float]:
        """What is not met first; of that what some value would mend, the tightest first."""
        if item.wants is None or item.has is None:
            return item.met, True, 0.0
        ratio = item.wants / max(item.has, 1e-12) if item.at_most else item.has / max(item.wants, 1e-12)
        return item.met, False, float(ratio)

    return tuple(sorted(made, key=order))


def _declared_needs(bounds: Limits) -> tuple[Need, ...]:
    grams = 1 / (GRAVITY * max(bounds.rim, 1e-6))
    return (
        need(
            "temperature_difference",
            wants=bounds.difference,
            has=bounds.difference_now,
            last=DIFFERENCES[0] * bounds.difference_now,
        ),
        need(
            "friction",
            wants=bounds.friction * grams if bounds.friction > 0 else None,
            has=bounds.friction_now * grams,
        ),
        need(
            "leak_half_time",
            wants=bounds.half_time,
            has=bounds.half_time_now,
            last=LEAKS[0] * bounds.half_time_now,
        ),
        need("phase", wants=bounds.phase or None, has=bounds.phase_now, last=PHASES[-1]),
        need(
            "piston",
            wants=None if bounds.throw is None else 2 * bounds.throw,
            has=2 * bounds.throw_now,
            last=2 * THROWS[-1] * bounds.throw_now,
        ),
    )


def _with_intervals(
    prediction: Prediction, model_inputs: ModelInputs, curve: Curve, *, samples: int, seed: int
) -> Prediction:
    inputs = drawn(model_inputs.words, model_inputs.values, samples=samples, seed=seed)
    parts = [_outcomes(batch, curve.reference) for batch in batches(inputs, curve)]
    outcomes = {key: np.concatenate([part[key] for part in parts]) for key in parts[0]}
    test = _first_test(prediction.untested, inputs, outcomes)
    return replace(with_outcomes(prediction, model_inputs, outcomes, inputs), first_test=test)


def with_outcomes(
    prediction: Prediction, model_inputs: ModelInputs, outcomes: Mapping[str, FloatArray], inputs: SampledInputs
) -> Prediction:
    """Put intervals and the chance to run to a prediction of best values.

    Parameters
    ----------
    prediction, model_inputs
        The best values, and what they stand on.
    outcomes : mapping
        Key of a figure -> what engines do, each (engines,), equally likely; ``runs`` (0 or 1) and ``spare``, the torque
        left at the stated speed [N m], of those of `inputs`.
    inputs : SampledInputs
        The engines.
    """
    share, spare = float(outcomes["runs"].mean()), outcomes["spare"]
    verdict = (
        Verdict.RUNS if share >= RUNS_ABOVE else Verdict.DOES_NOT_RUN if share <= RUNS_NOT_BELOW else Verdict.DOUBTFUL
    )
    never = verdict is Verdict.DOES_NOT_RUN
    ends = {key: interval(values) for key, values in outcomes.items()}
    return replace(
        prediction,
        verdict=verdict,
        run_probability=share,
        figures={key: _with_ends(item, ends.get(key), never=never) for key, item in prediction.figures.items()},
        widest=widest(inputs, spare, model_inputs.labels),
        has_interval=True,
    )


def _first_test(untested: tuple[str, ...], inputs: SampledInputs, outcomes: dict[str, FloatArray]) -> FirstTest | None:
    shown = shown_by_tests(inputs, half_time=outcomes.pop("half_time"), hot_metal=outcomes["hot_metal"])
    runs, spare, power = (outcomes[key] for key in ("runs", "spare", "shaft_power"))
    return first_test(untested, shown, runs=runs, spare=spare, power=power)


def _outcomes(batch: Operation, reference: float) -> dict[str, FloatArray]:
    """Return what samples do, each (samples,): the figures, whether they run, and the torque left at the reference."""
    only = _only(batch, int(np.flatnonzero(SAMPLED == 1.0)[0]))
    lasting = {"half_time": half_time(batch.inputs, batch.geometry, batch.leak[:, 0], bore=HOSE)}
    return {**outcomes_over(batch, reference), **outcomes_at(only), **lasting}


def outcomes_over(batch: Torques, reference: float) -> dict[str, FloatArray]:
    """Return what engines do over their speeds, each (engines,)."""
    points = find_points(batch, reference=reference)
    at = np.full((batch.inputs.size, 1), np.log(reference))
    return {
        "runs": points.runs.astype(float),
        "spare": smooth(np.log(batch.speed), batch.torque, at)[:, 0],
        "shaft_power": points.best_power,
        "speed_at_best_power": np.where(points.runs, points.best_speed, 0.0),
        "free_running_speed": np.where(points.runs, points.free_speed, 0.0),
        "least_speed": points.least_speed,
    }


def _with_ends(item: Figure, ends: tuple[float, float] | None, *, never: bool) -> Figure:
    """Put the interval round a figure; the best value stays within it."""
    if ends is None:
        return item
    if never and item.key in ("speed_at_best_power", "free_running_speed"):
        return replace(item, value=None, low=None, high=None)
    low, high = ends
    if item.value is None:
        return replace(item, low=low, high=high)
    return replace(item, low=min(low, item.value), high=max(high, item.value))


def _only(batch: Operation, column: int) -> Operation:
    """Return the operation at one of its speeds."""
    parts: Mapping[str, FloatArray] = {
        name: getattr(batch, name)[:, column : column + 1]
        for name in (
            "speed", "torque", "indicated", "shaft", "forced", "fluctuation", "flow", "isothermal", "hot_metal",
            "cold_metal", "hot_gas", "cold_gas", "heat_taken", "heat_given", "effectiveness", "blow", "converged",
        )
    }  # fmt: skip
    swing = replace(batch.state, pressure=batch.pressure[:, column])
    net = batch.network.at(column, batch.speed.shape[1])
    return replace(batch, state=swing, network=net, **parts)  # type: ignore[arg-type]
