"""What a number is here: a float or an array that broadcasts; small ways to keep it finite, to join several and to
find their middle.

Owns no physics. Called by every file of `model.physics`.
"""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

FloatArray: TypeAlias = NDArray[np.float64]
BoolArray: TypeAlias = NDArray[np.bool_]
IndexArray: TypeAlias = NDArray[np.intp]
"""What the functions give back: an array, or a numpy scalar where all that came in was scalar."""

Values: TypeAlias = float | FloatArray
"""What the functions take: anything that broadcasts."""

TINY = 1e-12
"""Floor under a magnitude that is divided by (Reynolds and Graetz numbers, lengths in m); far below anything
real."""


def as_array(values: Values) -> FloatArray:
    """Return the values as an array of floats (a scalar becomes an array without axes)."""
    return np.asarray(values, dtype=np.float64)


def median(values: Values) -> float:
    """Return the middle one of all values, at least one of them, or the mean of the middle two; NaN where one is.

    As numpy's median, which loads its masked arrays at the first call: a megabyte and ten milliseconds.

    Examples
    --------
    >>> median(np.array([3.0, 1.0, 2.0])), median(np.array([4.0, 1.0, 2.0, 8.0]))
    (2.0, 3.0)
    """
    ordered = np.sort(as_array(values), axis=None)
    if np.isnan(ordered[-1]):  # sorted last
        return float("nan")
    return float(ordered[(ordered.size - 1) // 2] + ordered[ordered.size // 2]) / 2


def magnitude(values: Values) -> FloatArray:
    """Return the size of the values whichever way they point, never quite zero.

    Examples
    --------
    >>> float(magnitude(-3.0)), float(magnitude(0.0)) > 0.0
    (3.0, True)
    """
    return np.maximum(np.abs(as_array(values)), TINY)


def smooth_step(values: Values, *, low: float, high: float) -> FloatArray:
    """Return 0 below ``low``, 1 above ``high``, and a cubic with level ends between.

    Examples
    --------
    >>> [round(float(smooth_step(x, low=2300.0, high=4000.0)), 3) for x in (0.0, 3150.0, 1e6)]
    [0.0, 0.5, 1.0]
    """
    x = np.clip((as_array(values) - low) / (high - low), 0.0, 1.0)
    return x * x * (3.0 - 2.0 * x)


def blend(*terms: FloatArray) -> FloatArray:
    """Join coefficients that rule in turn: third root of the sum of third powers [ChurchillUsagi1972]."""
    total = sum((term**3 for term in terms), np.zeros(()))
    return np.asarray(np.cbrt(total))
