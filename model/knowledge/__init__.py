"""What a mark has shown: every engine that this build could be, weighed by all that was found on its chain of marks.

Everything uncertain of every mark is made of standard normal numbers, each input from its own stream (`latents`):
engine k of one mark and engine k of the next share theirs, so that what a reading tells of one it tells of the other,
but for what was touched between them (`carried`). The turn of the air is solved once for some of these engines under
the conditions of each reading (`airs`); friction, drag and wheel leave the air alone, so that many of them are tried
round each. Readings and ticks become facts (`facts`) with a likelihood for every engine, running or not (`weigh`); the
engines are moved to where the facts are likely by tempering (`redraw`), so that no reading, however fine, leaves one
engine alone. What they do then is the prediction from what the mark has shown (`learn`).

Why a mark does not run is asked of the same engines (`not_running`): those that all but this mark's own tests leave,
sorted into sound, binding and leaking ones (`faulty`), every other fault put into sound ones, weighed by its tests.

Nothing is stored: knowledge is worked out anew from the readings that there are. Errors of the model and what an engine
differs from one visit to the next are shared by the readings of one visit; ten of one evening say little more than one.
"""
