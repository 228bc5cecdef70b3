"""Rows of a long trial in a file, a line each: what is there is not run again, so that a trial can be stopped."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, TypeAlias

Row: TypeAlias = Mapping[str, Any]


class Kept:
    """Rows by the name of what was tried; without a file they are kept for this run alone."""

    def __init__(self, path: Path | None) -> None:
        self._path = path
        self._rows: dict[str, Row | None] = {}
        if path is not None and path.exists():
            for line in path.read_text(encoding="utf-8").splitlines():
                if line.endswith("}"):  # the last may have been cut short
                    made = json.loads(line)
                    self._rows[made["name"]] = made["row"]

    def row(self, name: str, make: Callable[[], Row | None]) -> Row | None:
        """Return what came of a trial; None where it could not be carried out."""
        if name not in self._rows:
            self._rows[name] = made = make()
            if self._path is not None:
                with self._path.open("a", encoding="utf-8") as file:
                    file.write(json.dumps({"name": name, "row": made}) + "\n")
        return self._rows[name]


__all__ = ["Kept", "Row"]
