"""Why a mark does not run: causes in the engines that its chain has shown, weighed by the tests of this mark.

What was found on the marks before, and when this one still ran, leaves engines (`redraw`); causes are looked for in
those (`faulty`), and the tests of this mark weigh them. No finding is in both.
"""

from __future__ import annotations

import itertools
from dataclasses import replace

from model.checkpoint import Progress, silent
from model.checks.seen_running import seen_running
from model.explain.cache import Cache
from model.explain.diagnosis.diagnose import EARLIER, Diagnosis, diagnosis_of, for_source, refusal
from model.explain.diagnosis.ensemble import SHAFTS, TURNS, Ensemble, ensemble_from, sample_ensemble, sealed
from model.explain.diagnosis.weights import Observation
from model.fields import parse_build
from model.inputs.complete import complete_inputs
from model.inputs.model_inputs import ModelInputs
from model.knowledge.carried import touched_between
from model.knowledge.facts import Facts, Shown, facts_of
from model.knowledge.faulty import Before, Known
from model.knowledge.latents import Chain, chain_of
from model.knowledge.learn import engines_of, facts_key
from model.quantities.uncertain import How
from model.record import Project

CARRIED_ON = {"crank_angle": "phase", "displacer_travel": "displacer_throw", "rubber": "diaphragm_stiffness"}
"""Test -> the input that it measures by itself: it tells the same of the next mark where nothing inside was touched."""
NAMED = 2
"""Findings of before that are told one by one."""
WHERE_TYPED = {"rim_weight": "friction_torque", "leak_down": "leak_half_time"}
"""The same where the builder typed that input: a guess has its bad ones among those that are drawn, a typed one not."""
SHARE = 0.5
"""Share of the work after which the engines are known in which causes are looked for."""
_ENSEMBLES: Cache[Ensemble] = Cache(4)


def diagnose(project: Project, *, mark: int, seed: int = 1, progress: Progress = silent) -> Diagnosis:
    """Weigh the causes for a mark of a project and name the next test.

    Parameters
    ----------
    project : Project
        The prototype.
    mark : int
        The mark; findings of later marks do not count.
    seed : int
        Where the random numbers begin.
    progress : callable
        Told the share that is done, 0 to 1; what it raises ends the work. Not called where nothing is worked out anew.
    """
    seen = seen_running(project, mark)
    if seen is not None:
        return Diagnosis(reason=seen.text, runs=True)
    build = parse_build(project.marks[mark].build if mark in project.marks else {}).build
    plain = complete_inputs(build)
    why = refusal(plain)
    if why:
        return Diagnosis(reason=why)
    chain = chain_of(project, mark)
    here, before = divided(project, chain, mark, facts_of(project, chain))
    if before.all:
        ensemble = _shown_before(project, chain, mark, before, plain, seed, progress)
    else:
        ensemble = sample_ensemble(plain, seed=seed, progress=progress)
    observations = [observation for observation in here if observation.bench_test in ensemble.outcomes]
    made = for_source(diagnosis_of(ensemble, observations), build.heat_source or "")
    return replace(made, observations=(*made.observations, *_told(before)))


def divided(project: Project, chain: Chain, mark: int, facts: Facts) -> tuple[list[Observation], Facts]:
    """Divide facts into the tests that weigh causes, and what was found before, of which the engines are drawn."""
    weighing = [fact for fact in facts.shown if fact.mark == mark]
    done = {fact.observation.bench_test for fact in weighing}
    same = [fact for fact in facts.shown if fact.mark != mark and _is_the_same(project, chain, fact, mark)]
    newest = {fact.observation.bench_test: fact for fact in same if fact.observation.bench_test not in done}
    carried = [_as_of(chain, fact, mark) for fact in newest.values()]
    before = replace(
        facts,
        # what kept an earlier mark from running is not known: that it did not says nothing of this one
        ran=tuple(fact for fact in facts.ran if fact.ran),
        shown=tuple(fact for fact in facts.shown if fact.mark != mark and fact not in same),
    )
    return [*carried, *(fact.observation for fact in weighing)], before


def _is_the_same(project: Project, chain: Chain, fact: Shown, mark: int) -> bool:
    test = fact.observation.bench_test
    name = CARRIED_ON.get(test) or WHERE_TYPED.get(test)
    value = chain.inputs[mark].values.get(name or "")
    if name is None or value is None or (test in WHERE_TYPED and value.how is How.GUESSED):
        return False
    marks = [number for number in chain.marks if fact.mark < number <= mark]
    unchanged = all(chain.kept[number].get(name, 0.0) > 0 for number in marks)
    return unchanged and not _opened(project, chain, fact.mark, mark)


def _as_of(chain: Chain, fact: Shown, mark: int) -> Observation:
    seen = fact.observation
    wide, was = (chain.inputs[number].values["wheel_diameter"].value for number in (mark, fact.mark))
    scale = was / wide if seen.bench_test == "rim_weight" else 1.0
    text = f"{seen.text} on Mk {fact.mark}".strip()
    return replace(seen, value=seen.value * scale, spread=seen.spread * scale, text=text)


def _opened(project: Project, chain: Chain, since: int, mark: int) -> bool:
    """Whether anything inside was touched from one mark to another."""
    marks = [number for number in chain.marks if since <= number <= mark]
    return any("not_opened" not in touched_between(project, a, b) for a, b in itertools.pairwise(marks))


def _shown_before(
    project: Project, chain: Chain, mark: int, before: Facts, plain: ModelInputs, seed: int, progress: Progress,
    *, turns: int = TURNS, shafts: int = SHAFTS,
) -> Ensemble:  # fmt: skip
    """Return the ensemble of a mark of whose chain something was found before."""
    ran = [fact.mark for fact in (*before.balances, *before.ran)]
    since = Before(ran=bool(ran), opened=not ran or max(ran) == mark or _opened(project, chain, max(ran), mark))
    own = any(fact.mark == mark for fact in before.all)

    def make() -> Ensemble:
        shown = engines_of(
            chain, before, mark, seed=seed, wanted=frozenset(), progress=lambda share: progress(SHARE * share)
        )
        known = Known(chain, shown, mark, own=own, before=since, plain=plain, seed=seed)
        return sealed(
            ensemble_from(
                known, turns=turns, shafts=shafts, seed=seed,
                progress=lambda share: progress(SHARE + (1 - SHARE) * share),
            )
        )  # fmt: skip

    return _ENSEMBLES.get((chain.key(), facts_key(before), since, mark, seed, turns, shafts), make)


def _told(before: Facts) -> tuple[str, ...]:
    """Return what was found before: the last two as typed, of the others how many."""
    texts = list(dict.fromkeys(fact.text for fact in sorted(before.all, key=lambda fact: fact.mark)))
    rest, last = texts[:-NAMED], texts[-NAMED:]
    more = (f"{EARLIER}: {len(rest)} more",) if rest else ()
    return (*(f"{EARLIER}, {text}" for text in last), *more)


__all__ = ["diagnose", "divided"]
