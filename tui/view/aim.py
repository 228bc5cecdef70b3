"""What would have to change for an engine to reach a goal, as lines. Pure."""

from __future__ import annotations

from typing import TYPE_CHECKING

from model.quantities.phrases import chance_text, hours_text, percent_text
from tui.state.prototype import Asked
from tui.state.session import Session
from tui.view.knowledge import learning_text
from tui.view.lines import Line, beside, cut, fitted, wrapped

if TYPE_CHECKING:
    from model.changes.result import Aim, Option

EXAMPLES = "150 rpm, 20 mW, run on 50 C water, 20 K"


def ways_of(aim: Aim | None) -> tuple[tuple[Option, float], ...]:
    """Return the ways to a goal, or the one that comes nearest."""
    if aim is None or aim.reason:
        return ()
    return aim.ways or ((aim.nearest,) if aim.nearest else ())


def aim_lines(session: Session, asked: Asked[Aim], *, width: int, at: int) -> tuple[list[Line], int]:
    """Return goal, sentence and ways, and the number of the line that the way under the cursor stands on."""
    aim = asked.answer if asked.of == asked.wanted else None
    first = learning_text(session) if asked.pending else ""
    done = f" {percent_text(asked.share)}"
    age = f"learning first{first}" if first else f"computing{done}" if asked.pending else ""
    goal = aim.goal if aim and aim.goal else str(asked.wanted)
    lines: list[Line] = [beside(((cut(f"Aim of Mk {session.number}: {goal}", width - 20), "name"),),
                                ((age, "aside"),), width), ()]  # fmt: skip
    if asked.failure:
        return [*lines, *wrapped(f"! {asked.failure}", width, role="flag", rest="  ")], 0
    if aim is None:
        return [*lines, *wrapped("Every change within reach is being tried, and some together. Esc ends it.", width)], 0
    if aim.reason:
        return [*lines, *wrapped(aim.reason, width, rest="  ")], 0
    lines += wrapped(aim.sentence, width, role="strong", rest="  ")
    lines += wrapped(f"As it is: {chance_text(aim.now)}.", width) if chance_text(aim.now) not in aim.sentence else []
    ways = ways_of(aim)
    if not ways:
        return lines, 0
    room = max(10, width - 28)
    title = "least work first" if aim.ways else "what comes nearest"
    lines += [(), ((cut(f"  {title.ljust(room)}chance          work", width), "aside"),)]
    begin = len(lines)
    for index, (option, chance) in enumerate(ways):
        here = index == at
        lines.append((
            (">" if here else " ", "here"), (" " + fitted(option.words, room), "here" if here else ""),
            (chance_text(chance).ljust(16), "strong"), (hours_text(option.hours), ""),
        ))  # fmt: skip
    return lines, begin + at
