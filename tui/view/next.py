"""What an engine loses by, and what to change next, as lines. Pure.

Nothing is told by colour: bars are plain characters, a sign stands at the change under the cursor, and changes that
cannot be told apart carry one number.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from model.checks.seen_running import Standing, standing_of
from model.quantities.ladder import unit_for
from model.quantities.phrases import chance_text, hours_text, percent_text, rpm_text
from model.quantities.units import Kind, digits, from_si
from model.record import Project
from tui.state.changes import next_of
from tui.state.session import Session
from tui.text.figures import resolution, rounded
from tui.text.probabilities import bar
from tui.text.promise import promise_text, tally_text
from tui.text.verdicts import sentence
from tui.view.first_test import first_test_of
from tui.view.knowledge import learning_text
from tui.view.lines import Line, beside, cut, fitted, signed, text_of, wrapped

if TYPE_CHECKING:
    from model.changes.result import Advice, Breakdown, Effect, Loss, Option
    from model.quantities.ranges import Range

TITLES = {Standing.NEW: "Before you build", Standing.UNTRIED: "Not tried yet"}
"""What stands over the list of a mark that was not tried; of any other "What next"."""
LOW = 15
"""Lines from which the pane is not low."""
AIRY = 26
"""Lines above which its parts stand apart."""
LEAST_LIST = 6
"""Lines that the list of changes keeps, where an engine also loses by something."""
NARROW = 74
"""Columns below which figures stand without their ends."""
SURE, INTERVAL, HELPS, HOURS = 12, 14, 7, 8
"""Cells of the columns at the right, with the space before them."""
NIL = 0.02
"""Share of the largest gain below which the gain that is sure is nil."""
TELLING = 0.9
"""Chance to help below which it is told: two dozen engines cannot say more."""
WAITING = "Every change that this build can have is being tried on the engines that it could be."
VERDICTS = {
    "agrees": "as predicted",
    "short": "short of the prediction",
    "better": "better than predicted",
    "cannot tell": "this reading cannot tell",
}
"""How a reading stands to the prediction, both uncertainties counted."""


def promise_lines(project: Project, number: int, width: int) -> list[Line]:
    """Return what was promised of the change with which a mark began, and what came; empty where nothing was."""
    text = promise_text(project, number)
    return wrapped(text, width, rest="  ") if text else []


def head_line(session: Session, width: int) -> Line:
    """Return the title and how the list stands to what is written down."""
    state = session.prototype.next
    first = learning_text(session)
    done = f"learning first{first}" if first else f"computing {percent_text(state.share)}"
    known = next_of(session)
    whole = f"of Mk {session.number} as it is" if session.scratch else "up to date"
    words = done if state.pending else whole if known else "old" if state.answer else ""
    title = TITLES.get(standing_of(session.prototype.project, session.number), "What next")
    return beside(((title, "head"),), ((words, "flag" if words == "old" else "aside"),), width)


def sentence_lines(session: Session, width: int) -> list[Line]:
    """Return the one best thing to do; empty while it is not known."""
    known = next_of(session)
    advice = known.answer if known else None
    if advice is None:
        return []
    text = advice.reason or advice.sentence
    return wrapped(text, width, role="strong", rest="  ") if text else []


def first_lines(session: Session, width: int) -> list[Line]:
    """Return what was promised and what came, or what to measure first; empty where neither is to be said."""
    untried = standing_of(session.prototype.project, session.number) is Standing.UNTRIED
    # over an untried mark the title says so already
    text = promise_text(session.prototype.project, session.number)
    text = text.removeprefix(f"{TITLES[Standing.UNTRIED]}. ") if untried else text
    promised = wrapped(text, width, rest="  ") if text else []
    if promised or standing_of(session.prototype.project, session.number) is Standing.RUNS:
        return promised
    text = sentence(first_test_of(session.prototype, session.number))
    return wrapped(text, width, rest="  ") if text else []


def best_text(advice: Advice) -> str:
    """Return the one best thing to do in few words, for the panel; empty where there is none."""
    if advice.reason or not advice.options:
        return ""
    best = advice.options[0]
    brings = _brings(best, advice)
    if not advice.running:
        return f"Next: {best.short}, runs {chance_text(best.outcome.runs)}"
    unit = unit_for(Kind.POWER, "W", best.effect.sure)
    return f"Next: {best.short}, {brings or f'at least {_number(best.effect.sure, unit)} {unit}'}"


def _brings(option: Option, advice: Advice) -> str:
    """Return what is told of a change whose gain that is sure comes to nothing; empty for others."""
    if not advice.running or abs(option.effect.sure) > NIL * max(map(abs, _ends(option.effect.power))):
        return ""
    return f"runs {100 * option.effect.runs:+.0f}"


def _ends(each: Range) -> tuple[float, float, float]:
    return each.middle, each.low, each.high


def next_lines(session: Session, width: int, height: int, *, at: int) -> tuple[list[Line], int]:
    """Return the lines of a running engine, and the number of the line that the change under the cursor stands on."""
    state = session.prototype.next
    known = next_of(session) or state
    lines = [head_line(session, width)]
    if state.failure:
        lines += wrapped(f"! {state.failure}", width, role="flag", rest="  ")
    advice = known.answer
    first, best = first_lines(session, width)[:3], sentence_lines(session, width)
    if advice is None:
        return [*lines, *first, *(wrapped(WAITING, width) if state.pending else [])], 0
    untried = standing_of(session.prototype.project, session.number) is Standing.UNTRIED
    lines += [*first, *best] if untried else [*best, *first]
    if advice.note:
        lines += note_lines(advice.note, width, most=2 if height > LOW else 1)
    air: list[Line] = [()] if height > AIRY else []
    room = height - len(lines) - LEAST_LIST - (1 if height > LOW else 0) - 2 * len(air)
    if known.breakdown is not None:
        lines += air
        lines += breakdown_lines(known.breakdown, width, most=max(3, room))
    lines += air
    begin = len(lines) + 1
    lines += option_lines(advice, advice.options, width, at=at)
    lines += wrapped(advice.tells_apart, width, rest="  ") if advice.tells_apart else []
    return lines, begin + at


def note_lines(note: str, width: int, *, most: int) -> list[Line]:
    """Return what limits the list in at most so many lines; that there is more of it is said."""
    lines = wrapped(note, width, rest="  ")
    if len(lines) <= most:
        return lines
    return [*lines[: most - 1], ((f"{cut(text_of(lines[most - 1]), width - 10).rstrip('> ')} ... (w)", ""),)]


def breakdown_lines(breakdown: Breakdown, width: int, *, most: int) -> list[Line]:
    """Return the gap taken apart in at most so many lines and two: the verdict, then a bar for each step."""
    if breakdown.reason:
        return wrapped(f"The gap: {breakdown.reason}", width, rest="  ")
    losses = [loss for loss in breakdown.losses if loss.key != "ideal"]
    ideal, measured = breakdown.ideal, breakdown.measured
    largest = max((abs(each.power.middle) for each in losses), default=0.0) or 1.0
    unit = unit_for(Kind.POWER, "W", largest)
    verdict = VERDICTS.get(breakdown.verdict, "")
    there = f" at {rpm_text(breakdown.speed)}" if breakdown.speed else ""
    free = measured is not None and measured.high == 0
    read = "running free" if free else f"{_power(measured, unit)} {unit} measured"
    begin = f"Ideal turn {_power(ideal, unit)} {unit}, {read}{there}"
    lines: list[Line] = [((cut(f"{begin}{': ' if verdict else ''}{verdict}", width), "head"),)]
    if len(losses) > most - 1 > 0:
        keep = sorted(losses, key=lambda loss: -abs(loss.power.middle))[: most - 2]
        rest = [loss for loss in losses if loss not in keep]
        shown = [loss for loss in losses if loss in keep]
        lines += [loss_line(loss, largest, unit, width) for loss in shown]
        total = sum(loss.power.middle for loss in rest)
        names = ", ".join(loss.short or loss.label for loss in rest)
        text = f"{_number(-total, unit)} {unit} in all: {names} (w)"
        return lines + wrapped(text, width, role="aside", first="  ", rest="    ")
    return lines + [loss_line(loss, largest, unit, width) for loss in losses]


def loss_line(loss: Loss, largest: float, unit: str, width: int) -> Line:
    """Return one step: label, what it takes with its ends, a bar, how it is known."""
    cells, ends = (20 if width >= 96 else 10), (17 if width >= NARROW else 0)
    label = max(12, width - 2 - 7 - ends - cells - 11)
    low, high = (-from_si(x, Kind.POWER, unit) for x in (loss.power.high, loss.power.low))
    step = resolution(low, high)
    span = f"({rounded(low, step)} to {rounded(high, step)})" if step and ends else ""
    drawn = bar(abs(loss.power.middle) / largest, cells)
    return (
        ("  " + fitted(loss.label, label), ""),
        (f"{_number(-loss.power.middle, unit):>6} {span.ljust(ends)}", "strong"),
        ((drawn if loss.power.middle >= 0 else drawn.replace("#", "+")) + " ", ""),
        (cut(loss.known, 9), "aside"),
    )


def _power(value: Range | None, unit: str) -> str:
    return "?" if value is None else digits(from_si(value.middle, Kind.POWER, unit), 2)


def _number(value: float, unit: str) -> str:
    number = from_si(value, Kind.POWER, unit)
    return f"{'+' if number > 0 else ''}{digits(number, 2)}"


def option_lines(advice: Advice, options: Sequence[Option], width: int, *, at: int) -> list[Line]:
    """Return the changes, one a line under a line of titles, best first."""
    if not options:
        none = (
            "No change that this build can have helps, as far as can be told."
            if advice.whole and not advice.reason
            else ""
        )
        return wrapped(none, width) if none else []
    unit = unit_for(Kind.POWER, "W", *(each.effect.power.middle for each in options))
    wide = width >= NARROW
    asks = any(option.effect.helps < TELLING for option in options)
    gains = [_gain(option, unit, advice) for option in options]
    between = max(INTERVAL, *(len(span) + 2 for _, span in gains)) if wide else 0
    columns = SURE + between + (HELPS if asks else 0) + HOURS
    room = max(10, width - 4 - columns)
    first = f"at least {unit}" if advice.running else "chance"
    second = ("between" if advice.running else "runs then") if wide else ""
    head = _row(first, second, "helps" if asks else "", "work", between=between, asks=asks)
    lines: list[Line] = [((cut(f"    {fitted('change (=: as good)', room)}{head}", width), "aside"),)]
    before = -1
    for index, option in enumerate(options):
        here = index == at
        group = f"{option.group + 1:>2} " if option.group != before else "  ="
        before = option.group
        gain, span = gains[index]
        helps = chance_text(option.effect.helps).removesuffix(" in 100") if option.effect.helps < TELLING else ""
        lines.append((
            (">" if here else " ", "here"), (group, "aside"),
            (fitted(title_of(option, room), room), "here" if here else ""),
            (_row(gain, span, helps, hours_text(option.hours), between=between, asks=asks), "strong"),
        ))  # fmt: skip
    return lines


def _row(first: str, second: str, helps: str, work: str, *, between: int, asks: bool) -> str:
    """Return the cells of a change, in their columns."""
    middle = f"  {second.ljust(between - 2)}" if between else ""
    return f"{first.rjust(SURE)}{middle}{helps.rjust(HELPS) if asks else ''}{work.rjust(HOURS)}"


def title_of(option: Option, room: int) -> str:
    """Return a change in so many cells: with its size where that fits, else its short name."""
    short = option.short or option.words
    whole = f"{short}: {option.size}" if any(map(str.isdigit, option.size)) else short
    return whole if len(whole) <= room - 1 else short


def _gain(option: Option, unit: str, advice: Advice) -> tuple[str, str]:
    """Return the gain that is sure, and its interval; of an engine that does not run the chance to run, then it."""
    effect = option.effect
    if not advice.running:
        more = f"{100 * effect.runs:+.0f}"
        return "nearer" if more in ("+0", "-0") else more, chance_text(option.outcome.runs)
    low, high = (from_si(x, Kind.POWER, unit) for x in (effect.power.low, effect.power.high))
    step = resolution(low, high)
    return _brings(option, advice) or _number(effect.sure, unit), f"{rounded(low, step)} to {rounded(high, step)}"


def effect_text(effect: Effect, option: Option, *, running: bool) -> str:
    """Return what a change brings, in one sentence."""
    unit = unit_for(Kind.POWER, "W", effect.power.middle, effect.power.high)
    middle, low, high = (_number(x, unit) for x in (effect.power.middle, effect.power.low, effect.power.high))
    parts = [f"Power {middle} {unit} ({low} to {high})"] if running else []
    more = f" ({100 * effect.runs:+.0f})" if abs(effect.runs) >= 0.005 else ""
    parts.append(f"{'runs' if parts else 'Runs'} {chance_text(option.outcome.runs)}{more}")
    if effect.free_speed is not None:
        rpm = [from_si(x, Kind.ROTATION, "rpm") for x in (effect.free_speed.middle, effect.free_speed.low)]
        rpm.append(from_si(effect.free_speed.high, Kind.ROTATION, "rpm"))
        parts.append(f"free speed {rpm[0]:+.0f} rpm ({rpm[1]:+.0f} to {rpm[2]:+.0f})")
    if effect.least_difference is not None:
        kelvins = effect.least_difference.middle
        parts.append(f"needs {abs(kelvins):.1f} K {'less' if kelvins < 0 else 'more'} between the metals")
    helps = f"helps {chance_text(effect.helps)}, " if effect.helps < TELLING else ""
    return f"{', '.join(parts)}; {helps}about {hours_text(option.hours)}."


def about_option(option: Option, width: int, *, running: bool) -> list[Line]:
    """Return what a change brings, what it needs, what can hurt."""
    lines = wrapped(f"{option.words}. {effect_text(option.effect, option, running=running)}", width, rest="  ")
    lines += signed("(!)", option.caution, width) if option.caution else []
    return [*lines, *(wrapped(f"Needs: {option.needs}", width, rest="  ") if option.needs else [])]


def all_lines(session: Session, width: int) -> list[Line]:
    """Return everything that is known of what next: each step, each change with its reason, what cannot be."""
    known = next_of(session)
    advice = known.answer if known else None
    if known is None or advice is None:
        return []
    lines: list[Line] = [head_line(session, width), *sentence_lines(session, width)]
    lines += promise_lines(session.prototype.project, session.number, width)
    counted = tally_text(each.project for each in session if each.usable)
    lines += wrapped(counted, width) if counted else []
    lines += wrapped(advice.note, width) if advice.note else []
    if known.breakdown is not None:
        lines += [(), *breakdown_lines(known.breakdown, width, most=99)]
        lines += wrapped(known.breakdown.sentence, width)
        lines += wrapped(f"Of: {known.breakdown.told}", width) if known.breakdown.told else []
    for title, options in (("Changes that help", advice.options), ("Changes that do not", advice.others)):
        lines += [(), ((title, "head"),)] if options else []
        for option in options:
            text = f"{option.group + 1}. {option.words}: {effect_text(option.effect, option, running=advice.running)}"
            more = f" Needs: {option.needs}." if option.needs else ""
            lines += wrapped(f"{text}{more} Size of the step: {option.source}.", width, first="  ", rest="    ")
            if option.caution:
                lines += wrapped(f"(!) {option.caution}", width, role="warn", first="    ", rest="    ")
    lines += wrapped("Changes of one number cannot be told apart yet; the cheapest stands first.", width)
    lines += wrapped(advice.tells_apart, width) if advice.tells_apart else []
    lines += [(), (("What cannot be, and why", "head"),)] if advice.not_possible else []
    for each in advice.not_possible:
        lines += wrapped(f"{each.words}: {each.why}", width, first="  ", rest="    ")
    return [*lines, ()]


def nearest_lines(session: Session, width: int, *, most: int = 3) -> list[Line]:
    """Return the changes that bring an engine that does not run nearest, one a line; empty where there are none."""
    known = next_of(session)
    advice = known.answer if known else None
    if advice is None or not advice.options:
        return []
    lines: list[Line] = [(("Changes that bring it nearest (c: all)", "head"),)]
    for option in advice.options[:most]:
        text = f"  {option.short}: runs {chance_text(option.outcome.runs)}, {hours_text(option.hours)}"
        lines.append(((cut(text, width), ""),))
    return lines
