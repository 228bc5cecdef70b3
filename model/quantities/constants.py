"""Numbers that more than one room needs; no numpy."""

from __future__ import annotations

GRAVITY = 9.80665
"""Standard acceleration of fall, [m/s^2]. Source: 3rd CGPM (1901); ISO 80000-3:2019."""
WHEEL_SHAPE = 0.6
"""Moment of inertia of a wheel over mass times radius squared: 0.5 for a disc, 1 for a ring; most lie between."""
