"""What to change on an engine: every change solved by the model, on the engines that the build could be.

An edit of a build's fields gives other inputs of the model (`edits`: what is not edited stays the same part, guessed or
not); drawn with the same normal numbers they are the same engines with the change in them (`engines`), so that effects
are paired (`paired`). On this stand builds side by side (`compare`), a row of values of one field (`sweep`), what to
change next (`advice`: all that the `catalogue` has for the build), and what would reach a goal (`aim`). The other way
round, a reading is taken apart from the ideal turn down to the shaft (`breakdown`). What they return is plain data
(`result`), SI, without numpy.
"""
