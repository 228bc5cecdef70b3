"""An engine that does not run yet: causes weighed against observations, and the next test with the number to expect.

An ensemble of engines is drawn from what is known of the build, each with one fault (`causes`), or none; those that
would run hardly count. The model says what each would show in every test of the shed (`outcomes`, `bench_tests`); an
observation multiplies the weight of each engine by how likely it shows that (`weights`); a cause's probability is the
weight of its engines. The next test is the one whose outcome lowers the entropy of the causes most for its minutes.

Spin-downs are taken closed, opened and with the displacer unlinked (field `stood`; empty is closed). The ensemble
splits every friction between the displacer with its rod and gland, and the rest (`ensemble.DISPLACER_SHARE`), so that
each has its number to expect. `spindowns` tells the differences before it runs: opened is the whole mechanism's
friction, opened less unlinked the displacer's, closed less opened what the cold air takes. Only the opened one is
evidence (`model.bench.spindown`), and a typed friction and grams on the rim come before it.

The engines come from a source: the drawing where nothing was found before (`ensemble.sample_ensemble`), else those
that the chain of marks has shown (`model.knowledge.faulty`, `not_running`). Either depends on nothing that weighs it,
so that the last few are kept (`model.explain.cache`). ``python -m tests.diagnosis N`` proves the weighing: faults
hidden by an independent draw, tests done with noise; the hidden engines come from the same physics, so it proves the
weighing, not the physics.
"""
