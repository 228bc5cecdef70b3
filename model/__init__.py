"""The engine model and the notebook's records. Imports nothing of the screen; ``import model`` loads no numpy.

Data goes one way: texts -> `fields` -> `Build` -> `inputs.complete_inputs` (typed value, else what was measured on
this mark, else a guessed range; material data; factors of the model) -> `running.samples.SampledInputs`, arrays
``(samples,)`` -> `running` at speeds ``(samples, speeds)`` -> `prediction.predict` -> `Prediction`. `explain.outlook`
is the whole way for a mark of a project, `explain.gap` for a reading, `explain.diagnosis` for an engine that does not
run.

Units are SI, and no name carries one; at every edge (file, form, report) the unit is written. Signs and zeros:

- ``angle`` (theta, rad): crank angle of the displacer (alpha: of the hot piston) in the direction of turn; zero where
  it stands nearest to the hot end.
- ``phase`` (alpha, rad): angle by which the displacer's crank (alpha: the hot piston's) goes ahead of the power
  piston's; positive: all the air is hot first, the piston is fully out a phase later. ``cylinder_angle``: from the
  piston's cylinder to the displacer's, in the direction of turn; added to the phase.
- ``throw`` (r), ``rod`` (l), m: crank radius; connecting rod, pin to pin. The stroke is 2 r.
- ``volume_hot``, ``volume_cold``, ``volume_gap`` (V_h, V_c, V_r), m^3: the spaces, and clearance, passage or
  regenerator between them.
- ``pressure`` (p), Pa: of the air inside, absolute; never gauge.
- ``temperature_wall`` (T_w), ``temperature`` (T), K: metal; air. Metal is not air.
- ``conductance`` (hA), W/K: from wall to air. ``heat`` (Q), J: of a turn, positive into the air.
- ``work`` (W), J: of a turn, indicated, positive out of the air. ``forced`` (W_forced), J, >= 0: work that the crank
  gives to the piston against the pressure, or takes against it.
- ``compliance_hot``, ``compliance_cold`` (C), m^3/Pa, >= 0: what a flat end gives for a pressure, V = V(theta) + C (p
  - p_room). ``end_edge``: how much more it gives than with a clamped rim (1 clamped, (7 + nu)/(1 + nu) simply
  supported).
- ``effectiveness`` of a gap (epsilon), 0 to 1: share of the largest possible exchange of heat between the two blows;
  ``effectiveness_heater``, ``effectiveness_cooler`` (eta): of a heater or cooler passage, both ways; of the mechanism
  (E): output over input of crank and piston where they carry the work. ``conduction`` (lambda) along a regenerator:
  its wall's conductance from end to end over the mean heat capacity flow of one direction.
- ``speed`` (omega), rad/s, shown in rpm. ``friction_torque``, N m, >= 0: does not depend on load or speed, chamber
  open, against the turn. ``speed_drag``, N m s, >= 0: grows with speed. ``shaft``, ``indicated``, W: positive out of
  the engine.
- ``spread``: standard uncertainty (JCGM 100:2008); a text's +- is twice this. ``low``, ``high`` of a figure: ends of
  the 90 % interval.
- ``leak_half_time``, s: in which a small pressure in the closed chamber halves, of the chamber alone; one read on
  ``u_tube_hose`` (inside diameter, m; 0 for a sensor) has the U-tube's compliance in it.
"""

import os

# the matrices are small: several threads of the linear algebra wait for each other, several times as long where the
# cores are shared; numpy reads it when it is loaded
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
