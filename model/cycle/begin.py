"""Where a turn begins: states of turns already solved, taken to other grids, other metals and other speeds."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from model.cycle.turn import State
from model.physics.values import FloatArray

OVER_ANGLES = ("pressure", "temperature_hot", "temperature_cold")
"""What a start needs at the angles, (n, n_angles)."""
OF_TURN = ("face_hot", "face_cold")
"""What it needs of the turn, (n,)."""


def _changed(state: State, change: Callable[[FloatArray], FloatArray], names: tuple[str, ...]) -> State:
    return replace(state, **{name: change(getattr(state, name)) for name in names})  # type: ignore[arg-type]


def on_grid(state: State, angles: int) -> State:
    """Interpolate a state between its angles, to more or fewer."""
    known = state.pressure.shape[-1]
    if known == angles:
        return state
    at = np.arange(angles) * known / angles
    i = at.astype(int)
    share = at - i
    return _changed(state, lambda x: np.asarray((1 - share) * x[:, i] + share * x[:, (i + 1) % known]), OVER_ANGLES)


def every_other(state: State) -> State:
    """Leave every other angle out."""
    return _changed(state, lambda x: x[:, ::2], OVER_ANGLES)


def warmed(state: State, *, before: tuple[FloatArray, FloatArray], after: tuple[FloatArray, FloatArray]) -> State:
    """Let the air keep its place between the metals as these move; hot and cold metal, (n,) [K]."""
    (hot, cold), (to_hot, to_cold) = before, after
    stretch = np.clip((to_hot - to_cold) / np.maximum(hot - cold, 0.1), 0.1, 10.0)

    def moved(values: FloatArray) -> FloatArray:
        a, b, c, d = (x[:, None] if values.ndim == 2 else x for x in (cold, stretch, to_cold, to_hot))
        return np.asarray(np.clip(c + (values - a) * b, 0.5 * c, 2 * d))

    return _changed(state, moved, ("temperature_hot", "temperature_cold", *OF_TURN))


def repeated(state: State, shape: tuple[int, int], times: int) -> State:
    """Repeat every sample of a state (samples * speeds, ...) so many times, in blocks."""

    def more(values: FloatArray) -> FloatArray:
        repeats = np.repeat(values.reshape(*shape, *values.shape[1:]), times, axis=0)
        return repeats.reshape(-1, *values.shape[1:])

    return _changed(state, more, (*OVER_ANGLES, *OF_TURN))


class Between:
    """Places between known speeds, straight over their logarithm; held at the ends."""

    def __init__(self, known: FloatArray, wanted: FloatArray) -> None:
        """Take known, ascending, and wanted speeds, (samples, k) and (samples, m)."""
        self.shape = known.shape
        last = known.shape[1] - 1
        at = (known[:, None, :] <= wanted[:, :, None]).sum(axis=2) - 1
        self.at: NDArray[np.intp] = np.clip(at, 0, max(last - 1, 0))
        self.after = np.minimum(self.at + 1, last)
        self.rows = np.arange(len(known))[:, None]
        first, second = np.log(known[self.rows, self.at]), np.log(known[self.rows, self.after])
        step = np.where(second > first, second - first, 1.0)
        self.share = np.clip((np.log(wanted) - first) / step, 0.0, 1.0)

    def values(self, known: FloatArray) -> FloatArray:
        """Return values (samples, k, ...) at the wanted speeds, (samples, m, ...)."""
        share = self.share.reshape(*self.share.shape, *(1,) * (known.ndim - 2))
        return np.asarray((1 - share) * known[self.rows, self.at] + share * known[self.rows, self.after])

    def state(self, state: State) -> State:
        """Return a state (samples * k, ...) at the wanted speeds, (samples * m, ...); only what a start needs."""

        def moved(values: FloatArray) -> FloatArray:
            values_there = self.values(values.reshape(*self.shape, *values.shape[1:]))
            return values_there.reshape(-1, *values.shape[1:])

        return _changed(state, moved, (*OVER_ANGLES, *OF_TURN))
