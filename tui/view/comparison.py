"""Two or three prototypes compared, each at its latest mark: prediction, measurement, gap, what differs in the build.

Pure; for the screen and for `quarterturn compare`. A field is shown where its value differs, in the field's own unit,
whatever units were typed; a spread alone is no difference.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from model.checks.stage import stage_of
from model.fields import PANES, Build, Field, applies, fields_of
from model.fields.field import Choice
from model.prediction.result import Figure, Gap, Verdict
from model.quantities.uncertain import Uncertain
from tui.state.knowledge import known_of
from tui.state.prototype import Prototype, parsed_build
from tui.text.days import last_day
from tui.text.figures import MAIN, NONE, best_measured, interval_text, is_assumed, need_text, value_text
from tui.text.labels import full_label
from tui.text.promise import promise_text
from tui.text.verdicts import verdict_text
from tui.view.form_rows import FormRow, content_of, reading_of, shown_text

MOST = 3
"""Most prototypes compared at once."""
_CLOSE = 1e-6
"""Relative difference below which two values are the same: the rounding of units."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """One row: what it is, and its cell for each prototype (of one line or more); a heading has no cells."""

    label: str
    cells: tuple[str, ...] = ()


def table_rows(prototypes: Sequence[Prototype]) -> list[Compared]:
    """Return the rows: how far each has come, what is predicted and measured, and what differs in the build."""
    return [
        *_stage_rows(prototypes),
        *_predicted_rows(prototypes),
        *_shown_rows(prototypes),
        *_measured_rows(prototypes),
        *_promised_rows(prototypes),
        *_differing(prototypes),
    ]


def _stage_rows(prototypes: Sequence[Prototype]) -> list[Compared]:
    stages = [stage_of(p.project) for p in prototypes]
    rows = [
        Compared(label="Stage, latest", cells=tuple(_seen_cell(s.latest, s.latest_mark) for s in stages)),
        Compared(label="Stage, best", cells=tuple(_seen_cell(s.best, s.best_mark) for s in stages)),
        Compared(label="Last entry", cells=tuple(last_day(p.project) or NONE for p in prototypes)),
    ]
    return [row for row in rows if set(row.cells) != {NONE}]


def _seen_cell(seen: Choice | None, mark: int | None) -> str:
    return NONE if seen is None else seen.label if mark is None else f"{seen.label}, Mk {mark}"


def _predicted_rows(prototypes: Sequence[Prototype]) -> list[Compared]:
    predictions = [p.outlook.prediction for p in prototypes]
    rows = [Compared(label="Predicted")]
    verdicts = [
        p.outlook.failure or "..." if prediction is None else verdict_text(prediction).lower()
        for p, prediction in zip(prototypes, predictions, strict=True)
    ]
    rows.append(Compared(label="Runs or not", cells=tuple(verdicts)))
    reasons = tuple(p.reason if p and p.verdict is Verdict.NO_PREDICTION else "" for p in predictions)
    if any(reasons):
        rows.append(Compared(label="Why not", cells=reasons))
    for key in (*MAIN, "hot_metal", "cold_metal", "heat_in"):
        figures = [p.figures.get(key) if p else None for p in predictions]
        label = next((figure.label for figure in figures if figure), "")
        if label and any(figure and figure.value is not None for figure in figures):
            rows.append(Compared(label=label, cells=tuple(_figure_cell(figure) for figure in figures)))
    needs = tuple(
        "; ".join(
            f"{need.label}: {need_text(need, assumed=is_assumed(need, p.assumed if p else {}))}"
            for need in (p.needs if p else ())
            if not need.met
        )
        for p in predictions
    )
    if any(needs):
        rows.append(Compared(label="To run it would need", cells=tuple(text or NONE for text in needs)))
    return rows


def _shown_rows(prototypes: Sequence[Prototype]) -> list[Compared]:
    """Return the rows of what the marks have shown; none where nothing was learnt of any."""
    known = [known_of(p) for p in prototypes]
    if not any(known):
        return []
    verdicts = (verdict_text(k.prediction, shown=True).lower() if k else NONE for k in known)
    rows = [Compared(label="From what it has shown"), Compared(label="Runs or not", cells=tuple(verdicts))]
    for key in MAIN:
        figures = [k.prediction.figures.get(key) if k else None for k in known]
        label = next((figure.label for figure in figures if figure), "")
        if any(figure and figure.value is not None for figure in figures):
            rows.append(Compared(label=label, cells=tuple(_figure_cell(figure) for figure in figures)))
    return rows


def _figure_cell(figure: Figure | None) -> str:
    if figure is None or figure.value is None:
        return NONE
    interval = interval_text(figure)
    return value_text(figure) + (f"\n{interval}" if interval and interval != value_text(figure) else "")


MEASURED = (
    ("shaft_power", "Best shaft power"), ("speed", "Fastest free"), ("work_of_heat", "Heat adds to a turn"),
)  # fmt: skip
"""Quantities whose gaps are compared, with the titles of their rows."""


def _measured_rows(prototypes: Sequence[Prototype]) -> list[Compared]:
    rows: list[Compared] = []
    for quantity, title in MEASURED:
        gaps = [_best(p, quantity) for p in prototypes]
        if not any(gaps):
            continue
        rows.append(Compared(label=title, cells=tuple(_figure_cell(gap.measured) if gap else NONE for gap in gaps)))
        rows.append(Compared(label="  predicted", cells=tuple(_figure_cell(g.predicted) if g else NONE for g in gaps)))
        rows.append(Compared(label="  gap", cells=tuple(_figure_cell(gap.gap) if gap else NONE for gap in gaps)))
    return [Compared(label="Measured, at its own temperatures and speed"), *rows] if rows else rows


def _promised_rows(prototypes: Sequence[Prototype]) -> list[Compared]:
    """Return what was promised of the changes that began the marks, and what came; none where nothing was."""
    texts = tuple(promise_text(p.project, p.project.latest.number) for p in prototypes)
    if not any(texts):
        return []
    return [Compared(label="Did it help?"), Compared(label="Promised, and came", cells=tuple(t or NONE for t in texts))]


def _best(prototype: Prototype, quantity: str) -> Gap | None:
    number = prototype.project.latest.number
    return best_measured(tuple(g for g in prototype.outlook.gaps if g.mark == number), quantity)


def _differing(prototypes: Sequence[Prototype]) -> list[Compared]:
    rows: list[Compared] = []
    contents = [_content(p) for p in prototypes]
    for pane, title in PANES:
        differing: list[Compared] = []
        for name, field in fields_of(Build).items():
            cells = [content.get(name) for content in contents]
            if field.pane == pane and any(cells) and _differ(name, field, prototypes):
                differing.append(Compared(label=full_label(name), cells=tuple(_cell(row) for row in cells)))
        if differing:
            rows += [Compared(label=f"{title}: what differs"), *differing]
    return rows or [Compared(label="Nothing differs in the build")]


def _content(prototype: Prototype) -> dict[str, FormRow]:
    mark = prototype.project.latest
    outlook = prototype.outlook
    known = outlook.prediction is not None and outlook.build == parsed_build(mark).build
    assumed = outlook.prediction.assumed if outlook.prediction and known else {}
    return {row.name: row for row in content_of(Build, mark.build, assumed=assumed).rows if row.field}


def _differ(name: str, field: Field, prototypes: Sequence[Prototype]) -> bool:
    """Whether a field says something else in one of the builds; flagged texts differ as texts."""
    values: list[float | str] = []
    for prototype in prototypes:
        mark = prototype.project.latest
        parsed = parsed_build(mark)
        value = getattr(parsed.build, name)
        if not applies(field, parsed.build):
            values.append("does not apply")
        elif name in parsed.problems:
            values.append(f"flagged: {mark.build.get(name, '')}")
        elif isinstance(value, Uncertain):
            values.append(value.value)
        else:
            values.append(value or "?")
    first = values[0]
    return not all(_same(first, other) for other in values[1:])


def _same(one: float | str, other: float | str) -> bool:
    if isinstance(one, float | int) and isinstance(other, float | int):
        return math.isclose(one, other, rel_tol=_CLOSE, abs_tol=0.0)
    return one == other


def _cell(row: FormRow | None) -> str:
    if row is None or row.field is None:
        return NONE
    if row.problem is not None:
        return f"! {row.text}"
    return reading_of(row) or shown_text(row)[0]
