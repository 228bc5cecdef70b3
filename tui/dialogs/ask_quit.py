"""What is asked before leaving where something can be kept nowhere. Nothing else is ever asked at the end."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from tui.dialogs.base import ChoiceDialog, Option

_OPTIONS = (
    Option(key="stay", label="Stay", help="Go on; it is saved by itself as soon as that can be done."),
    Option(key="again", label="Try again, then leave", help="For instance after making room on the disk."),
    Option(key="leave", label="Leave without it", help="What was typed and is not in the file is lost."),
)


class QuitDialog(ChoiceDialog):
    """Asks whether to leave though something is neither in its file nor in a draft."""

    def __init__(self, lost: Mapping[Path, str], *, colour: bool) -> None:
        why = " ".join(f"{path.name}: {reason}" for path, reason in lost.items())
        text = f"What was typed last is neither in the file nor in a draft. {why}"
        super().__init__("Not everything could be kept. Leave all the same?", text, _OPTIONS, colour=colour)
