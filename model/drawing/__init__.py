"""The engine to scale: its parts as shapes in metres at every degree of a turn, from the solver's own geometry.

A section through the cylinders with the shaft above them, x to the right, y up, the hot end at the bottom; each crank
is turned into the page, and the wheel stands beside, seen along the shaft. Cylinders at an angle stand round one shaft.
`plan_of` asks the solver once (it loads numpy); a `Plan` is plain data, and `draw`, `clearances` and `contacts` need
nothing else. What no field tells (how long a stem is, where a cylinder stands on a lid) is drawn as it fits, and told
as assumed.
"""
