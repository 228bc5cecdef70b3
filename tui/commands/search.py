"""``quarterturn search FOLDER WORDS``: where words stand in diaries, readings and marks."""

from __future__ import annotations

import argparse
from pathlib import Path

from model.record.search import Hit, search, words_of
from model.store import Item, open_notebook
from tui.commands.common import json_argument, open_file, show, show_json, stands
from tui.exits import CommandError, Exit
from tui.text.sanitise import sanitise
from tui.text.search import excerpt, hit_heading, search_labels

WIDTH = 100
"""Characters of what stands at a place that are told; --json tells all."""


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("where", metavar="FOLDER", type=Path, help="the folder of the notebook, or one project file")
    parser.add_argument(
        "words", metavar="WORD", nargs="+",
        help="words or beginnings of words, all of which stand in one place; case and accents make no difference",
    )  # fmt: skip
    json_argument(parser, "one object with every place")


def run(options: argparse.Namespace) -> int:
    """Print every place, the latest of each prototype first; exit 1 where a file could not be read."""
    words = words_of(" ".join(options.words))
    if not words:
        hint = "Write a word, or the beginning of one."
        raise CommandError("There is nothing to look for.", code=Exit.USAGE, hint=hint)
    folder = options.where
    one = stands(folder, Path.is_file)
    items = (Item(path=folder, stored=open_file(folder)),) if one else open_notebook(folder).items
    labels = search_labels()
    read = [(item, item.stored.project) for item in items if item.stored is not None]
    found = [(item.path, project.name, hit) for item, project in read for hit in search(project, words, labels)]
    unread = [item.path for item in items if item.stored is None]
    if options.json:
        hits = [_hit_json(path, name, hit) for path, name, hit in found]
        show_json({"words": [sanitise(word) for word in words], "hits": hits, "unread": [sanitise(p) for p in unread]})
        return Exit.PROBLEMS if unread else Exit.OK
    last = None
    for path, name, hit in found:
        if path != last:
            show(f"{path}: {name}")
            last = path
        heading = hit_heading(hit)
        show(f"  {heading + ': ' if heading else ''}{excerpt(hit.text, words, WIDTH)}")
    places = "no place" if not found else "1 place" if len(found) == 1 else f"{len(found)} places"
    show(f"{places} in {len(read)} prototype{'' if len(read) == 1 else 's'}.")
    for path in unread:
        show(f"{path} could not be read; quarterturn check {folder} says why.")
    return Exit.PROBLEMS if unread else Exit.OK


def _hit_json(path: Path, name: str, hit: Hit) -> dict[str, object]:
    """Return a place as plain keys."""
    return {
        "file": sanitise(path),
        "project": sanitise(name),
        "place": sanitise(hit.place),
        "day": sanitise(hit.day),
        "mark": hit.mark,
        "text": sanitise(hit.text),
    }
