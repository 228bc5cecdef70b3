"""Symptoms in the builder's own words: what is typed is searched at once; what it points to, the test, the caution.

`chosen` is the symptom under the cursor; what is returned says whether its test is to be written down.
"""

from __future__ import annotations

from model.explain.symptoms import Symptom, search
from tui.dialogs.search import SearchDialog
from tui.text.probabilities import NOT_COUNTED
from tui.view.diagnosis import labelled_lines
from tui.view.lines import Line, wrapped

EXAMPLES = "Such as: stops at the top; smokes; only turns backwards; no bounce; runs a minute, then fades."
HOW_OFTEN = {3: "usually", 2: "often", 1: "also met"}


class SymptomScreen(SearchDialog[Symptom]):
    """A line to write; below it the symptoms that fit."""

    use = "write down its test"

    def __init__(self, *, colour: bool) -> None:
        super().__init__("What does it do?", EXAMPLES, colour=colour)

    def find(self, text: str) -> tuple[Symptom, ...]:
        """Return the symptoms that fit, the likeliest first."""
        return search(text)

    def row(self, match: Symptom, width: int) -> str:
        """Return what a symptom is called."""
        return match.title

    def in_full(self, match: Symptom, width: int) -> list[Line]:
        """Return what it means, what it points to, its test."""
        return symptom_lines(match, width)

    def nothing(self, text: str) -> str:
        """Say that nothing is known, once something was typed."""
        return "Nothing is known of that. Say what it does, or when." if text else ""


def symptom_lines(symptom: Symptom, width: int) -> list[Line]:
    """Return a symptom: what it means, what it points to, the test to do with its cautions beside it."""
    from model.explain.diagnosis.bench_tests import bench_test, caution_of
    from model.explain.diagnosis.causes import by_key

    test = bench_test(symptom.test)
    order = sorted(symptom.points, key=lambda key: -symptom.points[key])
    points = ", ".join(f"{by_key(key).label.lower()} ({HOW_OFTEN[symptom.points[key]]})" for key in order)
    lines = wrapped(symptom.meaning, width)
    lines += labelled_lines("Points", f"to {points}", width, role="strong")
    lines += labelled_lines("Test", f"{test.label}. {test.how}", width)
    lines += labelled_lines("Odds", NOT_COUNTED, width)
    lines += labelled_lines("(!)", symptom.caution, width, role="flag") if symptom.caution else []
    if test.caution and test.caution != symptom.caution:
        lines += labelled_lines(
            "(!)" if test.sharp else "Mind", caution_of(test), width, role="flag" if test.sharp else "aside"
        )
    lines += labelled_lines("Needs", test.needs, width) if test.needs else []
    return [*lines, *labelled_lines("Source", symptom.source, width, role="aside")]
