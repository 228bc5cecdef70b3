"""A loss of power at any call of a save, with unsynced changes kept or dropped in any order."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from model.record import Project
from model.store import encode, revision_of, save_project
from model.store import files as files_module
from tests.store.disk import run


def test_a_thousand_losses_of_power_leave_the_old_file_or_the_new_one(tmp_path: Path) -> None:
    found = run(tmp_path, 1000, seed=2)
    assert set(found) == {"old", "new", "none yet"}
    assert min(found.values()) > 20


def careless(path: Path, project: Project, *, revision: str | None) -> str:
    """A save that writes into the file itself."""
    data = encode(project)
    fd = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    os.write(fd, data)
    os.fsync(fd)
    os.close(fd)
    return revision_of(data)


def without(*names: str) -> Callable[..., str]:
    """Return our save with a step left out."""

    def save(path: Path, project: Project, *, revision: str | None) -> str:
        with pytest.MonkeyPatch.context() as patch:
            if "file" in names:
                real = os.fsync

                def folders_only(fd: int) -> None:
                    if os.path.isdir(f"/proc/self/fd/{fd}"):  # noqa: PTH112
                        real(fd)

                patch.setattr(os, "fsync", folders_only)
            if "folder" in names:
                patch.setattr(files_module, "sync_folder", lambda folder: None)
            return save_project(path, project, revision=revision)

    return save


@pytest.mark.parametrize(
    ("save", "wrong"),
    [
        (careless, "WRONG: neither old nor new"),
        (without("file"), "WRONG: neither old nor new"),
        (without("folder"), "WRONG: what was called saved is gone"),
    ],
)
def test_a_save_that_leaves_out_a_step_is_found_by_this_disk(tmp_path: Path, save: Any, wrong: str) -> None:
    assert run(tmp_path, 400, seed=3, save=save)[wrong] > 0
