"""Scratch copies: named sets of changed texts over a mark, to ask "what if". They live in drafts and enter no file.

Pure data, and how a draft holds them. Knows neither controller nor persistence.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from model.record import Mark
from tui.storage.draft_store import LASTING
from tui.text.labels import full_label

LONGEST_NAME = 60
"""Most characters of a name."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Scratch:
    """One scratch copy."""

    key: str
    """Random key, unique among those of a project."""
    name: str
    """What the builder calls it."""
    number: int
    """The mark that it is a copy of."""
    texts: Mapping[str, str]
    """Field name -> the text in place of the mark's; an empty one takes the mark's text away."""
    promise: Mapping[str, str] = field(default_factory=dict)
    """What was promised of exactly these changes (`model.bench.promise`); more typed, all is tried anew."""

    def over(self, mark: Mark) -> Mark:
        """Return a mark with the changed texts."""
        return replace(mark, build={name: text for name, text in {**mark.build, **self.texts}.items() if text})

    def with_text(self, mark: Mark, name: str, text: str) -> Scratch:
        """Return the copy with another text; one that says what the mark says is no change."""
        texts = {key: old for key, old in self.texts.items() if key != name}
        if text != mark.build.get(name, ""):
            texts[name] = text
        return replace(self, texts=texts, promise=self.promise if texts == self.texts else {})


Scratches = Mapping[str, Scratch]
"""The scratch copies of a project, by key."""


def changes_of(scratch: Scratch, mark: Mark) -> list[str]:
    """Return in words what a copy changes: ``Piston bore: 12 mm -> 14 mm``."""
    return [
        f"{full_label(name)}: {mark.build.get(name) or '?'} -> {text or '?'}"
        for name, text in scratch.texts.items()
        if text != mark.build.get(name, "")
    ]


def as_held(scratches: Scratches) -> dict[str, str]:
    """Return how the draft holds scratch copies: address -> text."""
    contents = {
        key: {"name": each.name, "mark": each.number, "texts": dict(each.texts), "promise": dict(each.promise)}
        for key, each in scratches.items()
    }
    return {LASTING + key: json.dumps(content, ensure_ascii=False) for key, content in contents.items()}


def from_held(held: Mapping[str, str]) -> Scratches:
    """Return the scratch copies that a draft holds; a text that is none is left where it is."""
    found = {address.removeprefix(LASTING): text for address, text in held.items() if address.startswith(LASTING)}
    return {key: scratch for key, text in found.items() if (scratch := _scratch(key, text)) is not None}


def _scratch(key: str, text: str) -> Scratch | None:
    try:
        content = json.loads(text)
        name, number, texts = content["name"], content["mark"], content["texts"]
        promise = content.get("promise", {})
        words = (name, *texts.values(), *promise.values())
        whole = isinstance(number, int) and all(isinstance(word, str) for word in words)
    except (ValueError, KeyError, TypeError, AttributeError):
        return None
    return Scratch(key=key, name=name, number=number, texts=texts, promise=promise) if whole else None


def free_name(scratches: Scratches) -> str:
    """Return a name that no copy has."""
    taken = {each.name for each in scratches.values()}
    return next(name for number in range(1, len(taken) + 2) if (name := f"try {number}") not in taken)
