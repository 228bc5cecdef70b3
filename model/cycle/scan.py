"""Linear algebra of a closed chain of small affine steps: compose them, close the loop, give every state back.

The step from one angle to the next maps three states; five numbers stay free: the first two states and two parameters
of the whole turn, and with them the third state. Chunks of the chain are composed side by side and then one after the
other, so that a turn of n steps costs about two square roots of n calls. Knows no physics.
"""

from __future__ import annotations

from functools import cache

import numpy as np

from model.physics.values import BoolArray, FloatArray

STATES = 3
COLUMNS = 6
"""Columns of a map: three states, two parameters, one constant."""


@cache
def _chunks(n: int) -> int:
    """Number of chunks of the scan: the divisor of n that lies nearest to sqrt(n)/1.4."""
    wanted = max(1.0, np.sqrt(n) / 1.4)
    return min((d for d in range(1, n + 1) if n % d == 0), key=lambda d: abs(d - wanted))


class Scan:
    """Maps of the steps of ``size`` chains of ``n`` steps, and room to work in that is used again and again."""

    def __init__(self, n: int, size: int) -> None:
        self.n, self.size, self.count = n, size, _chunks(n)
        self.length = n // self.count
        shape = (STATES, COLUMNS, self.count, size)
        self._maps: FloatArray = np.empty((self.length, *shape))
        self._local: FloatArray = np.empty((self.length + 1, *shape))
        self._local[0] = 0.0
        for i in range(STATES):
            self._local[0, i, i] = 1.0
        self._start: FloatArray = np.empty((self.count + 1, STATES, COLUMNS, size))
        self._start[0] = self._local[0, :, :, 0]
        self.maps: FloatArray = self._maps.transpose(1, 2, 3, 0, 4)
        """(3, 6, chunks, steps of a chunk, size), to be filled with what `fold` gives: next states over this step's."""

    def fold(self, values: FloatArray) -> FloatArray:
        """Return values over the angles, (..., n, size), as (..., chunks, steps of a chunk, size)."""
        return values.reshape(*values.shape[:-2], self.count, self.length, self.size)

    def compose(self) -> FloatArray:
        """Compose all steps; return the map of the whole chain, (3, 6, size)."""
        spare = np.empty(self._maps.shape[1:])
        self._local[1] = self._maps[0]
        for j in range(1, self.length):
            _compose(self._maps[j], self._local[j], self._local[j + 1], spare)
        spare = np.empty(self._start.shape[1:])
        for c in range(self.count):
            _compose(self._local[self.length, :, :, c], self._start[c], self._start[c + 1], spare)
        return np.asarray(self._start[self.count])

    def pull(self, rows: FloatArray) -> FloatArray:
        """Return functionals over all angles, (f, 3, n, size), as functionals of the first angle, (f, 6, size)."""
        per_chunk = np.einsum("ficlb,likcb->fkcb", self.fold(rows), self._local[: self.length])
        pulled = np.einsum("ficb,cikb->fkb", per_chunk[:, :STATES], self._start[: self.count])
        pulled[:, STATES:] += per_chunk[:, STATES:].sum(axis=2)
        return np.asarray(pulled)

    def states(self, free: FloatArray) -> FloatArray:
        """Return the states at all angles, (3, n, size), from the five free numbers, (5, size)."""
        known = np.concatenate([free, np.ones((1, self.size))])
        begin = np.einsum("cikb,kb->cib", self._start[: self.count], known)
        local = self._local[: self.length]
        states = np.einsum("likcb,ckb->iclb", local[:, :, :STATES], begin)
        for column in range(STATES, COLUMNS):
            states += (local[:, :, column] * known[column]).transpose(1, 2, 0, 3)
        return np.asarray(states).reshape(STATES, self.n, self.size)


def _compose(later: FloatArray, earlier: FloatArray, out: FloatArray, spare: FloatArray) -> None:
    """Put the affine map later after earlier into out, all (3, 6, ...); parameters and constant pass through."""
    np.multiply(later[:, 0, None], earlier[0], out=out)
    for i in (1, 2):
        np.multiply(later[:, i, None], earlier[i], out=spare)
        out += spare
    out[:, STATES:] += later[:, STATES:]


def solve_small(system: FloatArray, right: FloatArray) -> tuple[FloatArray, BoolArray]:
    """Solve small systems, (size, k, k) and (size, k); return (k, size) and which had no solution (nil there)."""
    bad: BoolArray = np.asarray(~(np.isfinite(system).all(axis=(1, 2)) & np.isfinite(right).all(axis=1)))
    system[bad] = np.eye(system.shape[1])
    scale = np.abs(system).max(axis=2, keepdims=True)
    determinant = np.linalg.det(system / np.where(scale > 0, scale, 1.0))
    bad |= ~(np.abs(determinant) > 1e-40)
    system[bad] = np.eye(system.shape[1])
    right[bad] = 0.0
    return np.asarray(np.linalg.solve(system, right[..., None])[..., 0].T, float), bad
