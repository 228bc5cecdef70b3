"""What to change next: every change that this build can have, solved on its engines, by the gain that is sure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from model.changes.catalogue import CATALOGUE, PARTNERS, PRESSURE
from model.changes.compare import chance_to_help, effect_of, outcome_of, paired_run_of, runs_now, sure_gain
from model.changes.edits import RELEASED, Edited, texts_of
from model.changes.engines import FIRST
from model.changes.paired import Outcomes, PairedRun
from model.changes.present import Change, Edit, Present
from model.changes.result import Advice, NotPossible, Option, Outcome
from model.changes.telling import told_apart
from model.checkpoint import Progress, silent
from model.checks.cautions import DEFER, all_cautions
from model.fields import Parsed
from model.inputs.materials import too_hot
from model.physics.values import FloatArray
from model.quantities.phrases import chance_text, gain_text
from model.record import Project

HELPS = 0.6
"""Chance to help from which a change is told as one that helps."""
LITTLE = 0.01
"""Share of the present figure below which a gain is none."""
ALIKE = (0.1, 0.9)
"""Chance that one gains more than another between which the two cannot be told apart."""
AS_GOOD_AS_SURE = 0.9
"""Chance to help from which it is not told: with two dozen engines no change is ever surer than 96 in 100."""
LEAST_CHANCE = 0.005
"""More chance to run from which it is told: one in a hundred, rounded."""
HOPELESS = 0.35
"""Chance to help, from the first engines, below which a change is not tried on all."""
FARTHER = 8
"""Changes that help most, each tried farther than its first step."""
FOR_PAIRS = 5
"""Changes that help most, each tried with each other too."""
TOGETHER = 1.15
"""Gain of two together over the sum of what each gains alone, from which they are told as one."""
ALONE = 0.1
"""Share of the gain of both up to which one of them alone counts as doing nothing."""
PARTS = {"displacer_material": "Displacer", "wall_material": "Cylinder wall", "hot_end_material": "Hot end"}
"""What stands in the heat."""
TOLD = 10
"""Options whose least difference of the metals is worked out."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Candidate:
    """A change, or two, that can be made on this build."""

    parts: tuple[Change, ...]
    edit: Edit
    edited: Edited

    @property
    def key(self) -> str:
        """Of the changes in it."""
        return "+".join(part.key for part in self.parts)

    @property
    def words(self) -> str:
        """What to do, with its size."""
        words = " with ".join(part.words for part in self.parts)
        return f"{words}: {self.edit.size}" if self.edit.size else words

    @property
    def short(self) -> str:
        """What to do in few words."""
        return " + ".join(part.short or part.words for part in self.parts)

    @property
    def hours(self) -> float:
        """At the bench; two are made in one go, but each takes its time."""
        return sum(part.hours for part in self.parts)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Solved:
    """A candidate on the engines."""

    candidate: Candidate
    then: Outcomes
    gain: FloatArray
    """Of each engine: power [W], or torque to spare [N m] of an engine that does not run."""
    chance: float
    """To run, after less before."""
    only_together: bool = False

    @property
    def sure(self) -> float:
        """The gain that nine engines in ten exceed."""
        return sure_gain(self.gain)

    @property
    def helps(self) -> float:
        """Chance that it helps."""
        return chance_to_help(self.gain)


def advice(project: Project, mark: int, *, seed: int = 1, progress: Progress = silent) -> Iterator[Advice]:
    """Yield what to change next: a first list from a few engines, then the whole, with pairs.

    Parameters
    ----------
    project, mark
        The prototype and its mark; all that was found on it and before counts.
    seed : int
        Where the random numbers begin.
    progress : callable
        Told the share that is done, 0 to 1.
    """
    paired = paired_run_of(project, mark, seed=seed, progress=lambda share: progress(0.3 * share))
    if isinstance(paired, str):
        yield Advice(mark=mark, now=Outcome(solved=False), reason=paired)
        return
    candidates, not_possible = possible(paired, project.marks[mark].build)
    few = paired.first(FIRST)
    firsts, melted = cold_enough(few, solve(few, candidates, progress=lambda share: progress(0.3 + 0.2 * share)))
    not_possible = (*not_possible, *melted)
    yield _told(few, firsts, not_possible, whole=False)
    hopeful = [each.candidate for each in firsts if each.helps >= HOPELESS]
    solved = solve(paired, hopeful, progress=lambda share: progress(0.5 + 0.25 * share))
    best = ranked(solved, running=runs_now(paired.now()))[:FARTHER]
    more = farther(paired, project.marks[mark].build, [each.candidate for each in best if each.helps >= HELPS])
    solved = _surer(solved, cold_enough(paired, solve(paired, more))[0])
    pairs = solve(paired, _pairs(paired, solved, candidates), progress=lambda share: progress(0.75 + 0.2 * share))
    ones = {each.candidate.key: each for each in (*firsts, *solved)}
    together = [replace(pair, only_together=True) for pair in pairs if _only_together(pair, ones)]
    hopeless = [each for each in firsts if each.helps < HOPELESS]
    yield _told(paired, [*solved, *together], not_possible, whole=True, hopeless=(few, hopeless))


def possible(
    paired: PairedRun, texts: Mapping[str, str], *, under: Mapping[str, Parsed | None] | None = None
) -> tuple[list[Candidate], tuple[NotPossible, ...]]:
    """Return the changes that this build can have, and those that it cannot have, with the reason.

    Conditions that are asked for (`under`: field -> value) stand under each, and no change touches them.
    """
    under = under or {}
    fixed = {*under, *(name for each in under for name in RELEASED.get(each, ()))}
    present = Present(build=paired.engines.build, inputs=paired.engines.inputs, texts=texts)
    found, refused = [], [NotPossible(key=PRESSURE[0], words=PRESSURE[1], why=PRESSURE[2])]
    for change in CATALOGUE:
        made = change.make(present)
        if isinstance(made, str):
            if made:
                refused.append(NotPossible(key=change.key, words=change.words, why=made))
            continue
        if fixed & set(made.fields):
            continue
        edited = paired.edited({**under, **made.fields}, made.factors)
        if edited.can_be:
            found.append(Candidate(parts=(change,), edit=made, edited=edited))
        else:
            why = " ".join(edited.in_the_way) or "the model does not know such an engine."
            refused.append(NotPossible(key=change.key, words=change.words, why=why))
    return found, tuple(refused)


def farther(paired: PairedRun, texts: Mapping[str, str], first: Sequence[Candidate]) -> list[Candidate]:
    """Return changes taken farther than their first step, where they can be."""
    present = Present(build=paired.engines.build, inputs=paired.engines.inputs, texts=texts)
    found = []
    for each in first:
        for make in each.parts[0].farther:
            made = make(present)
            if isinstance(made, Edit) and (edited := paired.edited(made.fields, made.factors)).can_be:
                found.append(Candidate(parts=each.parts, edit=made, edited=edited))
    return found


def _surer(solved: Sequence[Solved], more: Sequence[Solved]) -> list[Solved]:
    """Return changes, each taken as far as its gain is surest."""
    best = {each.candidate.key: each for each in solved}
    for each in more:
        if each.sure > best[each.candidate.key].sure:
            best[each.candidate.key] = each
    return list(best.values())


def solve(paired: PairedRun, candidates: Sequence[Candidate], *, progress: Progress = silent) -> list[Solved]:
    """Solve candidates on the engines; one that cannot be solved is left out."""
    now = paired.now()
    running = runs_now(now)
    tried = paired.of([each.edited for each in candidates], progress=progress)
    return [
        Solved(
            candidate=candidate,
            then=then,
            gain=then.power - now.power if running else then.spare - now.spare,
            chance=float((then.chance - now.chance).mean()),
        )
        for candidate, then in zip(candidates, tried, strict=True)
        if then is not None and then.settled.all()
    ]


def cold_enough(paired: PairedRun, solved: Sequence[Solved]) -> tuple[list[Solved], list[NotPossible]]:
    """Return the changes whose heat every part stands, and those that a part does not stand, with the reason."""
    before = float(np.median(paired.now().hot))
    kept, refused = [], []
    for each in solved:
        words, after = each.candidate.edited.inputs.words, float(np.median(each.then.hot))
        why = [
            f"{part}: {too_hot(words[name], after)}"
            for name, part in PARTS.items()
            if words.get(name) and too_hot(words[name], after) and not too_hot(words[name], before)
        ]
        if why:
            parts = each.candidate.parts
            refused.append(NotPossible(key=each.candidate.key, words=parts[0].words, why=" ".join(why)))
        else:
            kept.append(each)
    return kept, refused


def both(
    paired: PairedRun, one: Candidate, other: Candidate, *, under: Mapping[str, Parsed | None] | None = None
) -> Candidate | None:
    """Return two changes made together; None where they are about the same field, or cannot be."""
    touched = [set(each.edit.fields) | set(each.edit.factors) for each in (one, other)]
    if touched[0] & touched[1]:
        return None
    edit = one.edit.with_(other.edit)
    edited = paired.edited({**(under or {}), **edit.fields}, edit.factors)
    return Candidate(parts=(*one.parts, *other.parts), edit=edit, edited=edited) if edited.can_be else None


def _pairs(paired: PairedRun, solved: Sequence[Solved], candidates: Sequence[Candidate]) -> list[Candidate]:
    """Return the pairs that are worth a try: known partners, and those that help most."""
    by_key = {each.key: each for each in candidates}
    best = [each.candidate for each in sorted(solved, key=lambda each: -each.sure)[:FOR_PAIRS]]
    wanted = [(by_key[a], by_key[b]) for a, b in PARTNERS if a in by_key and b in by_key]
    if not runs_now(paired.now()):
        wanted += [(one, other) for n, one in enumerate(best) for other in best[n + 1 :]]
    made: dict[frozenset[str], Candidate] = {}
    for one, other in wanted:
        keys = frozenset((one.key, other.key))
        if keys not in made and (pair := both(paired, one, other)) is not None:
            made[keys] = pair
    return list(made.values())


def _only_together(pair: Solved, ones: Mapping[str, Solved]) -> bool:
    """Whether two do together what neither does alone."""
    alone = [float(np.median(ones[part.key].gain)) for part in pair.candidate.parts if part.key in ones]
    whole = float(np.median(pair.gain))
    if len(alone) < 2 or whole <= 0 or pair.helps < HELPS:
        return False
    return whole > TOGETHER * sum(max(each, 0.0) for each in alone) and min(alone) < ALONE * whole


def ranked(solved: Sequence[Solved], *, running: bool) -> list[Solved]:
    """Return changes by the gain that is sure; of an engine that does not run by how much nearer it comes to it."""
    if running:
        # of an engine that may not run the sure gain is often nil: then what runs more often goes first
        return sorted(solved, key=lambda each: (-each.sure, -round(each.chance, 2), each.candidate.hours))
    return sorted(solved, key=lambda each: (-round(each.chance, 2), -each.sure, each.candidate.hours))


def grouped(order: Sequence[Solved]) -> list[list[Solved]]:
    """Return groups of changes that cannot be told apart, best first; the cheapest first in each."""
    groups: list[list[Solved]] = []
    for each in order:
        low, high = ALIKE
        if groups and low < float((each.gain > groups[-1][0].gain).mean()) < high:
            groups[-1].append(each)
        else:
            groups.append([each])
    return [sorted(group, key=lambda each: each.candidate.hours) for group in groups]


def _told(
    paired: PairedRun,
    solved: Sequence[Solved],
    not_possible: tuple[NotPossible, ...],
    *,
    whole: bool,
    hopeless: tuple[PairedRun, Sequence[Solved]] | None = None,
) -> Advice:
    now = paired.now()
    running = runs_now(now)
    scale = float(np.median(now.power)) if running else float(np.abs(np.median(now.spare)))
    order = ranked(solved, running=running)
    good = [each for each in order if each.helps >= HELPS and float(np.median(each.gain)) > LITTLE * scale]
    telling = [each for each in good if not _is_nil(each, scale, running=running)]
    good = telling if running or telling else good
    groups = grouped(good)
    least = paired.least_difference() if whole else None
    options: list[Option] = []
    for number, group in enumerate(groups):
        for each in group:
            options.append(option_of(paired, each, number, least if len(options) < TOLD else None))
    others = [option_of(paired, each, len(groups), None) for each in order if each not in good]
    if hopeless is not None:
        others += [option_of(hopeless[0], each, len(groups), None) for each in ranked(hopeless[1], running=running)]
    made = Advice(
        mark=paired.engines.mark,
        now=outcome_of(now, None, least),
        options=tuple(options),
        others=tuple(others),
        not_possible=not_possible,
        tells_apart=told_apart(paired, [each.gain for each in groups[0]]) if groups and len(groups[0]) > 1 else "",
        engines=paired.engines.size,
        learned=paired.engines.learned,
        running=running,
        whole=whole,
        note=_note(paired),
    )
    return replace(made, sentence=_sentence(made))


def _is_nil(each: Solved, scale: float, *, running: bool) -> bool:
    """Whether what a change is ranked by comes to nothing, and it does not run more often either."""
    sure = running and abs(each.sure) > LITTLE * scale
    return not sure and each.chance < LEAST_CHANCE


def _note(paired: PairedRun) -> str:
    drawn = "" if paired.engines.learned else "Nothing was measured that counts: this stands on the drawing."
    return " ".join(text for text in (drawn, paired.engines.note) if text)


def option_of(paired: PairedRun, solved: Solved, group: int, least: FloatArray | None) -> Option:
    candidate, now = solved.candidate, paired.now()
    own = None if least is None else paired.least_difference(candidate.edited)
    effect = effect_of(
        now, solved.then, running=runs_now(now), least=None if least is None or own is None else (least, own)
    )
    parts = candidate.parts
    return Option(
        key=candidate.key,
        words=candidate.words,
        short=candidate.short,
        size=candidate.edit.size,
        parts=tuple(part.key for part in parts),
        texts=texts_of(paired.engines.build, candidate.edited, candidate.edit.texts),
        hours=candidate.hours,
        needs="; ".join(part.needs for part in parts if part.needs),
        caution=_caution(parts),
        source="; ".join(dict.fromkeys(part.source for part in parts)),
        outcome=outcome_of(solved.then, candidate.edited, own),
        effect=effect,
        group=group,
        only_together=solved.only_together,
    )


def _caution(parts: Sequence[Change]) -> str:
    wanted = dict.fromkeys(key for part in parts for key in part.cautions)
    texts = [caution.body for caution in all_cautions() if caution.id in wanted]
    return " ".join([*texts, DEFER]) if texts else ""


def _sentence(made: Advice) -> str:
    """Say the one best thing to do, with what it brings."""
    if not made.options:
        return "No change that can be tried here helps more likely than not."
    best = made.options[0]
    if made.running:
        # the gain alone: it is paired, and what the engine gives now stands in one place, with its own interval
        helps = "" if best.effect.helps >= AS_GOOD_AS_SURE else f", helps {chance_text(best.effect.helps)}"
        brings = f"{gain_text(best.effect.power)}{helps}"
    else:
        then, now = chance_text(best.outcome.runs), chance_text(made.now.runs)
        brings = f"runs {then}, now {now}" if then != now else f"brings it nearer to running, still {then}"
    return f"{best.words[:1].upper()}{best.words[1:]}: {brings}."


__all__ = ["Candidate", "advice", "both", "farther", "grouped", "option_of", "possible", "solve"]
