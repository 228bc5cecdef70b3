"""Readings as text: a row of the list, what stands below it, the rows of its form. Pure; drawn by the Results pane.

A measured value stands with its spread as ``230 +-4 rpm`` (twice the standard uncertainty, as a builder types it);
predicted and gap stand in the unit of the measured one. Intervals are written out below the list.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from model.bench.kinds import Facts, kind_of
from model.bench.quantities import QUANTITIES, Measured
from model.bench.reading import ReadingValues, measured_of, values_of
from model.checks.cautions import cautions_at
from model.checks.plausibility import Doubt
from model.checks.problems import problems_of_reading
from model.fields import Build, is_unknown
from model.fields.reading import CONDITIONS
from model.prediction.result import Gap
from model.quantities.ladder import unit_for
from model.quantities.units import Kind, from_si, size_from_si
from model.record import Entry, Project, Reading
from tui.state.diary_edits import Offer
from tui.state.prototype import parsed_build
from tui.text.figures import NONE, figure_text, number_text, resolution, rounded, value_text
from tui.text.verdicts import shown_gap_text
from tui.view.form_rows import Content, FormRow, content_of, shown_text
from tui.view.lines import Line, cut, fitted, wrapped

_TOLD_WHEN = (("hot_metal", "hot {}"), ("cold_metal", "cold {}"), ("room_temperature", "room {}"), ("minutes", "{}"),
              ("heat_source", "{}"), ("cold_side", "{}"), ("direction", "{}"))  # fmt: skip
_COMPARED_AT = ("hot_metal", "cold_metal", "room_temperature", "heat_source", "cold_side")
"""Conditions at which a reading is compared with the prediction."""
SPUN = ("friction_opened", "friction_unlinked", "displacer_friction", "air_loss")
"""The part of them that spin-downs tell: what each counts for stands first."""
EARLY = ("work_of_heat", "heat_felt", *SPUN)
"""Quantities that an engine shows before it runs: their measured value comes with the gap, from several readings."""
MEASURED_WITH_GAP = (*EARLY, "run_time")
"""Quantities whose measured value comes with the gap."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingRow:
    """A reading with the entry it stands in and the mark it was taken on."""

    entry: Entry
    reading: Reading
    mark: int | None
    """None where neither reading nor entry says it."""

    @property
    def place(self) -> tuple[str, str]:
        """Keys of entry and reading."""
        return self.entry.key, self.reading.key


def reading_rows(project: Project, number: int | None) -> tuple[ReadingRow, ...]:
    """Return the readings of a mark, or of all marks, in the order in which they were added."""
    rows = (
        ReadingRow(entry=entry, reading=reading, mark=project.mark_of(entry, reading))
        for entry in project.entries.values()
        for reading in entry.readings.values()
    )
    return tuple(reading_row for reading_row in rows if number is None or reading_row.mark == number)


def measured_in(reading: Reading) -> Measured | None:
    """Return what a reading measured that can be held against a prediction."""
    return measured_of(values_of(reading))


def kind_label(kind: str) -> str:
    """Return a kind of reading in words; an unknown one as it is written."""
    declared = kind_of(kind)
    return declared.label if declared else kind or "?"


# -- the list -----------------------------------------------------------------------------------------------------


def head_line(width: int) -> Line:
    """Return the titles of the columns."""
    day, kind, measured, predicted, gap = _columns(width)
    titles = fitted("day", day) + "Mk " + fitted("kind", kind) + fitted("measured", measured)
    return (("  " + titles + "predicted".rjust(predicted) + "gap".rjust(gap), "aside"),)


def _columns(width: int) -> tuple[int, int, int, int, int]:
    """Return the cells for day, kind, measured, predicted and gap; a wider screen gives them more, one by one.

    Two cells stay empty at the end, so that the gap does not touch what stands beside the list.
    """
    spare = max(0, width - 47)
    day = 6 + (5 if spare >= 5 else 0)
    spare -= day - 6
    measured = 12 + min(5, spare)
    spare -= measured - 12
    kind = 7 + min(17, max(0, spare - 3)) if spare > 3 else 7
    return day, kind, measured, 9, min(12, 6 + max(0, spare - (kind - 7)))


def row_line(reading_row: ReadingRow, gap: Gap | None, width: int, *, here: bool, flagged: bool, waiting: bool) -> Line:
    """Return a reading as one row: day, mark, kind, then what was measured, predicted, and the gap.

    Parameters
    ----------
    reading_row : ReadingRow
        The reading.
    gap : Gap or None
        Its gap, when it came back.
    width : int
        Cells of the row.
    here : bool
        Whether the cursor is on it.
    flagged : bool
        Whether one of its texts cannot be read.
    waiting : bool
        Whether a gap is still to come.
    """
    day, kind, measured, predicted, wide = _columns(width)
    whole = reading_row.entry.day or "?"
    mark = str(reading_row.mark) if reading_row.mark is not None else "?"
    whole_kind = kind_label(reading_row.reading.kind)
    label = whole_kind if len(whole_kind) < kind else short_kind(reading_row.reading.kind)
    start: Line = (
        (">" if here else " ", "here"),
        ("!" if flagged else " ", "flag"),
        (fitted(whole if day > 6 else whole[-5:], day), ""),
        (fitted(mark, 3), ""),
        (fitted(label, kind - 1) + " ", "here" if here else ""),
    )
    result = measured_in(reading_row.reading)
    if result is None and gap is not None and gap.quantity in MEASURED_WITH_GAP:
        unit = unit_for(gap.measured.kind, gap.measured.unit, gap.measured.value)
        return (
            *start,
            (fitted(value_text(gap.measured), measured), "strong"),
            (number_text(gap.predicted, unit).rjust(predicted), ""),
            (number_text(gap.gap, unit).rjust(wide), "strong"),
        )
    if result is None:
        return (*start, (cut(fact_text(reading_row.reading), measured + predicted + wide), ""))
    unit = shown_unit(result)
    fresh = gap if gap is not None and agrees(gap, result) else None
    blank = "..." if waiting else NONE
    return (
        *start,
        (fitted(_fitting(result, unit, measured), measured), "strong"),
        ((number_text(fresh.predicted, unit) if fresh else blank).rjust(predicted), ""),
        ((number_text(fresh.gap, unit) if fresh else blank).rjust(wide), "strong" if fresh else ""),
    )


def _fitting(result: Measured, unit: str, width: int) -> str:
    """Return a measured value with its spread where that fits; the unit goes before the spread, which stands below."""
    text = spread_text(result, unit)
    return text if len(text) < width else f"{text.partition(' +-')[0]} {unit}"


def agrees(gap: Gap, result: Measured) -> bool:
    """Whether a gap is of the reading as it stands now, not of what stood there before."""
    value = gap.measured.value
    return (
        gap.quantity == result.quantity and value is not None and abs(value - result.value) <= 1e-9 * abs(result.value)
    )


def shown_unit(result: Measured) -> str:
    """Return the unit in which a measured quantity is shown."""
    declared = QUANTITIES[result.quantity]
    return unit_for(declared.kind, declared.unit, result.value)


def spread_text(result: Measured, unit: str) -> str:
    """Return a measured value with its spread: ``230 +-4 rpm``."""
    return _with_spread(result.value, result.spread, QUANTITIES[result.quantity].kind, unit)


def _with_spread(value_si: float, spread_si: float, kind: Kind, unit: str) -> str:
    value, half = from_si(value_si, kind, unit), 2 * size_from_si(spread_si, kind, unit)
    step = resolution(value - half, value + half)
    return f"{rounded(value, step)} +-{rounded(half, step)} {unit}" if half > 0 else f"{rounded(value, 0)} {unit}"


def fact_text(reading: Reading) -> str:
    """Return what a reading says, in words, with the units that were meant."""
    return _facts_text(reading, _facts(reading)) or _everything(reading) or "nothing yet"


def _facts(reading: Reading) -> Facts:
    declared = kind_of(reading.kind)
    return declared.facts if declared else ()


def _everything(reading: Reading) -> str:
    """Return all that was measured, field by field, for a kind that has no words of its own."""
    rows = [row for row in reading_content(reading).rows if row.name not in ("", "kind", "mark", "note", *CONDITIONS)]
    return ", ".join(f"{row.field.label.lower()} {shown_text(row)[0]}" for row in rows if row.field and row.text)


def short_kind(kind: str) -> str:
    """Return a kind of reading in one short word."""
    declared = kind_of(kind)
    return declared.short if declared else kind_label(kind)


def conditions_text(reading: Reading) -> str:
    """Return the conditions of a reading in words."""
    facts = _facts(reading)
    return _facts_text(reading, tuple(item for item in _TOLD_WHEN if item[0] not in {name for name, _ in facts}))


def from_mark(reading_row: ReadingRow, project: Project) -> tuple[str, ...]:
    """Return in words the conditions of a comparison that the reading does not say: the mark's, or worked out.

    A metal temperature of the mark holds for the mark's own heat and cooling.
    """
    mark = project.marks.get(reading_row.mark) if reading_row.mark is not None else None
    build, texts = (mark.build if mark else {}), reading_row.reading.texts
    parts: list[str] = []
    for name, words in _TOLD_WHEN:
        if name not in _COMPARED_AT or not is_unknown(texts.get(name, "")):
            continue
        other = {"hot_metal": "heat_source", "cold_metal": "cold_side"}.get(name, "")
        own = texts.get(other, "") in ("", build.get(other, ""))
        if own and not is_unknown(build.get(name, "")):
            parts.append(f"{words.format(_in_words(name, build[name]))} (Mk {reading_row.mark})")
        elif other:
            parts.append(words.format("worked out"))
    return tuple(parts)


def _facts_text(reading: Reading, wanted: Iterable[tuple[str, str]]) -> str:
    content = reading_content(reading)
    rows = {row.name: row for row in content.rows}
    parts = [
        words.format(shown_text(rows[name])[0])
        for name, words in wanted
        if name in rows and rows[name].text.strip("? ")
    ]
    return ", ".join(parts)


def result_text(reading: Reading, gap: Gap | None, build: Build) -> str:
    """Return what a reading of a build comes to in one sentence, or what it still needs."""
    result = measured_in(reading)
    if result is None and gap is not None and gap.quantity in MEASURED_WITH_GAP:
        return early_text(gap)
    if result is None:
        return evidence_text(reading, build) or wanted_text(reading)
    sentence = f"Comes to {spread_text(result, shown_unit(result))}"
    if gap is None or not agrees(gap, result):
        return f"{sentence}."
    drawn = f"{sentence}; predicted {value_text(gap.predicted)}; gap {figure_text(gap.gap)}."
    return " ".join(filter(None, (drawn, shown_gap_text(gap))))


def evidence_text(reading: Reading, build: Build) -> str:
    """Return what a reading that stands for an input of the model comes to; empty where it tells none."""
    kind = kind_of(reading.kind)
    stands_for = kind.stands_for if kind else None
    value = stands_for.value(values_of(reading), build) if stands_for else None
    if stands_for is None or value is None or value.value <= 0:
        return ""
    said = stands_for.said(value.value)
    text = _with_spread(said, said * value.spread / value.value, stands_for.kind, stands_for.unit)
    return f"Comes to {stands_for.comes_to.format(text)}."


def wanted_text(reading: Reading) -> str:
    """Return what a reading still needs to be compared; empty for a kind that never is."""
    declared = kind_of(reading.kind)
    return f"To be compared it needs {declared.wanted}." if declared and declared.wanted else ""


def good_for_text(reading: Reading) -> str:
    """Return what a reading is good for, until it has told that."""
    declared = kind_of(reading.kind)
    return declared.good_for(values_of(reading)) if declared and declared.good_for else ""


def early_text(gap: Gap) -> str:
    """Return in one sentence what a reading tells of the air before the engine runs, against the prediction."""
    also = "".join(f" {figure.label}: {figure_text(figure)}." for figure in gap.also)
    sentence = f"{gap.measured.label}: {value_text(gap.measured)}; predicted {value_text(gap.predicted)}"
    return f"{sentence}; gap {figure_text(gap.gap)}.{also}"


def below_lines(
    reading_row: ReadingRow, gap: Gap | None, project: Project, width: int, *, looked_at: int
) -> list[Line]:
    """Return what is to be said of the reading under the cursor: flags, intervals, conditions, what is missing."""
    reading = reading_row.reading
    lines: list[Line] = []
    for problem in problems_of_reading(project, reading_row.entry, reading)[:1]:
        lines += wrapped(f"! {problem.message} {problem.remedy}", width, role="flag", rest="  ")
    result = measured_in(reading)
    mark = "no mark" if reading_row.mark is None else f"Mk {reading_row.mark}"
    title = f"{kind_label(reading.kind)}, {reading_row.entry.day or 'no day'}, {mark}: {fact_text(reading)}"
    lines += wrapped(title, width, rest="  ")[:2]
    if result is not None and gap is not None and agrees(gap, result):
        lines += wrapped(f"Measured {figure_text(gap.measured)}; predicted {figure_text(gap.predicted)}.", width)
        lines += wrapped(f"Gap, measured less predicted: {figure_text(gap.gap)}. {gap.note}", width, role="strong")
        lines += wrapped(shown_gap_text(gap), width, role="strong") if gap.shown is not None else []
        if result.value > 0 and gap.predicted.value is not None and gap.predicted.value <= 0:
            lines += wrapped("It ran: the model is wrong here, or a temperature is.", width, role="flag")
    elif result is None and gap is not None and gap.quantity in MEASURED_WITH_GAP:
        parts = wrapped(early_text(gap), width, role="strong", rest="  "), wrapped(gap.note, width)
        lines += [line for part in (parts[::-1] if gap.quantity in SPUN else parts) for line in part]
    elif result is None and (evidence := evidence_text(reading, _build_of(project, reading_row))):
        lines += wrapped(evidence, width, role="strong")
    elif result is None and (purpose := good_for_text(reading)):
        lines += wrapped(purpose, width)
    elif result is not None and reading_row.mark != looked_at:
        number = "its mark" if reading_row.mark is None else f"Mk {reading_row.mark}"
        lines += wrapped(f"Its gap is shown while {number} is looked at (m).", width, role="aside")
    elif result is None and (wanted := wanted_text(reading)):
        lines += wrapped(wanted, width)
    used = () if result is None else from_mark(reading_row, project)
    when = ", ".join(part for part in (conditions_text(reading), *used) if part)
    if when:
        lines += wrapped(f"At: {when}.", width)
    note = reading.texts.get("note", "")
    return [*lines, *wrapped(f"Remark: {note}", width)] if note else lines


def _build_of(project: Project, reading_row: ReadingRow) -> Build:
    mark = project.marks.get(reading_row.mark) if reading_row.mark is not None else None
    return parsed_build(mark).build if mark is not None else Build()


# -- the form -----------------------------------------------------------------------------------------------------


def reading_content(
    reading: Reading,
    offered: Mapping[str, Offer] | None = None,
    cautions: Mapping[str, str] | None = None,
    doubts: Iterable[Doubt] = (),
    heat_source: str = "",
) -> Content:
    """Return the rows of a reading's form; an offered condition stands in its empty row."""
    offered = offered or {}
    texts = {**reading.texts, "kind": reading.kind}
    return content_of(
        ReadingValues,
        texts,
        assumed={name: f"{_in_words(name, offer.text)}, {offer.whence}" for name, offer in offered.items()},
        cautions=cautions or {},
        doubts=doubts,
        heat_source=heat_source,
    )


def _in_words(name: str, text: str) -> str:
    field = ReadingValues.__dataclass_fields__[name].metadata["field"]
    return shown_text(FormRow(field=replace(field, name=name), text=text))[0]


def field_cautions(kind: str) -> dict[str, str]:
    """Return, for the fields of a kind of reading where a risk arises, the title of its caution."""
    return {name: caution.title for name, caution in cautions_at(kind).items()}


def offered_names(content: Content, offered: Mapping[str, Offer]) -> tuple[str, ...]:
    """Return the conditions that are offered and shown."""
    return tuple(name for name in CONDITIONS if name in offered and name in content.names)
