"""One turn of the engine: isothermal closed form, and the periodic state with finite heat exchange.

Arrays in, arrays out, SI. Reaches neither files nor tables. Batches stand first, the angle last.
"""
