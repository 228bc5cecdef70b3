"""Round numbers along an axis. Pure."""

from __future__ import annotations

import math

MOST = 200
"""Ticks that are ever made."""


def round_number(size: float, *, nearest: bool) -> float:
    """Return a number of the form 1, 2 or 5 times a power of ten, near a size, or not below it.

    Source: P. S. Heckbert, Nice numbers for graph labels, Graphics Gems (Academic Press 1990), ``nicenum``.

    Examples
    --------
    >>> round_number(438.0, nearest=False), round_number(125.0, nearest=True)
    (500.0, 100.0)
    """
    power = 10.0 ** math.floor(math.log10(size))
    lead = size / power
    steps = ((1.5, 1.0), (3.0, 2.0), (7.0, 5.0)) if nearest else ((1.0, 1.0), (2.0, 2.0), (5.0, 5.0))
    for bound, number in steps:
        if lead < bound or (not nearest and lead <= bound * (1 + 1e-9)):
            return number * power
    return 10.0 * power


def ticks(low: float, high: float, *, about: int) -> tuple[float, ...]:
    """Return round numbers, evenly apart, of which the first and the last hold everything from `low` to `high`.

    Parameters
    ----------
    low, high : float
        Ends of what is shown, in the unit that is shown.
    about : int
        How many there should be.

    Notes
    -----
    Source: Heckbert 1990 as above, ``loose_label``.

    Examples
    --------
    >>> ticks(105.0, 543.0, about=5)
    (100.0, 200.0, 300.0, 400.0, 500.0, 600.0)
    """
    if not (math.isfinite(low) and math.isfinite(high)):
        return ()
    if high <= low or high - low < 1e-9 * max(abs(low), abs(high)):
        room = abs(low) * 0.1 or 1.0
        low, high = low - room, high + room
    step = round_number(round_number(high - low, nearest=False) / max(1, about - 1), nearest=True)
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    return tuple(number * step for number in range(first, min(last, first + MOST) + 1))


def tick_texts(values: tuple[float, ...]) -> tuple[str, ...]:
    """Write ticks with as many decimals as their step needs.

    Examples
    --------
    >>> tick_texts((0.0, 0.05, 0.1)), tick_texts((0.0, 20000.0)), tick_texts((0.0, 2e-6))
    (('0', '0.05', '0.10'), ('0', '20000'), ('0', '2e-06'))
    """
    if len(values) < 2:
        return tuple(f"{value:.4g}" for value in values)
    places = -math.floor(math.log10(values[1] - values[0]) + 1e-9)
    if places > 5 or places < -6:
        return tuple("0" if abs(value) < 1e-12 else f"{value:.3g}" for value in values)
    texts = [f"{value:.{max(0, places)}f}" for value in values]
    return tuple("0" if float(text) == 0 else text for text in texts)
