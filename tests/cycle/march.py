"""The same engine marched along its differential equations: an independent judge of the periodic solver.

Written straight from the balances of energy and mass of two stirred spaces with a gap between them; knows nothing of
the solver's grid, weights or elimination. Per radian, ' the slope over the angle, in units of the room's pressure, the
mean volume and the cold metal's temperature, with mass as p V/T:

    a_i = p V_i' + V_i p'/gamma - k Q_i' + T_L L,   k = (gamma - 1)/gamma,   Q_i' = h_i (Tw_i - T_i)
    V_i' = dV_i + C_i p' where the walls give a volume C_i (p - 1)
    m_i' = a_i/T_i*  from the gap;  T_i* = T_i when it leaves the space, else T_ri + eta_i (Tw_i - T_ri)
    sum(a_i/T_i*) + store p' = 0,  store = V_r/T_r and what heater and cooler hold at their walls

The face temperatures T_ri are constants of the turn, found together with the state that returns (shooting).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import root

from tests.cycle.builds import Build, leak_of, mean_volume

TURN = 2 * math.pi


@dataclass(frozen=True, slots=True, kw_only=True)
class Marched:
    """The periodic state that was found, SI."""

    work: float
    heat_hot: float
    heat_cold: float
    leak_enthalpy: float
    pressure_min: float
    pressure_max: float
    face_hot: float
    face_cold: float
    miss: float
    """Largest relative miss of the conditions."""
    turns: int
    """How many turns were integrated."""


class Marcher:
    """One build, ready to be marched; method and tolerances are scipy's."""

    def __init__(
        self,
        build: Build,
        *,
        method: str = "LSODA",
        rtol: float = 1e-7,
        atol: float = 1e-9,
        max_step: float = TURN / 24,
    ) -> None:
        self.build, self.method = build, method
        self.accuracy = {"rtol": rtol, "atol": atol, "max_step": max_step}
        self.volume = mean_volume(build)
        self.unit = build.pressure * self.volume
        self.gamma = build.heat_capacity_ratio
        self.k = (self.gamma - 1) / self.gamma
        self.wall_hot = build.temperature_hot / build.temperature_cold
        self.room = build.temperature_room / build.temperature_cold
        self.heater = build.volume_heater / self.volume / self.wall_hot
        self.cooler = build.volume_cooler / self.volume
        self.leak = leak_of(build) * build.pressure / self.volume / build.speed / 2
        x, y = build.swept_hot, build.swept_cold
        overlap = (x + y) / 2 - math.sqrt((x * x + y * y) / 4 - x * y * math.cos(build.phase) / 2)
        self.offset = x - (overlap if build.layout == "beta" else 0.0)
        self.turns = 0

    def _at(self, angle: float) -> tuple[float, float, float, float, float, float]:
        """Volumes, their slopes and conductances at an angle, scaled; those of `builds`, in plain floats for speed."""
        b = self.build
        lag = angle - b.phase
        hot, out = b.swept_hot / 2 * (1 - math.cos(angle)), b.swept_cold / 2 * (1 - math.cos(lag))
        dhot, dout = b.swept_hot / 2 * math.sin(angle), b.swept_cold / 2 * math.sin(lag)
        alpha = b.layout == "alpha"
        cold, dcold = (out, dout) if alpha else (self.offset - hot + out, dout - dhot)
        wave = b.harmonic * angle
        return (
            (hot + b.dead_hot) / self.volume, (cold + b.dead_cold) / self.volume,
            dhot / self.volume, dcold / self.volume,
            b.ntu_hot / self.k * (1 + b.swing * math.cos(wave)), b.ntu_cold / self.k * (1 - b.swing * math.sin(wave)),
        )  # fmt: skip

    def slopes(self, angle: float, y: list[float], faces: tuple[float, float]) -> list[float]:
        """Slopes of pressure, both masses and everything that is summed over a turn."""
        p, mh, mc = float(y[0]), float(y[1]), float(y[2])
        b, gamma, k = self.build, self.gamma, self.k
        vh, vc, dvh, dvc, hh, hc = self._at(angle)
        vh, vc = vh + b.give_hot * (p - 1), vc + b.give_cold * (p - 1)
        th, tc = p * vh / mh, p * vc / mc
        of_h, of_c = vh / gamma + p * b.give_hot, vc / gamma + p * b.give_cold
        fh, fc = faces
        store = b.dead_gap / self.volume / _log_mean(fh, fc) + self.heater + self.cooler
        leak = self.leak * (p * p - 1)
        leaving = tc if leak > 0 else self.room
        qh, qc = hh * (self.wall_hot - th), hc * (1 - tc)
        # a_i = base_i + (V_i/gamma + p C_i) p'
        base_h, base_c = p * dvh - k * qh, p * dvc - k * qc + leaving * leak
        in_h = fh + b.effectiveness_heater * (self.wall_hot - fh)
        in_c = fc + b.effectiveness_cooler * (1 - fc)

        def surplus(dp: float) -> float:
            a, c = base_h + of_h * dp, base_c + of_c * dp
            return a / (th if a < 0 else in_h) + c / (tc if c < 0 else in_c) + store * dp

        # the sum grows with p' along three straight pieces: find the piece that crosses zero
        low, high = sorted((-base_h / of_h, -base_c / of_c))
        width = high - low + abs(high) + 1.0
        if surplus(low) >= 0:
            left, right = low - width, low
        elif surplus(high) <= 0:
            left, right = high, high + width
        else:
            left, right = low, high
        at_left, at_right = surplus(left), surplus(right)
        dp = left - at_left * (right - left) / (at_right - at_left) if at_right != at_left else left
        ah, ac = base_h + of_h * dp, base_c + of_c * dp
        from_gap_h, from_gap_c = ah / (th if ah < 0 else in_h), ac / (tc if ac < 0 else in_c)
        # through the gap's faces, behind what heater and cooler store
        gap_h, gap_c = from_gap_h + self.heater * dp, from_gap_c + self.cooler * dp
        gives_h = th + b.effectiveness_heater * (self.wall_hot - th) if ah < 0 else self.wall_hot
        gives_c = tc + b.effectiveness_cooler * (1 - tc) if ac < 0 else 1.0
        out_h, out_c = max(-gap_h, 0.0), max(-gap_c, 0.0)
        # heat of an exchanger: what its stored energy, its space's end and the gap's end leave over
        heater = (th if ah < 0 else in_h) * from_gap_h - (gives_h if gap_h < 0 else fh) * gap_h
        cooler = (tc if ac < 0 else in_c) * from_gap_c - (gives_c if gap_c < 0 else fc) * gap_c
        return [
            dp, from_gap_h, from_gap_c - leak, p * (dvh + dvc), qh + heater / k, qc + cooler / k,
            leaving * leak / k, out_h, out_c, out_h * gives_h, out_c * gives_c, p * p if self.leak > 0 else p,
        ]  # fmt: skip

    def start(self, p: float) -> tuple[float, float]:
        """Volumes at angle zero at a pressure."""
        vh, vc = self._at(0.0)[:2]
        return vh + self.build.give_hot * (p - 1), vc + self.build.give_cold * (p - 1)

    def turn(
        self, state: list[float], faces: tuple[float, float], *, dense: bool = False
    ) -> tuple[list[float], object]:
        """One turn from pressure, hot and cold temperature; returns all at its end, and the path if it is wanted."""
        p, th, tc = state
        vh, vc = self.start(p)
        self.turns += 1
        found = solve_ivp(
            lambda angle, y: self.slopes(angle, y, faces), (0.0, TURN), [p, p * vh / th, p * vc / tc] + [0.0] * 9,
            method=self.method, dense_output=dense, **self.accuracy,
        )  # fmt: skip
        if not found.success:
            raise ArithmeticError(found.message)
        return [float(v) for v in found.y[:, -1]], found

    def faces_after(self, end: list[float]) -> tuple[float, float]:
        """Faces that make the gap store nothing over the turn that ended so."""
        mh, mc = end[7], end[8]
        mean_h, mean_c = end[9] / mh, end[10] / mc
        least, lack = min(mh, mc), (1 - self.build.effectiveness) * (mean_h - mean_c)
        return mean_h - lack * least / mh, mean_c + lack * least / mc

    def again(self, end: list[float]) -> list[float]:
        """Start of the next turn; without a leak, air is let in or out until the mean pressure is the room's."""
        vh, vc = self.start(end[0])
        mean = 1.0 if self.leak > 0 else end[11] / TURN
        return [end[0] / mean, end[0] * vh / end[1], end[0] * vc / end[2]]

    def misses(self, logs: np.ndarray) -> list[float]:
        """How far a start and its faces (logarithms) are from returning, and from the room's pressure."""
        p, th, tc, fh, fc = (float(v) for v in np.exp(logs))
        end, _ = self.turn([p, th, tc], (fh, fc))
        vh = self.start(end[0])[0]
        new_h, new_c = self.faces_after(end)
        return [
            math.log(end[0] / p), math.log(end[0] * vh / end[1] / th), end[11] / TURN - 1,
            math.log(new_h / fh), math.log(new_c / fc),
        ]  # fmt: skip


def _log_mean(a: float, b: float) -> float:
    return (a + b) / 2 if abs(a / b - 1) < 1e-7 else (a - b) / math.log(a / b)


def shoot(build: Build) -> Marched:
    """Find the periodic state by shooting, from the walls' temperatures."""
    m = Marcher(build)
    first = [1.0, m.wall_hot, 1.0]
    faces = (m.wall_hot, 1.0)
    for _ in range(2):
        end, _path = m.turn(first, faces)
        faces = m.faces_after(end)
        first = m.again(end)
    found = root(m.misses, np.log([*first, *faces]), method="hybr", options={"xtol": 1e-6, "eps": 1e-7})
    p, th, tc, fh, fc = (float(v) for v in np.exp(found.x))
    end, path = m.turn([p, th, tc], (fh, fc), dense=True)
    pressure = path.sol(np.linspace(0, TURN, 400))[0]  # type: ignore[attr-defined]
    to_heat, to_kelvin = m.unit, build.temperature_cold
    return Marched(
        work=end[3] * to_heat,
        heat_hot=end[4] * to_heat,
        heat_cold=end[5] * to_heat,
        leak_enthalpy=end[6] * to_heat,
        pressure_min=float(pressure.min()) * build.pressure,
        pressure_max=float(pressure.max()) * build.pressure,
        face_hot=fh * to_kelvin,
        face_cold=fc * to_kelvin,
        miss=float(np.abs(found.fun).max()),
        turns=m.turns,
    )
