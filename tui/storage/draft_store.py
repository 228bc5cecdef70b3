"""This window's drafts, and what ended windows left in theirs. Called by persistence alone.

A draft holds the newest texts of a project and the open texts that are in no project yet. It is removed where it would
add nothing to the file.
"""

from __future__ import annotations

import contextlib
import threading
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path

from model.errors import ModelError, StoreError
from model.record import Project
from model.store import Draft, Drafts, common, keep_both, left_drafts, merge, remove_draft
from tui.host.logfile import write_fault
from tui.storage.jobs import Jobs, Next, until

DRAFT_AFTER = 0.1
"""How soon a draft follows what was typed, [s]: on a slow computer the key itself has taken most of a second."""
LASTING = "scratch."
"""Begins the address of a text that lives in drafts for good, and is whole at any time: not begun, and never joined."""
DRAFTS_APART = 0.25
"""How long a draft rests before the next of the same file, [s]: each is synced to a card that wears."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Recovered:
    """What was typed before the program was killed, and is not in the file."""

    project: Project
    """The project with it."""
    base: Project | None = None
    """The project without it, as the file held it then."""
    message: str = ""
    """What there is to say of it."""

    def beside(self, newest: Project | None) -> Project:
        """Return a newer state of the project with it."""
        if newest is None or newest == self.base:
            return self.project
        merged = merge(self.base or common(newest, self.project), newest, self.project)
        return keep_both(merged, ours=newest, theirs=self.project)


@dataclass(slots=True, kw_only=True)
class KnownFiles:
    """What is known of each file, by path."""

    revisions: dict[Path, str | None] = field(default_factory=dict)
    """Revision that was read or saved last; None for a file that must not be there yet."""
    bases: dict[Path, Project | None] = field(default_factory=dict)
    """The project of that revision."""
    newest: dict[Path, Project] = field(default_factory=dict)
    """What is on the screen and not in the file yet."""


class DraftStore:
    """Writes and takes over drafts."""

    def __init__(self, known: KnownFiles, jobs: Jobs, failed: Callable[[Path, str], None]) -> None:
        self._known = known
        self._jobs = jobs
        self._failed = failed
        self._due: dict[Path, float] = {}
        self._begun: dict[Path, float] = {}
        """When the last draft of each was begun."""
        self._own = Drafts()
        self._pen = threading.Lock()
        self._recovered: dict[Path, Recovered] = {}
        self._held: dict[Path, dict[str, str]] = {}
        self._unsure: set[Path] = set()
        """Files that are not what they were, so that their drafts are whole until the next save."""
        self._refused: dict[Path, str] = {}
        """Files whose last draft could not be written, and why."""
        self._outside: dict[Path, Path] = {}
        """Files whose draft stands in a folder outside the notebook, and which."""
        self._closed = False
        jobs.add("drafts", self._next)

    def soon(self, path: Path) -> None:
        """Let a draft be written `DRAFT_AFTER` now; a little later where the last one was a moment ago."""
        self._write_at(path, max(time.monotonic() + DRAFT_AFTER, self._begun.get(path, 0.0) + DRAFTS_APART))

    def at_once(self, path: Path) -> None:
        """Let a draft be written as soon as its thread can."""
        self._write_at(path, 0.0)

    def _write_at(self, path: Path, due: float) -> None:
        with self._jobs.bell:
            self._due[path] = min(due, self._due.get(path, due))
            self._jobs.ring()

    @property
    def waiting(self) -> tuple[Path, ...]:
        """Files whose draft is to be written."""
        return tuple(self._due)

    @property
    def undecided(self) -> tuple[Path, ...]:
        """Files of which something was begun, or brought back, and is not entered yet."""
        return tuple(sorted({path for path, texts in self._held.items() if _begun(texts)} | set(self._recovered)))

    @property
    def lost(self) -> dict[Path, str]:
        """Files of which something stands in no draft, and why; what is not in the file is lost with the program."""
        at_stake = {*self._known.newest, *self._recovered, *(path for path, texts in self._held.items() if texts)}
        return {path: why for path, why in self._refused.items() if path in at_stake}

    @property
    def outside(self) -> dict[Path, Path]:
        """Files whose draft stands in a folder outside the notebook, which takes none, and that folder."""
        return dict(self._outside)

    def held(self, path: Path, address: str) -> str:
        """Return a text that was begun and is in no project yet, of this run or of one before."""
        # A draft that is damaged is told when the project is opened.
        with contextlib.suppress(StoreError):
            self.adopt(path)
        return self._held.get(path, {}).get(address, "")

    def all_held(self, path: Path) -> dict[str, str]:
        """Return every text that is held for a file, by address."""
        return dict(self._held.get(path, {}))

    def hold(self, path: Path, address: str, text: str) -> None:
        """Hold a text that is in no project yet in the draft of a file; an empty one is let go."""
        with self._jobs.bell:
            before = self._held.get(path, {})
            others = {key: old for key, old in before.items() if key != address}
            self._held[path] = {**others, address: text} if text else others
            if self._held[path] != before:
                self.soon(path)

    def adopt(self, path: Path) -> None:
        """Take over what ended windows left, into this window's own draft. Raises `StoreError` where one is damaged."""
        base = self._known.bases.get(path)
        drafts = left_drafts(path, over=base)
        if not drafts:
            return
        recovered = _joined(drafts, base, self._known.revisions.get(path))
        open_texts = {**_texts(drafts), **self._held.get(path, {})}
        if open_texts:
            self._held[path] = open_texts
        if recovered is not None and recovered.project != base:
            earlier = self._recovered.get(path)
            self._recovered[path] = (
                replace(recovered, project=earlier.beside(recovered.project)) if earlier else recovered
            )
        if not self.write(path):
            for draft in drafts:
                remove_draft(draft)

    def recovered(self, path: Path) -> Recovered | None:
        """Return what was taken over beyond the file; it stays in the draft until it is settled."""
        return self._recovered.get(path)

    def settle(self, path: Path, remaining: Recovered | None = None) -> None:
        """Let go of what was taken over, but for what is left; it was written to the file, or dropped."""
        with self._pen:
            if remaining is None:
                self._recovered.pop(path, None)
            else:
                self._recovered[path] = remaining
        self.at_once(path)

    def write(self, path: Path, *, whole: bool = False) -> str:
        """Write the draft, or remove it where it would add nothing; return why that could not be done.

        `whole`: with what did not change too, since the file is not what it was.
        """
        known = self._known
        with self._pen:
            if self._closed:
                return ""
            open_texts, base, recovered = self._held.get(path, {}), known.bases.get(path), self._recovered.get(path)
            newest = known.newest.get(path) or base
            newest = recovered.beside(newest) if recovered else newest
            outside: Path | None = None
            if whole:
                self._unsure.add(path)
            if newest == base:
                self._unsure.discard(path)
            try:
                if newest == base and not open_texts:
                    self._own.clear(path)
                else:
                    revision = known.revisions.get(path)
                    whole = path in self._unsure
                    outside = self._own.write(path, newest, open_texts, revision=revision, base=base, whole=whole)
            except Exception as error:
                self._refused[path] = str(error) if isinstance(error, ModelError) else write_fault(error)
                return self._refused[path]
            self._refused.pop(path, None)
            if outside is None:
                self._outside.pop(path, None)
            else:
                self._outside[path] = outside
            return ""

    def forget(self, path: Path) -> None:
        """Let go of a file and of everything that is drafted for it: it is in the bin, with all of that."""
        with self._jobs.bell:
            self._due.pop(path, None)
        with self._pen:
            for each in (self._held, self._recovered, self._refused, self._outside):
                each.pop(path, None)
            self._own.clear(path)

    def _next(self) -> Next:
        now = time.monotonic()
        for path in [path for path, due in self._due.items() if due <= now]:
            del self._due[path]
            self._begun[path] = now
            return partial(self._write_and_tell, path)
        return until(self._due.values())

    def _write_and_tell(self, path: Path) -> None:
        failure = self.write(path)
        if failure:
            self._failed(path, failure)

    def close(self) -> None:
        """Let go of the drafts that are left, whole: the next window may take them over, and none is begun again."""
        with self._pen:
            self._closed = True
            self._own.close()


def _joined(drafts: tuple[Draft, ...], base: Project | None, revision: str | None) -> Recovered | None:
    """Return the drafts and the file in one project; None where the drafts hold no more than the file."""
    project, moved_on, clashes = base, False, 0
    for draft in drafts:
        if draft.project is None:
            continue
        if project is None or (project is base and draft.starts_from(revision)):
            project = draft.project
            continue
        merged = merge(draft.base or common(draft.project, project), draft.project, project)
        moved_on, clashes = True, clashes + len(merged.clashes)
        project = keep_both(merged, ours=draft.project, theirs=project)
    if project is None or project is base:
        return None
    both = f"In {clashes} places the file had changed too; both are kept." if clashes else ""
    return Recovered(project=project, base=base, message=both or ("Joined with a newer file." if moved_on else ""))


def _begun(texts: Mapping[str, str]) -> bool:
    """Whether any of these texts was begun and left: one that stays in the draft by itself was not."""
    return any(not address.startswith(LASTING) for address in texts)


def _texts(drafts: tuple[Draft, ...]) -> dict[str, str]:
    """Return the open texts of drafts; where two windows had different ones, both."""
    texts: dict[str, str] = {}
    for draft in drafts:
        for address, text in draft.open_fields.items():
            old = texts.get(address, "")
            if address.startswith(LASTING):
                texts[address if old in ("", text) else f"{address}.{len(texts)}"] = text
                continue
            texts[address] = text if text.startswith(old) else old if old.startswith(text) else f"{old} / {text}"
    return texts
