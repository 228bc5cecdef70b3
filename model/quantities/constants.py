"""Numbers that more than one package needs; no numpy."""

from __future__ import annotations

GRAVITY = 9.80665
"""Standard acceleration of fall, [m/s^2]. Source: 3rd CGPM (1901); ISO 80000-3:2019."""
FUSION_OF_ICE = 333.6e3
"""Heat of fusion of ice at 273.15 K, [J/kg]; [CRC], from memory."""
STEFAN_BOLTZMANN = 5.670374419e-8
"""Stefan-Boltzmann constant, [W/(m^2 K^4)]; exact since the 2019 definition of the SI."""
