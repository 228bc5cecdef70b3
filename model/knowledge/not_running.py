"""Why a mark does not run: causes in the engines that its chain has shown, weighed by the tests of this mark."""

from __future__ import annotations

from model.checkpoint import Progress, silent
from model.checks.seen_running import seen_running
from model.explain.diagnosis.diagnose import Diagnosis, diagnosis_of, for_source, refusal
from model.explain.diagnosis.ensemble import sample_ensemble
from model.fields import parse_build
from model.inputs.complete import complete_inputs
from model.knowledge.facts import facts_of
from model.knowledge.latents import chain_of
from model.record import Project


def diagnose(project: Project, *, mark: int, seed: int = 1, progress: Progress = silent) -> Diagnosis:
    """Weigh the causes for a mark of a project and name the next test; `progress` as for `sample_ensemble`."""
    seen = seen_running(project, mark)
    if seen is not None:
        return Diagnosis(reason=seen.text, runs=True)
    build = parse_build(project.marks[mark].build if mark in project.marks else {}).build
    model_inputs = complete_inputs(build)
    why = refusal(model_inputs)
    if why:
        return Diagnosis(reason=why)
    chain = chain_of(project, mark)
    facts = facts_of(project, chain)
    ensemble = sample_ensemble(model_inputs, seed=seed, progress=progress)
    here = [fact.observation for fact in facts.shown if fact.mark == mark]
    observations = [seen for seen in here if seen.bench_test in ensemble.outcomes]
    return for_source(diagnosis_of(ensemble, observations), build.heat_source or "")


__all__ = ["diagnose"]
