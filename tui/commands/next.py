"""``quarterturn next FILE``: why an engine does not run, how sure that is, and the next test with what to expect."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from model.checks.cautions import DEFER
from model.explain.diagnosis.bench_tests import small
from model.explain.symptoms import Symptom, search
from model.quantities.phrases import chance_text
from tui.commands.common import file_argument, json_argument, mark_of, open_file, show, show_json
from tui.commands.progress import doing
from tui.commands.shown import known_json, unknown_lines
from tui.text.figures import figure_text, in_unit
from tui.text.probabilities import NOT_COUNTED, SHOWN, UNLIKELY, bar, moved_lines
from tui.text.sanitise import sanitise

if TYPE_CHECKING:
    from model.explain.diagnosis.allowances import Allowance
    from model.explain.diagnosis.before_running import BeforeRunning
    from model.explain.diagnosis.diagnose import Advice, Diagnosis
    from model.prediction.result import Figure

BAR = 20
"""Cells of a bar that stands for certainty."""


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    file_argument(parser)
    parser.add_argument("--mark", metavar="N", type=int, help="the mark at hand; without it the latest")
    parser.add_argument("--symptom", metavar="TEXT", help='what it does, in your own words: "stops at the top"')
    json_argument(parser, "one object with causes, findings, the next test and allowances")


def run(options: argparse.Namespace) -> int:
    """Diagnose and print."""
    stored = open_file(options.file)
    mark = mark_of(stored.project, options.mark, options.file).number
    symptoms = search(options.symptom) if options.symptom else ()
    with doing("Weighing what may keep it from running"):
        from model.explain.diagnosis.before_running import before_running
        from model.knowledge.allowances import allowances_of
        from model.knowledge.learn import learn
        from model.knowledge.not_running import diagnose

        diagnosis = diagnose(stored.project, mark=mark)
        known = learn(stored.project, mark)
        allowed = () if diagnosis.reason and not diagnosis.runs else allowances_of(stored.project, mark=mark)
        air = () if diagnosis.reason else before_running(stored.project, mark=mark)
    if options.json:
        show_json(
            {
                "project": sanitise(stored.project.name),
                "mark": mark,
                **diagnosis_json(diagnosis),
                "allowances": [_allowance_json(a) for a in allowed],
                "before_it_runs": [_before_running_json(item) for item in air],
                **known_json(known),
                "symptoms": [_symptom_json(symptom) for symptom in symptoms],
            }
        )
        return 0
    lines = [f"{sanitise(stored.project.name)}, Mk {mark}"]
    if options.symptom:
        lines += symptom_lines(options.symptom, symptoms)
    lines += diagnosis_lines(diagnosis)
    lines += [] if diagnosis.reason else [DEFER]
    lines += allowance_lines(allowed) + before_running_lines(air)
    if known.learned:
        lines += ["What is known of it by now:", *unknown_lines(known)]
    show("\n".join(lines))
    return 0


def diagnosis_lines(diagnosis: Diagnosis) -> list[str]:
    """Return a diagnosis as lines of text: causes, observations, the next test, what else could be tried."""
    if diagnosis.reason:
        return [diagnosis.reason if diagnosis.runs else f"No diagnosis. {diagnosis.reason}"]
    lines = ["Why it may not run:"]
    likely_causes = [c for c in diagnosis.causes if c.probability >= SHOWN]
    width = max(len(c.label) for c in likely_causes)
    for cause in likely_causes:
        chance = cause.probability
        lines.append(f"  {cause.label:<{width}}  [{bar(chance, BAR)}]  {chance_text(chance)}")
        lines += [f"      {line}" for line in moved_lines(cause.moved)]
    rest = [small(c.label) for c in diagnosis.causes if c.probability < SHOWN]
    if rest:
        lines.append(f"  {UNLIKELY}: {', '.join(rest)}")
    lines.append(
        "Found so far:" if diagnosis.observations else "Nothing was found yet: no reading of this mark tells a cause."
    )
    lines += [f"  {sanitise(text)}" for text in diagnosis.observations]
    lines += [f"  Contradiction: {sanitise(text)}" for text in diagnosis.contradictions]
    if diagnosis.sure:
        first = diagnosis.causes[0]
        lines.append(f"Do this first: {first.remedy} ({small(first.label)})")
    if diagnosis.next is None:
        lines.append("No test could change that: mend the first cause, then test again.")
        return lines
    lines += advice_lines(diagnosis.next)
    if diagnosis.others:
        lines.append(f"Or: {'; '.join(f'{small(a.label)} ({a.minutes:.0f} min)' for a in diagnosis.others)}")
    return lines


def advice_lines(advice: Advice) -> list[str]:
    """Return one test as lines: how, what to expect, what it will mean."""
    lines = [
        f"Next test: {advice.label} (about {advice.minutes:.0f} min)",
        f"  Do       {advice.how}",
        f"  Needs    {advice.needs}",
    ]
    if advice.caution:
        lines.append(f"  Caution  {advice.caution}")
    lines.append(f"  Expect   {advice.expected}")
    if advice.healthy:
        lines.append(f"  Sound    {advice.healthy}")
    lines += [f"  If {branch.when}: {branch.then}" for branch in advice.branches]
    return [*lines, f"  Write it down as: {', '.join(advice.readings)}"]


def allowance_lines(allowed: tuple[Allowance, ...]) -> list[str]:
    """Return what it can bear against what it has, the tightest named."""
    if not allowed:
        return []
    lines = ["What it can bear and still run, each alone:"]
    for item in allowed:
        bound = "at most" if item.at_most else "at least"
        bears = "no value would do alone" if item.bears.value is None else f"{bound} {figure_text(item.bears)}"
        known = "measured" if item.measured else "assumed or typed"
        lines.append(f"  {item.label}: {bears}; has {figure_text(item.has)}, {known}{' <- tightest' * item.tightest}")
        lines += [f"      {label}: {figure_text(figure)}" for label, figure in item.also if figure.value is not None]
    return lines


def before_running_lines(air: tuple[BeforeRunning, ...]) -> list[str]:
    """Return what coasts and swings tell of the air before the engine runs."""
    lines = []
    for item in air:
        lines += [
            f"{item.label}:",
            f"  measured   {figure_text(item.measured)}",
            f"  predicted  {figure_text(item.predicted)}",
            f"  gap        {figure_text(item.gap)}",
        ]
        lines += [f"  {small(figure.label)}: {figure_text(figure)}" for figure in item.also]
        lines.append(f"  {item.note}")
    return lines


def symptom_lines(text: str, symptoms: tuple[Symptom, ...]) -> list[str]:
    """Return what a symptom in the builder's own words points to."""
    from model.explain.diagnosis.bench_tests import bench_test
    from model.explain.diagnosis.causes import by_key

    if not symptoms:
        return [
            f"Nothing is known of: {sanitise(text)}. Say what it does, such as: stops at the top, fades, no bounce."
        ]
    lines = []
    for symptom in symptoms[:3]:
        causes = ", ".join(small(by_key(key).label) for key in sorted(symptom.points, key=lambda k: -symptom.points[k]))
        lines += [
            f"{symptom.title}: {symptom.meaning}",
            f"  points to {causes}; test: {small(bench_test(symptom.test).label)}",
        ]
        if symptom.caution:
            lines.append(f"  Caution  {symptom.caution}")
    return [*lines, f"  {NOT_COUNTED}"]


def diagnosis_json(diagnosis: Diagnosis) -> dict[str, Any]:
    """Return a diagnosis as plain keys and numbers."""
    return {
        "reason": sanitise(diagnosis.reason),
        "causes": [
            {
                "key": c.key,
                "label": c.label,
                "probability": round(c.probability, 4),
                "remedy": c.remedy,
                "moved": [{"finding": label, "odds_factor": float(f"{factor:.3g}")} for label, factor in c.moved],
            }
            for c in diagnosis.causes
        ],
        "sure": diagnosis.sure,
        "findings": [sanitise(text) for text in diagnosis.observations],
        "contradictions": [sanitise(text) for text in diagnosis.contradictions],
        "next": None if diagnosis.next is None else _advice_json(diagnosis.next),
        "others": [_advice_json(advice) for advice in diagnosis.others],
    }


def _advice_json(advice: Advice) -> dict[str, Any]:
    return {
        "key": advice.key,
        "label": advice.label,
        "how": advice.how,
        "needs": advice.needs,
        "minutes": advice.minutes,
        "caution": advice.caution,
        "readings": list(advice.readings),
        "expected": advice.expected,
        "healthy": advice.healthy,
        "branches": [{"when": b.when, "then": b.then} for b in advice.branches],
        "bits": round(advice.bits, 3),
    }


def _allowance_json(item: Allowance) -> dict[str, Any]:
    return {
        "key": item.key,
        "label": item.label,
        "at_most": item.at_most,
        "bears": _figure_json(item.bears),
        "has": _figure_json(item.has),
        "measured": item.measured,
        "also": [{"label": label, **_figure_json(figure)} for label, figure in item.also],
        "met": round(item.met, 3),
        "tightest": item.tightest,
    }


def _before_running_json(item: BeforeRunning) -> dict[str, Any]:
    return {
        "key": item.key,
        "label": item.label,
        "measured": _figure_json(item.measured),
        "predicted": _figure_json(item.predicted),
        "gap": _figure_json(item.gap),
        "also": [{"key": figure.key, "label": figure.label, **_figure_json(figure)} for figure in item.also],
        "note": item.note,
    }


def _symptom_json(symptom: Symptom) -> dict[str, Any]:
    return {
        "id": symptom.id,
        "title": symptom.title,
        "meaning": symptom.meaning,
        "points": dict(symptom.points),
        "test": symptom.test,
        "caution": symptom.caution,
        "source": symptom.source,
        "likeness": symptom.likeness,
    }


def _figure_json(figure: Figure) -> dict[str, Any]:
    ends = (figure.value, figure.low, figure.high)
    value, low, high = (in_unit(number, figure.kind, figure.unit) for number in ends)
    return {"unit": figure.unit, "value": value, "low": low, "high": high}
