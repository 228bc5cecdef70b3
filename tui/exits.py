"""Exit codes of the command, one declaration that ``--help`` prints, and the error that carries one."""

from __future__ import annotations

import contextlib
import os
import sys
from enum import IntEnum

from model.errors import ModelError


class Exit(IntEnum):
    """What the command tells the shell."""

    OK = 0
    PROBLEMS = 1
    USAGE = 2
    CANNOT_READ = 3
    CANNOT_WRITE = 4
    NO_TERMINAL = 5
    INTERNAL = 70
    INTERRUPTED = 130
    PIPE_CLOSED = 141

    @property
    def meaning(self) -> str:
        """In words."""
        return _MEANING[self]


_MEANING = {
    Exit.OK: "done",
    Exit.PROBLEMS: "done, and something was found that needs a look (a problem, a clash)",
    Exit.USAGE: "the command line is wrong",
    Exit.CANNOT_READ: "a file or folder is not there, is not readable, or is not a project",
    Exit.CANNOT_WRITE: "a file could not be written; nothing in it was changed",
    Exit.NO_TERMINAL: "the screens need a terminal, and there is none that serves",
    Exit.INTERNAL: "a fault of this program; it is written down in the named log file",
    Exit.INTERRUPTED: "stopped by Ctrl-C",
    Exit.PIPE_CLOSED: "the reader of the output went away",
}


class CommandError(ModelError):
    """The command cannot be done: a sentence, a hint, and the exit code."""

    def __init__(self, message: str, *, code: Exit, hint: str = "") -> None:
        super().__init__(message, hint=hint)
        self.code = code


def drop_output() -> None:
    """Point standard output at nothing, so that the interpreter's last flush does not complain."""
    with contextlib.suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
