"""The help below a form: what the field under the cursor is, how to measure it, what is usual, what is wrong. Pure."""

from __future__ import annotations

from tui.view.form_rows import HOW, FormRow, reading_of
from tui.view.lines import Line, cut, signed, text_of, wrapped


def advice(row: FormRow | None, *, width: int, height: int, editing: bool = False) -> list[Line]:
    """Return the lines of help for a row, at most `height`; what matters most stands first."""
    if row is None or row.field is None:
        return []
    field = row.field
    lines: list[Line] = []
    told = 0  # lines up to the end of what a sharp caution says
    for wrong in (row.problem, row.doubt):
        lines += wrapped(f"! {wrong.message}", width, role="flag", rest="  ") if wrong else []
        lines += wrapped(wrong.remedy, width, first="  ", rest="  ") if wrong and wrong.remedy else []
    if field.takes_words:
        lines += _words(row, width, editing)
    lines += wrapped(f"{field.label}: {field.help}", width)
    if row.caution:
        text = f"Caution (w: all of it): {row.caution}"
        lines += signed("(!)", text, width) if row.sharp else wrapped(text, width, rest="    ")
        told = len(lines) if row.sharp else 0
    if field.measure:
        lines += wrapped(f"To measure: {field.measure}", width)
    last = _last(row, width)
    free_rows = height if row.problem or row.doubt else height - len(last)
    if len(lines) > free_rows > 0:
        lines = [
            *lines[: free_rows - 1],
            _with_more(lines[free_rows - 1], width, more="(w: all)" if free_rows <= told else ""),
        ]
    return [*lines[:free_rows], *last][:height]


def _with_more(line: Line, width: int, *, more: str) -> Line:
    """Return the last line that is seen of a help that goes on."""
    if not line:
        return line
    sign = f" ... {more}".rstrip()
    text = cut(text_of(line), width - len(sign))
    whole = text.rpartition(" ")[0] if text.endswith(">") else text
    return ((whole.rstrip(" ;,") + sign, line[0][1]),)


def _last(row: FormRow, width: int) -> list[Line]:
    """Return what is usual and how the text is understood: at the end, so that typing moves nothing else."""
    field, meaning = row.field, reading_of(row)
    word = row.text.rpartition(" ")[2].lower()
    meaning += f", {word}" if meaning and word in HOW else ""
    usual = f"Usual: {field.usual}. " if field and field.usual else ""
    if meaning:
        lines = wrapped(usual, width - len(f"Read as {meaning}."), role="aside") if usual else [()]
        read: Line = (("Read as ", "aside"), (meaning, "strong"), (".", "aside"))
        if len(lines) == 1:
            return [(*lines[0], (" ", ""), *read) if usual else read]
        return [*wrapped(usual, width, role="aside"), read]
    if field and not row.text.strip("? ") and row.assumed:
        source = f" ({field.guess.source})" if field.guess else ""
        usual += f"Empty is taken as {row.assumed}{source}."
    return wrapped(usual, width, role="aside") if usual else []


def _words(row: FormRow, width: int, editing: bool) -> list[Line]:
    """Return the words to choose from, the chosen one shown, each with its meaning where it is chosen."""
    field = row.field
    if field is None:
        return []
    chosen = next((c for c in field.choices if c.key == row.text), None)
    if not editing:
        return wrapped(f"{chosen.label}: {chosen.help}", width) if chosen and chosen.help else []
    lines: list[Line] = []
    line: list[tuple[str, str]] = []
    used = 0
    for choice in field.choices:
        label = f"[{choice.label}]" if choice is chosen else f" {choice.label} "
        if used + len(label) + 1 > width and line:
            lines.append(tuple(line))
            line, used = [], 0
        line.append((label + " ", "strong" if choice is chosen else ""))
        used += len(label) + 1
    lines.append(tuple(line))
    if chosen and chosen.help:
        lines += wrapped(chosen.help, width, first=" ", rest=" ")
    return lines
