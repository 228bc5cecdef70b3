"""Lines of text as spans with a role; what a view yields and a widget draws. Knows no textual.

A `Line` is a tuple of spans; a span is a text and the name of its role ("head", "aside", "flag" ...): an ink of `inks`.
No text is ever read as markup; control characters are dropped by `fitted`, and once more at output.
"""

from __future__ import annotations

from rich.cells import cell_len, set_cell_size

from tui.text.sanitise import sanitise

Span = tuple[str, str]
"""Text, role: a name of `tui.view.inks.INKS`."""
Line = tuple[Span, ...]
EMPTY: Line = ()
LONGEST = 100_000
"""Most characters of one text that are drawn."""


def marks(line: Line) -> bool:
    """Whether a line carries the mark of the row under the cursor."""
    return bool(line) and line[0][1] == "here" and line[0][0].startswith(">")


def width_of(line: Line) -> int:
    """Return the number of cells of a line."""
    return sum(cell_len(text) for text, _ in line)


def text_of(line: Line) -> str:
    """Return the text of a line without its roles."""
    return "".join(text for text, _ in line)


def cut(text: str, width: int) -> str:
    """Return a text that fits into so many cells; ``>`` at its end says that there is more.

    Examples
    --------
    >>> cut("between 20 and 60 mm", 12)
    'between 20 >'
    """
    text = sanitise(text[: 4 * max(0, width) + 64])
    if cell_len(text) <= width:
        return text
    return set_cell_size(text, width - 1) + ">" if width > 0 else ""


def fitted(text: str, width: int) -> str:
    """Return a text cut or filled to exactly so many cells."""
    return set_cell_size(cut(text, width), width)


def beside(left: Line, right: Line, width: int) -> Line:
    """Return one line with `left` at its start and `right` at its end."""
    free = max(1, width - width_of(left) - width_of(right))
    return (*left, (" " * free, ""), *right)


def wrapped(text: str, width: int, *, role: str = "", first: str = "", rest: str = "") -> list[Line]:
    """Break a text into lines of at most so many cells, the first and the others begun by a given text.

    A word longer than a line is broken where the line ends.

    Examples
    --------
    >>> [text_of(line) for line in wrapped("! /a/very/long/name is there", 12, rest="  ")]
    ['! /a/very/lo', '  ng/name is', '  there']
    """
    lines: list[Line] = []
    begin, line = first, ""
    for word in sanitise(text[:LONGEST]).split():
        while word:
            space = " " if line else ""
            free = width - cell_len(begin + line + space)
            if cell_len(word) <= free:
                line, word = line + space + word, ""
            elif cell_len(word) > width - cell_len(rest) and free > 0:
                head = _leading(word, free)
                lines.append(((begin + line + space + head, role),))
                begin, line, word = rest, "", word[len(head) :]
            elif line:
                lines.append(((begin + line, role),))
                begin, line = rest, ""
            else:
                head = _leading(word, max(1, free))
                lines.append(((begin + head, role),))
                begin, word = rest, word[len(head) :]
    if line or not lines:
        lines.append(((begin + line, role),))
    return lines


def signed(sign: str, text: str, width: int, *, role: str = "warn") -> list[Line]:
    """Break a text into lines that begins with a sign: the sign alone has the ink, so that much of it stays calm.

    Examples
    --------
    >>> signed("(!)", "Open flame", 20)
    [(('(!)', 'warn'), (' Open flame', ''))]
    """
    first, *others = wrapped(f"{sign} {text}", width, rest=" " * (len(sign) + 1))
    return [((sign, role), (text_of(first)[len(sign) :], "")), *others]


def _leading(word: str, width: int) -> str:
    size = max(1, width)
    while size > 1 and cell_len(word[:size]) > width:
        size -= 1
    return word[:size]
