"""What readings tell of an engine: friction, leak. Values with spread that take the place of guesses.

Only what was measured on the same mark counts; several readings of one thing are put together.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace

from model.bench.kinds import KINDS, StandsFor, kind_of
from model.bench.reading import ReadingValues, values_of
from model.fields import fields_of, is_unknown, parse_build
from model.fields.reading import ReadingFields
from model.quantities.uncertain import How, Uncertain, between
from model.record import Project

MOST_WATER = 9806.65
"""Swing that a U-tube of a metre shows, [Pa]: a metre of water, by its weight."""
AMBIENT = 0.2
"""Least relative standard uncertainty of friction from a weight and of a leak from a watch: what one evening differs
from the next; common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """What was measured on a mark, SI, by the name of the input it stands for."""

    values: Mapping[str, Uncertain] = field(default_factory=dict)
    sources: Mapping[str, str] = field(default_factory=dict)
    """How each is known, in words."""
    hose: Uncertain | None = None
    """Bore of the U-tube on which a half-time was read, [m]."""

    def without(self, names: Collection[str]) -> Evidence:
        """Return it without some inputs."""
        return replace(
            self,
            values={name: value for name, value in self.values.items() if name not in names},
            sources={name: words for name, words in self.sources.items() if name not in names},
        )


def evidence_of(project: Project, number: int, *, without: str = "", visit: str = "") -> Evidence:
    """Collect the evidence of a mark's readings: what each kind that stands for an input of the model says of it.

    Parameters
    ----------
    project : Project
        The project.
    number : int
        The mark.
    without : str
        Key of a kind of reading that is left out.
    visit : str
        Key of an entry that is left out: a gap is told without its own visit.
    """
    readings_by_name: dict[str, list[tuple[StandsFor, Uncertain]]] = {}
    hoses: list[Uncertain] = []
    build = parse_build(project.marks[number].build if number in project.marks else {}).build
    for entry, reading in project.readings_of(number):
        kind = kind_of(reading.kind)
        if kind is None or kind.stands_for is None or kind.key == without or entry.key == visit:
            continue
        values = values_of(reading)
        value = kind.stands_for.value(values, build)
        if value is not None:
            readings_by_name.setdefault(kind.stands_for.name, []).append((kind.stands_for, value))
            if "hose" in kind.fields:
                hoses.append(hose_of(values))
    values_by_name: dict[str, Uncertain] = {}
    sources: dict[str, str] = {}
    for name, items in readings_by_name.items():
        first = [item for item in items if not item[0].fallback] or items
        values_by_name[name] = together([value for _, value in first])
        words = dict.fromkeys(source.words for source, _ in first)
        sources[name] = f"{', '.join(words)}, {len(first)} reading{'s' if len(first) > 1 else ''}"
    return Evidence(values=values_by_name, sources=sources, hose=_as_one(hoses))


def hose_of(values: ReadingFields) -> Uncertain:
    """Return the bore of the U-tube of a reading, [m]; nil for a sensor, which a swing beyond a metre of water had."""
    if values.hose is not None:
        return values.hose if values.hose.value > 0 else Uncertain(value=0.0)
    guess = fields_of(ReadingValues)["hose"].guess
    if guess is None or (values.swing is not None and values.swing.value > MOST_WATER):
        return Uncertain(value=0.0)
    return between(1e-3 * guess.low, 1e-3 * guess.high)


def _as_one(hoses: list[Uncertain]) -> Uncertain | None:
    """Return the hose that stands for several: a half-time grows with its bore squared, and half-times are averaged."""
    if len(hoses) < 2:
        return hoses[0] if hoses else None
    bore = math.sqrt(sum(hose.value**2 for hose in hoses) / len(hoses))
    return Uncertain(value=bore, spread=math.sqrt(sum(hose.spread**2 for hose in hoses)) / len(hoses))


def left_behind(project: Project, number: int) -> dict[str, int]:
    """Return what was measured on earlier marks and is neither measured nor typed on this one: a word, the latest mark.

    The drawing's figures leave it out: a new mark was taken apart, and friction and leak are never quite the same after
    that (common practice, no source). `model.knowledge` takes over what stays; whoever knows better types it.
    """
    inputs = [kind.stands_for for kind in KINDS if kind.stands_for is not None]
    about = {item.name: item.about for item in inputs}
    texts = project.marks[number].build if number in project.marks else {}
    own = {about[name] for name in evidence_of(project, number).values}
    own |= {item.about for item in inputs if not all(is_unknown(texts.get(name, "")) for name in item.typed)}
    last_marks: dict[str, int] = {}
    for earlier in sorted(n for n in project.marks if n < number):
        for name in evidence_of(project, earlier).values:
            if about[name] and about[name] not in own:
                last_marks[about[name]] = earlier
    return last_marks


def together(items: list[Uncertain]) -> Uncertain:
    """Put several readings of one thing together: mean, and the larger of their own spread and their scatter.

    Source: [JCGM100], 4.2 (scatter of the mean) and 5.1.2; never below `AMBIENT` of the value.
    """
    mean = sum(i.value for i in items) / len(items)
    own = math.sqrt(sum(i.spread**2 for i in items)) / len(items)
    scatter = 0.0
    if len(items) > 1:
        scatter = math.sqrt(sum((i.value - mean) ** 2 for i in items) / (len(items) - 1) / len(items))
    return Uncertain(value=mean, spread=max(own, scatter, AMBIENT * abs(mean)), how=How.MEASURED)
