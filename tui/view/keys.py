"""Every key, declared once: what it does, how it is called, its word on the key line, its line of help. Pure.

A table a place. Screens, panes and dialogs make their bindings of it (`tui.widgets.screen.bindings`, `own_keys`), the
key line its hints, the page of help its lines: nothing names a key beside it. Keys that a widget takes by itself, as an
open field takes Space, have no `keys` here; they stand in the tables for the help.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

Hints = tuple[tuple[str, str], ...]
"""Keys and what they do, most wanted first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyAction:
    """One thing that a key does at one place."""

    keys: str = ""
    """The keys that do it, in textual's names, with commas between; empty: the widget takes them by itself."""
    action: str = ""
    """What is done: an action of textual, ``name`` or ``name(argument)``."""
    shown: str = ""
    """What the key is called in help and key line."""
    word: str = ""
    """Its word on the key line; empty: it does not stand there."""
    rank: int = 0
    """Its place on the key line from the left, from 1; 0: there only when it is asked for by its action."""
    help: str = ""
    """Its line on the page of help; empty: it has none."""
    priority: bool = False
    """Whether it goes before what a widget in focus does with the key."""
    by_name: bool = False
    """Whether it acts before any project is read: it needs their names alone."""
    unseen: bool = False
    """Whether it acts where the screen is too small to show anything."""


Keys = tuple[KeyAction, ...]


def hints(table: Keys, *actions: str) -> Hints:
    """Return the key line of a table: what is ranked, or the actions that are asked for, in that order.

    Examples
    --------
    >>> hints(DIARY, "edit", "delete")
    (('Enter', 'open'), ('d', 'delete'))
    """
    if actions:
        by_action = {key.action: key for key in reversed(table) if key.word}
        chosen = [by_action[action] for action in actions]
    else:
        chosen = sorted((key for key in table if key.rank), key=lambda key: key.rank)
    return tuple((key.shown.replace(",", ""), key.word) for key in chosen)


def help_rows(table: Keys) -> tuple[tuple[str, str], ...]:
    """Return what the page of help says of a table."""
    return tuple((key.shown, key.help) for key in table if key.help)


def key_names(keys: Iterable[KeyAction]) -> frozenset[str]:
    """Return the keys that do any of these, in textual's names."""
    return frozenset(name for key in keys for name in key.keys.split(",") if name)


def _moves(up: str, down: str, page: int, *, by_name: bool = False) -> Keys:
    """Return the keys that move through lines or rows."""
    moves = (
        (up, -1), (down, 1), ("pageup", -page), ("pagedown" if page == 5 else "pagedown,space", page),
        ("home", -99999), ("end", 99999),
    )  # fmt: skip
    return tuple(KeyAction(keys=keys, action=f"move({step})", by_name=by_name) for keys, step in moves)


K = KeyAction

APP: Keys = (
    K(keys="ctrl+l", action="redraw", shown="ctrl+l", help="draw the screen anew", priority=True, by_name=True,
      unseen=True),
    K(keys="ctrl+q", action="quit", priority=True, by_name=True, unseen=True),
    K(keys="ctrl+c", action="quit", by_name=True, unseen=True),
)  # fmt: skip
"""Everywhere."""

LIST: Keys = (
    K(shown="Up, Down", help="choose a prototype (Home, End, PageUp and PageDown too)"),
    *_moves("up,k", "down,j", 5, by_name=True),
    K(keys="enter,right,l", action="open", shown="Enter", word="open", rank=1, help="open it"),
    K(keys="a", action="ask('add')", shown="a", word="add", rank=2, help="add a new prototype"),
    K(keys="c", action="ask('copy')", shown="c", word="copy", rank=3,
      help="copy it as a new prototype: its latest build becomes Mk 1, its diary stays"),
    K(keys="r", action="ask('rename')", shown="r", word="rename", rank=10, help="rename it"),
    K(keys="n", action="app.note", shown="n", word="note", rank=4, help="add a one-line note to its diary"),
    K(keys="d,delete", action="ask('delete')", shown="d", word="delete", rank=5,
      help="delete it: asks, then its file goes to the bin; ctrl+z brings it back while the program runs"),
    K(keys="ctrl+z", action="ask('undelete')"),
    K(keys="b", action="ask('bin')", shown="b", word="bin", rank=9,
      help="the bin: what was deleted, also long ago; Enter brings it back under a name that is free"),
    K(keys="e", action="ask('demo')", shown="e", word="copy the examples",
      help="in an empty notebook: copy the three examples into it"),
    K(keys="slash", action="search", shown="/", word="search", rank=11,
      help="search the diaries, readings and marks of all: beginnings of words; Enter goes there"),
    K(keys="space", action="tick", shown="Space, s", help="tick two or three prototypes, then show them side by side"),
    K(keys="s", action="compare", shown="s", word="side by side", rank=6),
    K(keys="question_mark,f1", action="app.help(False)", shown="?", word="keys", rank=7),
    K(keys="q", action="app.quit", shown="q", word="quit", rank=8, by_name=True,
      help="quit (ctrl+q anywhere); everything is saved, nothing is asked"),
)  # fmt: skip
"""The list of prototypes."""
BY_NAME = key_names(key for key in (*APP, *LIST) if key.by_name)
UNSEEN = key_names(key for key in APP if key.unseen)
EMPTY_LIST = ("ask('add')", "ask('demo')", "ask('bin')", "app.help(False)", "app.quit")
"""What its key line offers while it is empty."""

PROJECT: Keys = (
    K(keys="right,right_square_bracket", action="turn(1)", shown="Left, Right", word="pane", rank=3,
      help="turn to another pane, as they are named at the top; [ and ] too"),
    K(keys="left,left_square_bracket", action="turn(-1)"),
    K(shown="Up, Down", help="move; Tab too; Home, End, PageUp, PageDown"),
    K(shown="Enter", help="open the field; Enter again, Down or Tab save it and go on; what is flagged is stayed with"),
    K(shown="a digit",
      help="opens the field and types over it; so does a letter where any text can stand (F1: these keys)"),
    K(keys="escape", action="close", shown="Esc", word="list", rank=2,
      help="leaves the field; what was typed stays. Outside a field: back to the list"),
    K(shown="Space", help="next word, where a field takes words; or Enter and the first letters"),
    K(shown="Del", help="empties the field: it is then a guess with a range"),
    K(keys="ctrl+z", action="step(True)", shown="ctrl+z, ctrl+y",
      help="take back, do again: one visit to a field at a time"),
    K(keys="ctrl+y", action="step(False)"),
    K(keys="enter", action="ask('keep')", shown="Enter", word="keep", priority=True),
    K(shown="v", help="on a number: a row of values, with power, speed and chance to run at each; Enter takes one"),
    K(keys="w", action="why", shown="w", word="why", rank=4,
      help="why: every figure with formula, inputs, source and how sure it is; all cautions"),
    K(keys="m", action="ask('mark')", shown="m", word="marks", rank=5, help="marks: look at another, begin the next"),
    K(keys="i", action="ask('scratch')", shown="i", word="what if",
      help="what if: a scratch copy of the mark. Change anything, see both; keep it as the next mark or throw it away"),
    K(keys="p", action="turn('curves')", shown="p", word="curves", rank=8,
      help="curves: power, where it stalls, the loop, torque, the minutes ... Again: back"),
    K(keys="e", action="turn('engine')", shown="e", word="engine", rank=7,
      help="the engine to scale, turning; from a field: where on the engine that is. Again: back"),
    K(keys="n", action="app.note", shown="n", word="note", rank=6, help="add a one-line note to the diary"),
    K(keys="slash", action="ask('search')", shown="/", word="search",
      help="search its diary, readings and marks; Enter goes there. In the list: those of all. Of What next: symptoms"),
    K(keys="ctrl+s", action="save", shown="ctrl+s", help="save now (leaving a field saves too)"),
    K(keys="q", action="close", shown="q", help="back to the list; ctrl+q quits"),
    K(keys="question_mark,f1", action="app.help(True)", shown="?", word="keys", rank=1),
)  # fmt: skip
"""An open prototype, whichever pane is shown."""
BROUGHT_BACK: Hints = (*hints(PROJECT, "ask('keep')"), ("ctrl+z", "drop"))
"""The key line while something that was brought back waits."""

FIELDS: Keys = (K(keys="v", action="values", shown="v", word="values", rank=1),)
"""The fields of a build."""
RESULTS: Keys = (
    K(keys="a", action="add", shown="a", word="add", rank=1,
      help="add a reading: its kind, then what was measured; it goes into the entry of today"),
    K(keys="enter", action="edit", shown="Enter",
      help="open the reading under the cursor; Esc goes back to the list, what was typed stands"),
    K(shown="t", help="in a reading: take all conditions of last time that are offered; Enter takes one to edit"),
    K(shown="s", help="in a reading with a time: a stopwatch, Space tapped once a turn"),
    K(keys="d,delete", action="delete", shown="d", help="delete the reading; asks, and ctrl+z brings it back"),
    K(keys="o", action="others", shown="o", word="all",
      help="show the readings of all marks, or of this one; a gap is worked out for the mark looked at"),
)  # fmt: skip
"""The list of readings."""

READING: Keys = (
    K(keys="s", action="stopwatch", shown="s", word="stopwatch"),
    K(keys="t", action="take_offered", shown="t", word="take all offered"),
)
"""The form of one reading."""

DIARY: Keys = (
    K(keys="a", action="add", shown="a", word="add", rank=1, help="begin an entry of today, with this mark"),
    K(keys="enter", action="edit", shown="Enter", word="open", rank=2,
      help="open the entry under the cursor at its text; Tab goes on to ticks, change and next idea"),
    K(shown="Space", help="in an entry: tick what was seen; the furthest tick is the stage"),
    K(shown="Up", help="from the first tick back to the text"),
    K(shown="Esc", help="leaves the text, then the entry; everything stays"),
    K(keys="d,delete", action="delete", shown="d", word="delete", rank=3,
      help="delete the entry with its readings; asks, and ctrl+z brings it back"),
)  # fmt: skip
"""The list of diary entries."""

NEXT: Keys = (
    K(keys="up,k", action="move_row(-1)", shown="Up, Down", word="test",
      help="turn to another change, or to another test; the first tells most for its effort"),
    K(keys="down,j", action="move_row(1)"),
    K(keys="tab", action="move_cause(1)", shown="Tab", word="cause",
      help="go to another cause: which findings moved it, and what to do when it is this"),
    K(keys="shift+tab", action="move_cause(-1)"),
    K(keys="enter", action="write", shown="Enter", word="write down",
      help="on a change: what it brings, and put it into a scratch copy; on a test: write down what it showed; on a "
      "cause: write down that it is seen here"),
    K(keys="c", action="turn_face", shown="c", word="changes",
      help="of an engine that does not run: turn between its causes and the changes that bring it nearest"),
    K(keys="g", action="aim", shown="g", word="goal",
      help="aim at something: 150 rpm, 20 mW, 50 C water; shows what would have to change"),
    K(keys="s", action="time", shown="s", word="stopwatch",
      help="time the test: Space tapped once a turn, Enter when it stands still"),
    K(keys="slash", action="symptom", shown="/", word="symptom",
      help="search a symptom in your own words: what it points to, the test, what can hurt"),
    K(keys="a", action="add", shown="a", word="add", help="add a reading of any kind"),
    K(keys="pagedown", action="scroll_lines(8)", shown="PageDown",
      help="what does not fit: the other outcomes, what the engine can bear (w shows all of it)"),
    K(keys="pageup", action="scroll_lines(-8)"),
    K(keys="home", action="scroll_lines(-9999)"),
    K(keys="end", action="scroll_lines(9999)"),
)  # fmt: skip
"""What it loses by or why it does not run, and what to change next."""

CURVES: Keys = (
    K(keys="down,j,tab", action="move_curve(1)", shown="Up, Down", word="curve", rank=1,
      help="turn to another curve, as they are named at the top"),
    K(keys="up,k,shift+tab", action="move_curve(-1)"),
    K(keys="full_stop,greater_than_sign", action="move_cursor(1)", shown="< >", word="read", rank=2,
      help="move the cursor, which reads values with their intervals: comma and point too, PageUp, PageDown ten steps"),
    K(keys="comma,less_than_sign", action="move_cursor(-1)"),
    K(keys="pagedown", action="move_cursor(10)"),
    K(keys="pageup", action="move_cursor(-10)"),
    K(keys="home", action="move_cursor(-9999)"),
    K(keys="end", action="move_cursor(9999)"),
    K(keys="plus,equals_sign", action="zoom(2)", shown="+ -", word="zoom", rank=3,
      help="zoom in at the cursor, or out; 0 shows all of it again"),
    K(keys="minus", action="zoom(0.5)"),
    K(keys="0", action="zoom(0)"),
    K(keys="f", action="write", shown="f", word="to a file", rank=4,
      help="write the curve to a file: a picture where its name ends in .svg, a table where in .csv"),
)  # fmt: skip
"""The curves."""


ENGINE: Keys = (
    K(keys="up,k,plus", action="turn_by(5)", shown="Up, Down", word="turn", rank=1,
      help="turn it by 5 degrees, on or back"),
    K(keys="down,j,minus", action="turn_by(-5)"),
    K(keys="pageup", action="turn_by(90)", shown="PageUp", word="quarter", help="turn it by a quarter, on or back "
      "(PageDown)"),
    K(keys="pagedown", action="turn_by(-90)"),
    K(keys="home", action="turn_to(0)", shown="Home", help="back to 0, where the displacer stands nearest to the hot "
      "end"),
    K(keys="space", action="run", shown="Space", word="let it turn", rank=2,
      help="let it turn slowly, or stop it; it stops by itself after a minute without a key, and on a slow line"),
    K(keys="z", action="close_up", shown="z", word="closer", rank=3, help="cylinders and pistons alone, larger; again: "
      "all of it"),
    K(keys="x", action="next_contact", shown="x", word="what touches", help="turn to the next place where parts touch "
      "or have less than a millimetre"),
)  # fmt: skip
"""The engine to scale."""
BACK: Keys = (K(keys="escape", action="back"),)
"""From a reading or an entry back to its list."""
PAGE: Keys = (
    K(keys="escape,q,enter,question_mark,w", action="close", shown="Esc", word="back"),
    *_moves("up,k", "down,j", 15),
)
"""A text to read."""
SIDE_BY_SIDE: Keys = (
    K(keys="escape,q,s,enter", action="close", shown="Esc", word="back"),
    *_moves("up,k", "down,j", 15),
    K(keys="question_mark,f1", action="app.help(False)"),
)
"""Prototypes side by side."""
ROW: Keys = (
    K(keys="enter", action="take", shown="Enter", word="take it", rank=1),
    K(keys="down,j,tab", action="move(1)", shown="Up, Down", word="value", rank=2),
    K(keys="up,k,shift+tab", action="move(-1)"),
    K(keys="home", action="move(-99)"),
    K(keys="end", action="move(99)"),
    K(keys="escape,q,v", action="close", shown="Esc", word="leave it", rank=3),
)
"""A row of values."""
AIM: Keys = (
    K(keys="enter", action="take", shown="Enter", word="details", rank=1),
    K(keys="down,j,tab", action="move(1)", shown="Up, Down", word="way", rank=2),
    K(keys="up,k,shift+tab", action="move(-1)"),
    K(keys="escape,q", action="close", shown="Esc", word="back", rank=3),
)
"""The ways to a goal."""
CHOICE: Keys = (
    K(keys="enter,space", action="take", shown="Enter", word="take", rank=1),
    K(keys="down,j", action="move(1)", shown="Up, Down", word="choose", rank=2),
    K(keys="up,k", action="move(-1)"),
    K(keys="escape", action="close", shown="Esc", word="back", rank=3),
)
"""A choice to make."""
TICKED: Keys = (
    K(keys="enter", action="take", shown="Enter", word="go on", rank=1),
    K(keys="space", action="tick", shown="Space", word="tick", rank=2),
    K(keys="down,j", action="move(1)", shown="Up, Down", word="choose", rank=3),
    K(keys="up,k", action="move(-1)"),
    K(keys="escape", action="close", shown="Esc", word="say nothing", rank=4),
)
"""Answers to tick, some of them ticked beforehand."""
LINE: Keys = (K(keys="escape", action="close"),)
"""A line to write."""
MATCHES: Keys = (K(keys="down", action="move(1)"), K(keys="up", action="move(-1)"))
"""What fits what is typed."""

TYPING = (
    ("12.5", "a number in the unit shown; 12,5 and 3/8 and 1 3/8 too"),
    ("3/8 in", "any unit of its kind: mm cm in thou; C F K; g kg oz; ml cc; hPa bar; rpm Hz"),
    ("12.5 +-0.1", "with its spread; +-2 % too; `measured`, `drawn` or `guessed` may follow"),
    ("between 3 and 9", "a range; 3 to 9 too; `about 10` is give or take a quarter"),
    ("210 mm around", "a diameter from its circumference"),
    ("35 g water", "a volume from the water it holds"),
    ("?", "not known; the same as empty"),
)
"""What a field takes: no keys, but on the same page."""
