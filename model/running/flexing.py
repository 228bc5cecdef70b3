"""Ends that flex: what volume the flat plates at both ends give for a pressure, at every speed of a batch.

Each is a round plate, rim between clamped and simply supported, that adds C (p - p_room) to its space, at that
space's own temperature and inside the balances, so there is no equivalent dead volume to be wrong about; its work C/2
d(p^2) is exact in a step and nil over a turn. To first order it is p C more volume (isothermal) to gamma p C
(adiabatic), and swing and work shrink alike. A plate that bends more than half its thickness stretches; it gets the
secant compliance at the swing of the isothermal turn with stiff ends, which leaves the ends of a thin lid up to a
third stiffer than they are.

An empty thickness is 1 to 3 mm (a 150th to a 50th of a wide bore) on a flat metal-ended gamma that no flame heats, and
stiff elsewhere: cans have ribbed bottoms and lids. Seals and foam of a flat engine give a share of its air's own p C,
half of it at each end; a rubber diaphragm balloons between disc and rim, at the cold end. Which of plates, seals, foam
and leak gives, a swing cannot tell: a syringe of 1 ml pushed into the engine at rest shows all that gives, and how fast
its pressure falls the leak.
"""

from __future__ import annotations

import numpy as np

from model.physics.plate import balloon_compliance, flexural_rigidity, plate_compliance, stretched_share
from model.physics.values import FloatArray
from model.running.engine import Geometry
from model.running.samples import SampledInputs

MEAN_OF_CENTRE = 0.4
"""Mean deflection over that of the centre: a third clamped, 0.46 simply supported (`model.physics.plate`)."""
SOFTEST = 0.3
"""Share of the smallest space that the ends may take up or give, at most: beyond, plate and displacer would touch."""
GIVING = ("hot_end_thickness", "cold_end_thickness", "soft_parts", "rubber_stretch")
"""Inputs that make an engine give."""
ROUNDS = 8
"""Rounds of swing and stretching; each brings the swing of a thin lid nearer by a third or more."""


def flexes(inputs: SampledInputs) -> bool:
    """Whether any end of these engines gives."""
    return any(name in inputs for name in GIVING)


def compliances(inputs: SampledInputs, form: Geometry, swing: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return what the hot and the cold end give, (samples, speeds) each [m^3/Pa].

    A thin end stretches and stiffens as it bends, so `swing` counts: half of what stiff ends would have from highest
    to lowest pressure, (samples, speeds) [Pa], from the isothermal turn. The true swing is a half to the whole of it,
    which leaves a stretched end up to a third softer than said here; one that bends less than half its thickness
    follows the formula of small deflections.
    """
    room = inputs.column("room_pressure")
    volume = ((form.volume_hot + form.volume_cold).mean(axis=1) + form.volume_gap)[:, None]
    small = [_small(inputs, end, bore) for end, bore in (("hot", form.bore_hot), ("cold", form.bore_cold))]
    amplitude, given = swing, [c[:, None] * np.ones_like(swing) for c, _ in small]
    bends = [bool(c.any()) for c, _ in small]
    parts = inputs.column("soft_parts") * volume / room if "soft_parts" in inputs else np.zeros_like(room)
    balloon = np.zeros_like(swing)
    # where all that gives follows the pressure in proportion, nothing hangs on the swing
    for _ in range(ROUNDS if any(bends) or "rubber_stretch" in inputs else 0):
        balloon = _balloon(inputs, amplitude)
        soft = given[0] + given[1] + parts + balloon
        amplitude = np.sqrt(amplitude * swing / (1 + room * soft / volume))
        given = [
            c[:, None] * stretched_share(deflection_over_thickness=c[:, None] * amplitude * scale[:, None])
            if bent
            else g
            for g, bent, (c, scale) in zip(given, bends, small, strict=True)
        ]
    most = np.maximum(amplitude, 1.0)
    hot, cold = (
        np.minimum(one, SOFTEST * space.min(axis=1)[:, None] / most) + parts / 2
        for one, space in zip(given, (form.volume_hot, form.volume_cold), strict=True)
    )
    return np.asarray(hot), np.asarray(cold + balloon)


def _balloon(inputs: SampledInputs, amplitude: FloatArray) -> FloatArray:
    """Return what the ring of a rubber diaphragm gives at an amplitude [Pa], (samples, speeds) [m^3/Pa]."""
    if "rubber_stretch" not in inputs:
        return np.zeros_like(amplitude)
    rim, disc = inputs.column("diaphragm_rim"), np.minimum(inputs["diaphragm_disc"], inputs["diaphragm_rim"])[:, None]
    return balloon_compliance(
        pressure=np.maximum(amplitude, 1.0),
        width=(rim - disc) / 2,
        area=inputs.column("piston_count") * np.pi / 4 * (rim**2 - disc**2),
        stretch_stiffness=inputs.column("rubber_stretch"),
    )


def _small(inputs: SampledInputs, end: str, bore: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Compliance at small pressure [m^3/Pa], and deflection of the centre over thickness for a volume [1/m^3]."""
    if f"{end}_end_thickness" not in inputs:
        return np.zeros(inputs.size), np.zeros(inputs.size)
    thickness = inputs[f"{end}_end_thickness"]
    rigidity = flexural_rigidity(
        modulus=inputs[f"{end}_end_modulus"], poisson=inputs[f"{end}_end_poisson"], thickness=thickness
    )
    soft = plate_compliance(radius=bore / 2, rigidity=rigidity, edge=inputs["end_edge"])
    return soft, 1 / (MEAN_OF_CENTRE * np.pi / 4 * bore**2 * thickness)


def bending(inputs: SampledInputs, form: Geometry, amplitude: FloatArray) -> FloatArray:
    """Return how far the middle of the softer end goes, over its thickness, (samples, speeds) [-]; small bends."""
    small = (_small(inputs, end, bore) for end, bore in (("hot", form.bore_hot), ("cold", form.bore_cold)))
    return np.asarray(np.maximum(*(c[:, None] * amplitude * scale[:, None] for c, scale in small)))


def at_rest(inputs: SampledInputs, form: Geometry, pressure: float) -> FloatArray:
    """Return what both ends give together at a steady small pressure [Pa], (samples,) [m^3/Pa]."""
    if not flexes(inputs):
        return np.zeros(inputs.size)
    hot, cold = compliances(inputs, form, np.full((inputs.size, 1), pressure))
    return np.asarray((hot + cold)[:, 0])
