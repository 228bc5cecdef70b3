"""The argument parser of the commands. Stdlib only, so that ``--help`` is quick."""

from __future__ import annotations

import argparse
from typing import NoReturn

from tui.exits import CommandError, Exit


class Parser(argparse.ArgumentParser):
    """An argument parser whose errors are one line that says what to do."""

    def error(self, message: str) -> NoReturn:
        """Raise in place of printing usage and exiting."""
        raise CommandError(f"{message}.", code=Exit.USAGE, hint=f"See {self.prog} --help.")
