"""One turn of the engine: isothermal closed form, and the periodic state with finite heat exchange.

Arrays in, arrays out, SI. Reaches neither files nor tables. Batches stand first, the angle last.

Hot and cold space are well stirred, each with its own temperature and a conductance to its wall that varies over the
turn; between them a gap or regenerator whose two face temperatures are constants of the turn that follow from its
effectiveness, so that it stores nothing; heater and cooler tubes where there are any; a leak from the cold space that
comes to nil over a turn when the rms pressure is the room's. Energy and mass are the states, volume steps are exact,
and the mean temperature of a step is weighted so that a thin layer does not ring: heats less work close to rounding.

All steps are linearised together; the affine maps of the steps are composed by a two-level scan; the loop is closed by
five equations (three periodic or pressure conditions, two face temperatures); Newton, damped, with a ladder of stronger
heat exchange for the few stubborn turns, of a bounded number of steps. The error of work falls with the square of the
angles; a second turn of half as many takes that part out (Richardson).
"""
