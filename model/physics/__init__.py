"""Pure physics: one phenomenon a file, arrays in and arrays out, SI throughout, keyword arguments only.

Each formula carries a declaration (`model.quantities.formula.declared`): what it gives, the formula as in its source,
the source, the range in which it holds and its spread. Outside that range a function still answers, finite and
smooth; callers ask `model.quantities.formula.outside` for the note that stands beside the result. Opens no table, no
file and no screen.
"""
