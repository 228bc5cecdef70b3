"""From model inputs to a prediction: figures with intervals, each with its why.

Intervals: Latin hypercube over every uncertain input, typed, guessed or of the model; the central 90 % of the outcomes
(JCGM 101:2008, 7.7). The probability to run is the share of samples with torque to spare at a speed at which the wheel
carries it. The inputs that widen an interval are named by squared rank correlation.

Limits: heat that the flow makes by friction is not given back to the air (up to 0.7 % of the heat taken in at running
speeds of small engines, 1.5 % in the largest). Air at about atmospheric pressure; cranked displacers; well-stirred
spaces (no stratification, no storage in the displacer's faces); steady state but for the slow drift of metals and
water; friction that does not depend on load beyond E. Rocking test tubes and Ringboms have no model.
"""
