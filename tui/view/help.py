"""The keys, as lines: what `?` shows. Pure."""

from __future__ import annotations

from tui.view.lines import Line, wrapped

_LIST = (
    ("Up, Down", "choose a prototype (Home, End, PageUp and PageDown too)"),
    ("Enter", "open it"),
    ("a", "add a new prototype"),
    ("c", "copy it as a new prototype: its latest build becomes Mk 1, its diary stays"),
    ("r", "rename it"),
    ("n", "add a one-line note to its diary"),
    ("d", "delete it: asks, then its file goes to the bin; ctrl+z brings it back while the program runs"),
    ("b", "the bin: what was deleted, also long ago; Enter brings it back under a name that is free"),
    ("e", "in an empty notebook: copy the three examples into it"),
    ("Space, s", "tick two or three prototypes, then show them side by side"),
    ("q", "quit (ctrl+q anywhere); everything is saved first"),
)
_PROJECT = (
    (
        "Left, Right",
        "turn to another pane: Dimensions, Materials, Heat source, Results, Diary, Not running; [ and ] too",
    ),
    ("Up, Down", "move; Tab too; Home, End, PageUp, PageDown"),
    ("Enter", "open the field; Enter again, Down or Tab save it and go on; what is flagged is stayed with"),
    ("a digit", "opens the field and types over it; so does a letter where any text can stand (F1: these keys)"),
    ("Esc", "leaves the field; what was typed stays. Outside a field: back to the list"),
    ("Space", "next word, where a field takes words; or Enter and the first letters"),
    ("Del", "empties the field: it is then a guess with a range"),
    ("ctrl+z, ctrl+y", "take back, do again: one visit to a field at a time"),
    ("w", "why: every figure with formula, inputs, source and how sure it is; all cautions"),
    ("m", "marks: look at another, begin the next"),
    ("n", "add a one-line note to the diary"),
    ("ctrl+s", "save now (leaving a field saves too)"),
    ("ctrl+l", "draw the screen anew"),
    ("q", "back to the list; ctrl+q quits"),
)
_RESULTS = (
    ("a", "add a reading: its kind, then what was measured; it goes into the entry of today"),
    ("Enter", "open the reading under the cursor; Esc goes back to the list, what was typed stands"),
    ("t", "in a reading: take all conditions of last time that are offered; Enter takes one to edit"),
    ("s", "in a reading with a time: a stopwatch, Space tapped once a turn"),
    ("d", "delete the reading; asks, and ctrl+z brings it back"),
    ("o", "show the readings of all marks, or of this one; a gap is worked out for the mark looked at"),
)
_DIARY = (
    ("a", "begin an entry of today, with this mark"),
    ("Enter", "open the entry under the cursor at its text; Tab goes on to ticks, change and next idea"),
    ("Space", "in an entry: tick what was seen; the furthest tick is the stage"),
    ("Up", "from the first tick back to the text"),
    ("Esc", "leaves the text, then the entry; everything stays"),
    ("d", "delete the entry with its readings; asks, and ctrl+z brings it back"),
)
_TROUBLE = (
    ("Up, Down", "turn to another test; the first tells most for its effort"),
    ("Tab", "go to another cause: which findings moved it, and what to do when it is this"),
    ("Enter", "write down what the test showed; Esc goes back, and the causes move"),
    ("s", "time the test: Space tapped once a turn, Enter when it stands still"),
    ("/", "search a symptom in your own words: what it points to, the test, what can hurt"),
    ("a", "add a reading of any kind"),
    ("PageDown", "what does not fit: the other outcomes, what the engine can bear (w shows all of it)"),
)
_TYPING = (
    ("12.5", "a number in the unit shown; 12,5 and 3/8 and 1 3/8 too"),
    ("3/8 in", "any unit of its kind: mm cm in thou; C F K; g kg oz; ml cc; hPa bar; rpm Hz"),
    ("12.5 +-0.1", "with its spread; +-2 % too; `measured`, `drawn` or `guessed` may follow"),
    ("between 3 and 9", "a range; 3 to 9 too; `about 10` is give or take a quarter"),
    ("210 mm around", "a diameter from its circumference"),
    ("35 g water", "a volume from the water it holds"),
    ("?", "not known; the same as empty"),
)


def help_lines(width: int, *, project: bool, pane: str = "") -> list[Line]:
    """Return the keys of the list, or of an open prototype; those of the pane at hand come first."""
    panes = [
        ("results", "In Results", _RESULTS),
        ("diary", "In the Diary", _DIARY),
        ("notrunning", "In Not running", _TROUBLE),
    ]
    first = [(title, keys) for key, title, keys in panes if key == pane]
    others = [(title, keys) for key, title, keys in panes if key != pane]
    parts = [*first, ("In a prototype", _PROJECT), ("What a field takes", _TYPING), *others]
    parts = parts if project else [("In the list", _LIST), *parts]
    lines: list[Line] = []
    for title, keys in parts:
        lines += [((title, "head"),)]
        for key, meaning in keys:
            name = f"  {key}".ljust(19)
            broken = wrapped(meaning, max(10, width - 20))
            lines.append(((name + " ", "key"), *broken[0]))
            lines += [((" " * 20, ""), *rest) for rest in broken[1:]]
        lines.append(())
    lines += wrapped("A `!` stands where something needs attention; the words are below the form.", width, role="dim")
    return lines
