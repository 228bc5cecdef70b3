"""The timing strip: crank angle against displacer and piston, in plain characters. Pure; stdlib only."""

from __future__ import annotations

import math

WIDTH = 61
"""Columns of the strip: one for each 6 degrees."""
_ROWS = 5


def timing_strip(phase_deg: float, *, first: str, second: str, zero: str) -> list[str]:
    """Draw one turn: the displacer (or hot piston) ahead of the power piston by `phase_deg`.

    Parameters
    ----------
    phase_deg : float
        Angle by which the first goes ahead of the second, [deg].
    first, second : str
        What is drawn with ``D`` and ``P``.
    zero : str
        What holds at angle 0.
    """
    rows = [[" "] * WIDTH for _ in range(_ROWS)]
    for column in range(WIDTH):
        angle = math.radians(column * 360 / (WIDTH - 1))
        for sign, lag in (("D", 0.0), ("P", math.radians(phase_deg))):
            height = (1 + math.cos(angle - lag)) / 2
            row = rows[round((1 - height) * (_ROWS - 1))]
            row[column] = "*" if row[column] not in (" ", sign) else sign
    labels = ["out "] + ["    "] * (_ROWS - 2) + ["in  "]
    scale = [" "] * (WIDTH + 3)
    for degrees in range(0, 361, 90):
        place = round(degrees * (WIDTH - 1) / 360)
        for offset, char in enumerate(str(degrees)):
            scale[place + offset] = char
    out = phase_deg % 360
    return [
        *(label + "".join(row).rstrip() for label, row in zip(labels, rows, strict=True)),
        "    " + "".join(scale).rstrip() + "  deg",
        f"    D {first}, P {second}, * both.",
        f"    Crank angle, in the direction of turn. At 0 {zero}; at {out:.0f} the {second} is out.",
    ]
