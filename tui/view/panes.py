"""The panes of an open prototype, each declared once: key, title, keys, and the class that draws it. Data.

The title line, the turning, the layers of the screen and the page of help read it.
"""

from __future__ import annotations

from dataclasses import dataclass

from model.fields import PANES
from tui.view.keys import CURVES, DIARY, ENGINE, NEXT, RESULTS, Keys

ROOM = 100
"""Columns from which panes with a key of their own are named while they are not shown."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PaneSpec:
    """One pane."""

    key: str
    """Also the id of its widget."""
    title: str
    help_title: str = ""
    """Over its keys on the page of help."""
    keys: Keys = ()
    module: str = ""
    """Where its class stands; loaded when it is first turned to. Empty: the form of the build shows it."""
    holds: str = ""
    """What of the diary its list shows: ``entry`` or ``reading``."""
    widget: str = ""
    """Name of its class."""
    turned: bool = True
    """Whether Left and Right turn to it; one that has a key of its own is named over the panes where there is room."""


ALL_PANES: tuple[PaneSpec, ...] = (
    *(PaneSpec(key=key, title=title) for key, title in PANES),
    PaneSpec(key="results", title="Results", help_title="In Results", keys=RESULTS,
             module="tui.panes.results", widget="ResultsPane", holds="reading"),
    PaneSpec(key="diary", title="Diary", help_title="In the Diary", keys=DIARY,
             module="tui.panes.diary", widget="DiaryPane", holds="entry"),
    PaneSpec(key="next", title="What next", help_title="In What next", keys=NEXT,
             module="tui.panes.next", widget="NextPane"),
    PaneSpec(key="engine", title="Engine", help_title="At the engine", keys=ENGINE, turned=False,
             module="tui.panes.engine", widget="EnginePane"),
    PaneSpec(key="curves", title="Curves", help_title="At the curves", keys=CURVES, turned=False,
             module="tui.panes.curves", widget="CurvesPane"),
)  # fmt: skip
"""In the order turned; those with a key of their own come last."""


def pane_number(key: str) -> int:
    """Return the number of a pane in `ALL_PANES`, from 0."""
    return next(number for number, pane in enumerate(ALL_PANES) if pane.key == key)


def named_panes(number: int, width: int) -> list[int]:
    """Return the panes that are named over the one that is shown, in order, on a line so wide.

    Examples
    --------
    >>> [ALL_PANES[place].title for place in named_panes(pane_number("curves"), 80)[-2:]]
    ['What next', 'Curves']
    """
    return [place for place, pane in enumerate(ALL_PANES) if pane.turned or place == number or width >= ROOM]


def number_after(number: int, step: int, width: int) -> int:
    """Return the pane that lies so many turns on: of those that are turned, from one with a key of its own as named.

    Examples
    --------
    >>> ALL_PANES[number_after(0, -1, 80)].title, ALL_PANES[number_after(0, 3, 80)].title
    ('What next', 'Results')
    >>> engine = pane_number("engine")
    >>> [ALL_PANES[number_after(engine, step, width)].title for width in (80, 120) for step in (-1, 1)]
    ['What next', 'Dimensions', 'What next', 'Curves']
    """
    own = not ALL_PANES[number].turned
    turned = [place for place in named_panes(number, width) if own or ALL_PANES[place].turned]
    return turned[(turned.index(number) + step) % len(turned)]
