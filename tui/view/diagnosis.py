"""Causes, the next test and allowances as lines: what the pane What next draws. Pure.

Nothing here is told by colour: a sign stands at the cause and the test under the cursors, words at every probability.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from model.checks.cautions import DEFER
from model.checks.seen_running import SeenRunning, was_tried
from model.prediction.result import Prediction
from model.quantities.phrases import chance_text, percent_text
from tui.state.diagnosis import DiagnosisAge, diagnosis_age
from tui.state.prototype import DiagnosisState
from tui.state.session import Session
from tui.text.figures import figure_text, interval_text, speed_text, value_text
from tui.text.probabilities import SHOWN, bar, moved_lines
from tui.view.lines import Line, beside, cut, fitted, wrapped
from tui.view.readings import EARLY, early_text

if TYPE_CHECKING:
    from model.explain.diagnosis.allowances import Allowance
    from model.explain.diagnosis.diagnose import Advice, Diagnosis, RankedCause

LOSSES = ("friction_loss", "crank_loss", "flow_loss")
"""Figures of what an engine that runs loses between its air and its shaft."""
MOST = 5
"""Most causes that are listed on the pane; the sheet has all."""
SIGN = 9
"""Cells of the words before what is said of a test."""
CHANCE = 16
"""Cells of a chance: "under 1 in 100", with a space on either side."""
WAITING = (
    "The causes are being weighed: engines like this one, each with a fault, are asked what every test would show. "
    "That takes seconds, on a small computer up to a minute. Keys work meanwhile."
)


def running_lines(seen: SeenRunning, prediction: Prediction | None, width: int, *, shown: bool = False) -> list[Line]:
    """Return what is said of a mark that was seen running: by what, what it loses by, and what else to do."""
    lines: list[Line] = [(("It runs: what it loses by", "head"),), *wrapped(seen.text, width, role="strong")]
    lines += _losses(prediction, width, shown=shown)
    lines += wrapped("How far it is from what was predicted stands in Results.", width)
    again = "If it does not run any more, tick in the Diary how far it comes now: then the causes are weighed."
    return [*lines, *wrapped(again, width), ()]


def _losses(prediction: Prediction | None, width: int, *, shown: bool) -> list[Line]:
    """Return where the power that the air gives goes, by the model, largest loss first."""
    figures = prediction.figures if prediction else {}
    made, left = figures.get("indicated_power"), figures.get("shaft_power_there")
    if prediction is None or made is None or left is None or not made.value or made.value <= 0 or left.value is None:
        return []
    lost = sorted(
        ((figure, figure.value / made.value) for key in LOSSES if (figure := figures.get(key)) and figure.value),
        key=lambda item: -item[1],
    )
    by = "from what it has shown" if shown else "as drawn"
    begin = f"Of {value_text(made)} that the air gives at {speed_text(prediction)}, {by}:"
    lines: list[Line] = wrapped(begin, width)
    for figure, share in lost:
        interval = interval_text(figure)
        row = f"{figure.label}: {value_text(figure)}{f' ({interval})' if interval else ''}, {percent_text(share)}"
        lines += wrapped(row, width, first="  ", rest="    ")
    return [*lines, *wrapped(f"Left at the shaft: {value_text(left)}", width, role="strong", first="  ", rest="    ")]


def shown_causes(diagnosis: Diagnosis, height: int) -> tuple[RankedCause, ...]:
    """Return the causes that are listed: those that are at all likely, fewer on a low screen."""
    most = MOST if height >= 18 else 4 if height >= 14 else 3
    causes = [cause for cause in diagnosis.causes if cause.probability >= SHOWN]
    return tuple(causes[:most] or diagnosis.causes[:1])


def tests_of(diagnosis: Diagnosis) -> tuple[Advice, ...]:
    """Return the next test and the others, the next first."""
    return (diagnosis.next, *diagnosis.others) if diagnosis.next is not None else diagnosis.others


def head_line(session: Session, width: int) -> Line:
    """Return the title and how the diagnosis stands to what is written down."""
    state = diagnosis_age(session)
    done = session.prototype.diagnosis.share
    share = f" {percent_text(done)}" if done else ""
    words = {
        DiagnosisAge.UP_TO_DATE: "up to date",
        DiagnosisAge.COMPUTING: f"computing{share}",
        DiagnosisAge.OLD_COMPUTING: f"old: something has changed, computing{share}",
        DiagnosisAge.OLD: "old: a field is flagged",
        DiagnosisAge.NONE: "none",
    }[state]
    quiet = state in (DiagnosisAge.UP_TO_DATE, DiagnosisAge.COMPUTING)
    prototype = session.prototype
    title = "Why it does not run" if was_tried(prototype.project, session.number) else "If it does not run"
    return beside(((title, "head"),), ((words, "aside" if quiet else "flag"),), width)


def cause_lines(causes: Sequence[RankedCause], width: int, *, at: int) -> list[Line]:
    """Return one line for each cause: sign of the cursor, name, chance and bar."""
    cells = 20 if width >= 96 else 10
    free = max(8, width - 2 - CHANCE - cells)
    lines: list[Line] = []
    for index, cause in enumerate(causes):
        here = index == at
        lines.append(
            (
                (">" if here else " ", "here"),
                (" " + fitted(cause.label, free), "here" if here else ""),
                (" " + chance_text(cause.probability).rjust(CHANCE - 2) + " ", ""),
                (bar(cause.probability, cells), ""),
            )
        )
    return lines


def test_lines(tests: Sequence[Advice], width: int, *, at: int) -> list[Line]:
    """Return a test: do this, its caution right beside, what is needed, expect that, what each outcome would mean."""
    if not tests:
        return wrapped(
            "No test could change that. Mend the first cause, then test again; or see what is tightest (w).", width
        )
    test = tests[at]
    which = "Next test" if at == 0 else "Another test"
    effort = f"{test.minutes:.0f} min" if test.minutes else ""
    count = f"{at + 1} of {len(tests)}   {effort}".rstrip()
    title = cut(f"{which}: {test.label}", width - len(count) - 1)
    lines = [beside(((title, "strong"),), ((count, "aside"),), width)]
    lines += labelled_lines("Do", test.how, width)
    if test.caution:
        label, role = ("(!)", "warn") if test.sharp else ("Mind", "")
        lines += labelled_lines(label, test.caution, width, role=role)
    lines += labelled_lines("Needs", test.needs, width) if test.needs else []
    lines += labelled_lines("Expect", test.expected, width, role="strong") if test.expected else []
    for branch in test.branches:
        lines += labelled_lines("If", f"{branch.when}: {branch.then}", width)
    lines += labelled_lines("Sound", f"with nothing wrong it would show {test.healthy}", width) if test.healthy else []
    return lines


def others_line(tests: Sequence[Advice], width: int, *, at: int) -> Line:
    """Return the tests that are not shown, in one line."""
    names = "; ".join(test.label for index, test in enumerate(tests) if index != at)
    return ((cut(f"  Or      {names}", width), ""),) if names else ()


def labelled_lines(word: str, text: str, width: int, *, role: str = "") -> list[Line]:
    """Return a word, and beside it a text broken into lines."""
    broken = wrapped(text, max(10, width - SIGN - 1))
    first: Line = ((f"  {word}".ljust(SIGN) + " ", role if role in ("flag", "warn") else "aside"),)
    lines: list[Line] = []
    for index, line in enumerate(broken):
        begin = first if index == 0 else ((" " * (SIGN + 1), ""),)
        lines.append((*begin, *((text, role) for text, _ in line)))
    return lines


def about_cause(cause: RankedCause, width: int) -> list[Line]:
    """Return which observations moved a cause, and what to do when it is this."""
    lines = wrapped(f"{cause.label}: {moved_text(cause)}", width, role="strong", rest="  ")[:2]
    return [*lines, *wrapped(f"If it is this: {cause.remedy}", width, rest="  ")]


def moved_text(cause: RankedCause) -> str:
    """Return the observations for a cause and those against it, strongest first; each with its odds."""
    parts = moved_lines(cause.moved)
    return "; ".join(parts) + "." if parts else "no finding has moved it yet."


def allowance_text(item: Allowance) -> str:
    """Return what the engine bears of one thing against what it has."""
    has = f"has {figure_text(item.has)}, {'measured' if item.measured else 'not measured'}{_met(item)}"
    if item.bears.value is None and item.bears.low is None:
        return f"{item.label}: no value of it alone would do; {has}"
    return f"{item.label}: at {'most' if item.at_most else 'least'} {figure_text(item.bears)}; {has}"


def _met(item: Allowance) -> str:
    """Say in how many of the engines it is met, where they differ: the middle one alone may be far off."""
    if item.measured or not 0 < item.met < 1:
        return ""
    return f"; {chance_text(item.met)} of the engines that it could be have what they need of it"


def tightest_text(state: DiagnosisState) -> str:
    """Return the tightest allowance; empty where there is none."""
    tight = next((item for item in state.allowances if item.tightest), None)
    if tight is None and state.allowances:
        return "Nothing that it needs is near its limit."
    if tight is None:
        return "What it can bear is being worked out." if state.allowances_pending else ""
    bears = value_text(tight.bears) if tight.bears.value is not None else interval_text(tight.bears)
    bound = f"at {'most' if tight.at_most else 'least'} {bears}" if bears else "no value of it alone would do"
    has = f"has {value_text(tight.has)}{' measured' * tight.measured}"
    return (
        f"Tightest: {tight.label}: {bound}, {has} in the middle{_met(tight)}."
        if _met(tight)
        else (f"Tightest: {tight.label}: {bound}, {has}.")
    )


def allowance_lines(state: DiagnosisState, width: int) -> list[Line]:
    """Return everything that the engine bears, tightest first."""
    if not state.allowances:
        return []
    lines: list[Line] = [(("What it can bear and still run, each alone", "head"),)]
    for item in state.allowances:
        sign = "> tightest: " if item.tightest else "  "
        lines += wrapped(sign + allowance_text(item), width, role="strong" if item.tightest else "", rest="    ")
        for label, figure in item.also:
            if figure.value is not None or figure.low is not None:
                lines += wrapped(f"{label}: {figure_text(figure)}", width, first="    ", rest="      ")
    return lines


def early_lines(session: Session, width: int) -> list[Line]:
    """Return what coasts and swings tell of the air before the engine runs, each against the prediction."""
    outlook = session.prototype.outlook
    early_gaps = [gap for gap in outlook.gaps if gap.mark == session.number and gap.quantity in EARLY]
    if not early_gaps or outlook.gaps_old or session.parsed.problems:
        return []
    lines: list[Line] = [(("What it shows before it runs", "head"),)]
    for gap in early_gaps:
        lines += wrapped(early_text(gap), width, first="  ", rest="    ")
        lines += wrapped(gap.note, width, first="    ", rest="    ")
    return lines


def sheet_lines(session: Session, width: int) -> list[Line]:
    """Return everything that is known of why it does not run: causes, observations, tests, allowances."""
    state = session.prototype.diagnosis
    diagnosis = state.answer
    if diagnosis is None:
        return []
    lines: list[Line] = [head_line(session, width)]
    if diagnosis.reason:
        return [*lines, *wrapped(diagnosis.reason, width), ()]
    for cause in diagnosis.causes:
        lines += cause_lines((cause,), width, at=-1)
        for text in (moved_text(cause), f"If it is this: {cause.remedy}"):
            lines += wrapped(text, width, first="    ", rest="    ")
    lines += [(), (("Found so far", "head"),)]
    lines += [line for text in diagnosis.observations for line in wrapped(text, width, first="  ", rest="    ")]
    if not diagnosis.observations:
        lines += wrapped("Nothing yet: no reading of this mark tells a cause.", width, first="  ", rest="  ")
    lines += [line for text in diagnosis.contradictions for line in wrapped(f"! {text}", width, role="flag")]
    tests = tests_of(diagnosis)
    for index in range(len(tests)):
        lines += [(), *test_lines(tests, width, at=index)]
    return [*lines, (), *wrapped(DEFER, width, role="aside"), (), *allowance_lines(state, width), ()]


def pane_lines(
    session: Session,
    width: int,
    height: int,
    *,
    causes: Sequence[RankedCause],
    cause: int,
    tests: Sequence[Advice],
    test: int,
) -> list[Line]:
    """Return the pane's lines: causes, what to do first, the next test, what the engine can bear, what came early."""
    state = session.prototype.diagnosis
    diagnosis = state.answer
    lines = [head_line(session, width)]
    if state.failure:
        lines += wrapped(f"! {state.failure}", width, role="flag", rest="  ")
    if diagnosis is None:
        return [*lines, *(wrapped(WAITING, width) if state.pending else [])]
    apart: list[Line] = [()] if height >= 20 else []
    if diagnosis.reason:
        lines += wrapped(f"No diagnosis: {diagnosis.reason}", width, role="strong", rest="  ")
        lines += wrapped("Meanwhile, the tests in the order of experienced builders:", width)
    else:
        lines += cause_lines(causes, width, at=cause)
    if diagnosis.sure:
        first = diagnosis.causes[0]
        lines += [*apart, *wrapped(f"Do this first: {first.remedy}", width, role="strong", rest="  ")]
    lines += [*apart, *test_lines(tests, width, at=test)]
    lines.append(others_line(tests, width, at=test))
    early = early_lines(session, width)
    return [*lines, *apart, *allowance_lines(state, width), *(apart if early else []), *early]
