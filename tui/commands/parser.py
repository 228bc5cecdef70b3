"""The argument parser of the commands. Stdlib only, so that ``--help`` is quick."""

from __future__ import annotations

import argparse
import sys
from typing import Any, NoReturn

from tui.exits import CommandError, Exit


class Parser(argparse.ArgumentParser):
    """An argument parser whose errors are one line that says what to do."""

    def print_help(self, file: Any = None) -> None:
        """Print the help; where it cannot be written that is an error, which the base class would pass over."""
        (file or sys.stdout).write(self.format_help())

    def error(self, message: str) -> NoReturn:
        """Raise in place of printing usage and exiting."""
        sentence = message if message.endswith("?") else f"{message}."
        raise CommandError(sentence, code=Exit.USAGE, hint=f"See {self.prog} --help.")
