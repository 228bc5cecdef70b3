"""What a mark has shown, beside what its drawing says: lines of the panel, and those behind Why. Pure.

Both predictions stand where they differ: the first is what to expect, the other what the drawing says.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from model.prediction.result import Figure, Prediction, Verdict
from model.quantities.phrases import chance_text, percent_text
from tui.state.knowledge import knowledge_of
from tui.state.session import Session
from tui.text.figures import MAIN, NONE, interval_text, value_text
from tui.text.sanitise import sanitise
from tui.text.unknowns import unknown_text
from tui.text.verdicts import verdict_text
from tui.view.lines import Line, beside, cut, wrapped

if TYPE_CHECKING:
    from model.knowledge.result import Knowledge

SHOWN = "From what it has shown"
FIRST_LOOK = f"{SHOWN}, roughly"


def learning_text(session: Session) -> str:
    """Return how far learning is, for other work that waits for it: `` (40 %)``; empty where it is done."""
    state = session.prototype.knowledge
    return (f" ({percent_text(state.share)})" if state.share else " (begun)") if state.pending else ""


def learning_lines(session: Session, width: int) -> list[Line]:
    """Return how far learning from the readings is, or why it gave nothing; empty where neither is so."""
    state = session.prototype.knowledge
    if state.pending:
        done = f" {percent_text(state.share)}" if state.share else ""
        return [((cut(f"Learning from the findings{done}", width), "aside"),)]
    return wrapped(f"! {state.failure}", width, role="flag", rest="  ") if state.failure else []


def shown_lines(session: Session, drawn: Prediction, width: int) -> list[Line]:
    """Return what a mark will do from what it has shown, each figure with the drawing's; empty where nothing was."""
    knowledge = knowledge_of(session)
    if knowledge is None or knowledge.prediction.verdict is Verdict.NO_PREDICTION:
        return []
    shown = knowledge.prediction
    head = cut(FIRST_LOOK if knowledge.first_look else SHOWN, width)
    lines: list[Line] = [((head, "head"),), ((cut(verdict_text(shown, shown=True), width), "strong"),)]
    if chance_of(shown) != chance_of(drawn):
        lines.append(((cut(f"  as drawn {chance_of(drawn)}", width), "aside"),))
    for key in MAIN:
        figure, other = shown.figures.get(key), drawn.figures.get(key)
        if figure is not None and (figure.value is not None or figure.low is not None):
            lines += _both(figure, other, width)
    if knowledge.ratio is not None and knowledge.ratio.words:
        lines += wrapped(f"{knowledge.ratio.words}.", width, rest="  ")
    if knowledge.contradictions:
        many = len(knowledge.contradictions)
        lines += wrapped(f"! {many} finding{'s do' if many > 1 else ' does'} not fit: w", width, role="flag")
    return lines


def _both(figure: Figure, drawn: Figure | None, width: int) -> list[Line]:
    lines: list[Line] = [beside(((cut(figure.label, width - 12), ""),), ((value_text(figure), "strong"),), width)]
    interval = interval_text(figure).removeprefix("between ").replace(" and ", " to ")
    value = NONE if drawn is None else value_text(drawn)
    for said in (f"as drawn {value}", f"drawn {value}"):
        together = f"  {interval}{', ' if interval else ''}{said if value != NONE else ''}".removesuffix(", ")
        if len(together) <= width:
            break
    return [*lines, *wrapped(together.strip(), width, first="  ", rest="  ")]


def chance_of(prediction: Prediction) -> str:
    """Return the chance to run in words; the verdict alone while there is none."""
    chance = prediction.run_probability
    return str(prediction.verdict) if chance is None else chance_text(chance)


def knowledge_lines(knowledge: Knowledge | None, width: int) -> list[Line]:
    """Return what is known of a build now and before, from what, and what took part."""
    if knowledge is None:
        return []
    lines: list[Line] = [(("What is known now, and where it comes from", "head"),)]
    for item in knowledge.unknowns:
        lines += wrapped(f"{item.label}: {unknown_text(item)}", width, first="  ", rest="    ")
    lines += [(), (("What took part", "head"),)]
    for took in knowledge.readings:
        lines += wrapped(sanitise(took.text), width, first="  ", rest="    ")
    for text in knowledge.contradictions:
        lines += wrapped(f"! {sanitise(text)}", width, role="flag", rest="  ")
    lines += wrapped(sanitise(knowledge.note), width) if knowledge.note else []
    lines += wrapped("To drop what earlier marks showed: m, then d.", width, role="aside")
    return [*lines, ()]
