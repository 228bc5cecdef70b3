"""What is said on the shell after the screens: what is not in its file, and where it is kept, if it is."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path


def last_words(
    unsaved: Sequence[Path], undecided: Sequence[Path], outside: Mapping[Path, Path], lost: Mapping[Path, str]
) -> str:
    """Return what to say; empty where everything is in its file.

    Parameters
    ----------
    unsaved : sequence of Path
        Files whose newest texts are not in them.
    undecided : sequence of Path
        Files of which something was begun and is not entered yet.
    outside : mapping
        File -> the folder outside the notebook that has its draft.
    lost : mapping
        File -> why not even a draft of it could be written.
    """
    sentences = [
        f"NOT KEPT: {path.name}. Neither the file nor a draft of what was typed last could be written: {why}"
        for path, why in lost.items()
    ]
    drafted = [path for path in unsaved if path not in lost]
    if drafted:
        where = _where(drafted, outside)
        sentences.append(f"Not saved: {_names(drafted)}. It is kept as a draft{where} and comes back.")
    waiting = [path for path in undecided if path not in lost and path not in unsaved]
    if waiting:
        where = _where(waiting, outside)
        sentences.append(f"Begun and not entered yet: {_names(waiting)}.")
        sentences.append(f"It is kept{where}, and offered when you open it again.")
    return " ".join(sentences)


def _where(paths: Iterable[Path], outside: Mapping[Path, Path]) -> str:
    folders = dict.fromkeys(outside[path] for path in paths if path in outside)
    return f" in {', '.join(map(str, folders))}" if folders else ""


def _names(paths: Iterable[Path]) -> str:
    return ", ".join(path.name for path in paths)
