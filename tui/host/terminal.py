"""What this terminal can do, found out before textual is imported. Imports neither textual nor rich.

`refusal` says why the screens cannot be shown here; `prepare` sets the environment that textual reads at import and
returns what the terminal can do. Called by ``__main__`` and `tui.app.run`; draws nothing.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping, MutableMapping
from dataclasses import dataclass

HEADLESS = "quarterturn FOLDER --text, predict FILE, gap FILE, check FOLDER, report FILE, note FILE TEXT"
"""Commands that need no terminal, as named in a refusal."""

_PLAIN_TERMS = ("linux", "vt", "ansi", "cons", "unknown")
_REMOTE = ("SSH_CONNECTION", "SSH_TTY", "SSH_CLIENT", "MOSH_IP")
PAINTS = 500
"""Paints a second at most (stock: 60, at which every second one waits); what is sent depends on what changed alone."""
_COLOUR_SYSTEMS = ("auto", "standard", "256", "truecolor")


@dataclass(frozen=True, slots=True, kw_only=True)
class Terminal:
    """What the terminal can do."""

    colour: bool = True
    """Whether colours may be used (``NO_COLOR`` is not set)."""
    plain: bool = False
    """Whether only ASCII may be written: a console without braille, or a locale without UTF-8."""
    remote: bool = False
    """Whether keys come over a line from another computer, which may hold them back."""
    many: bool = True
    """Whether there are 256 colours, which are the same everywhere; each terminal sets the first 16 as it likes."""
    background: str = ""
    """``dark`` or ``light`` where the environment says it (``QUARTERTURN_BACKGROUND``, ``COLORFGBG``)."""
    diff: bool = True
    """Whether only changed cells are sent (``QUARTERTURN_DIFF=0`` turns it off)."""


def is_remote(environ: Mapping[str, str]) -> bool:
    """Whether the terminal stands at another computer.

    Examples
    --------
    >>> is_remote({"SSH_TTY": "/dev/pts/3"}), is_remote({"SSH_TTY": ""})
    (True, False)
    """
    return any(environ.get(name) for name in _REMOTE)


def refusal() -> str | None:
    """Return why the screens cannot be shown here and what can be used instead; None when they can."""
    error = sys.__stderr__
    if not (sys.stdin and sys.stdin.isatty() and error and error.isatty()):
        return f"The notebook's screens need a terminal for keys and picture. Without one: {HEADLESS}."
    if os.environ.get("TERM", "").lower() == "dumb":
        return f"TERM=dumb cannot place text on the screen. Set TERM to your terminal's name, or use {HEADLESS}."
    return None


def look(environ: Mapping[str, str], encoding: str) -> Terminal:
    """Read the terminal's abilities from the environment and the encoding of the stream that is drawn on.

    Examples
    --------
    >>> look({"TERM": "xterm-256color", "LANG": "en_GB.UTF-8"}, "utf-8").plain
    False
    >>> look({"TERM": "linux", "LANG": "en_GB.UTF-8"}, "utf-8").plain
    True
    >>> look({"TERM": "xterm", "LC_ALL": "C"}, "utf-8").plain
    True
    """
    term = environ.get("TERM", "").lower() or "unknown"
    wanted = environ.get("QUARTERTURN_CHARACTERS", "").lower()
    depth = environ.get("TEXTUAL_COLOR_SYSTEM", "auto")
    if depth == "auto":
        deep = term.rpartition("-")[2] in ("256color", "kitty")  # as the library that draws tells it
        deep = deep or environ.get("COLORTERM", "").lower() in ("truecolor", "24bit")
        depth = "256" if deep else "standard"
    narrow = term.startswith(_PLAIN_TERMS) or not _says_utf8(environ)
    if wanted in ("plain", "utf8"):
        narrow = wanted == "plain"
    return Terminal(
        colour="NO_COLOR" not in environ,
        plain=narrow or encoding.lower().replace("-", "") != "utf8",
        remote=is_remote(environ),
        many=depth != "standard",
        background=_background(environ),
        diff=environ.get("QUARTERTURN_DIFF", "1") != "0",
    )


def _background(environ: Mapping[str, str]) -> str:
    """Return what the environment says of the background; empty where it says nothing.

    ``COLORFGBG`` ends with the number of the background among 16; 7 and those over 8 are light (common practice, no
    source).

    Examples
    --------
    >>> _background({"COLORFGBG": "15;default;0"}), _background({"COLORFGBG": "0;15"}), _background({})
    ('dark', 'light', '')
    >>> _background({"COLORFGBG": "0;15", "QUARTERTURN_BACKGROUND": "dark"})
    'dark'
    """
    wanted = environ.get("QUARTERTURN_BACKGROUND", "").lower()
    if wanted in ("dark", "light"):
        return wanted
    number = environ.get("COLORFGBG", "").rpartition(";")[2]
    return "" if not number.isdecimal() else "light" if int(number) == 7 or int(number) > 8 else "dark"


def prepare(environ: MutableMapping[str, str] | None = None) -> Terminal:
    """Set what textual reads at import, and return what the terminal can do. Call before the first import."""
    environ = os.environ if environ is None else environ
    if not environ.get("ESCDELAY", "").isdecimal():
        environ["ESCDELAY"] = "350" if is_remote(environ) else "100"
    environ["TEXTUAL_ANIMATIONS"] = "none"
    environ["TEXTUAL_SMOOTH_SCROLL"] = "0"
    if not environ.get("TEXTUAL_FPS", "").isdecimal():
        environ["TEXTUAL_FPS"] = str(PAINTS)
    if environ.get("TEXTUAL_COLOR_SYSTEM", "auto") not in _COLOUR_SYSTEMS:
        del environ["TEXTUAL_COLOR_SYSTEM"]
    if "TEXTUAL_COLOR_SYSTEM" not in environ and environ.get("COLORTERM", "").lower() in (
        "truecolor",
        "24bit",
    ):
        environ["TEXTUAL_COLOR_SYSTEM"] = "256"
    for name in ("TEXTUAL_THEME", "TEXTUAL_DRIVER", "TEXTUAL_DEVTOOLS_PORT"):
        environ.pop(name, None)
    if _knows_its_size():  # an exported size would be believed instead, also after the window has another one
        for name in ("COLUMNS", "LINES"):
            environ.pop(name, None)
    stream = sys.__stderr__
    return look(environ, (stream.encoding if stream else None) or "ascii")


def _knows_its_size() -> bool:
    """Whether the terminal itself tells its size; a serial line may not."""
    try:
        return all(os.get_terminal_size(sys.__stdout__.fileno()))  # type: ignore[union-attr]
    except (AttributeError, OSError, ValueError):
        return False


def _says_utf8(environ: Mapping[str, str]) -> bool:
    """Whether the locale is one of UTF-8. No locale at all is taken as one: the usual case over a bare SSH line.

    The interpreter sets ``LC_CTYPE=C.UTF-8`` for itself where the locale is C (PEP 538): that says nothing.
    """
    kind = environ.get("LC_CTYPE", "")
    locale = environ.get("LC_ALL") or ("" if kind == "C.UTF-8" else kind) or environ.get("LANG") or kind
    return not locale or "utf8" in locale.lower().replace("-", "")
