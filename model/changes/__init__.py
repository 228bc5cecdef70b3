"""What to change on an engine: every change solved by the model, on the engines that the build could be.

An edit of a build's fields gives other inputs of the model (`edits`: what is not edited stays the same part, guessed or
not); drawn with the same normal numbers they are the same engines with the change in them (`engines`), so that effects
are paired (`trial`). On this stand builds side by side (`compare`) and a row of values of one field (`sweep`). What
they return is plain data (`result`), SI, without numpy.
"""
