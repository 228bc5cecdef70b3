"""A file that is no project: whole or not at all, over another only where that is asked."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from model.errors import NotWritten
from model.store import StandsAlready, export, refuse_those_that_stand


def test_a_file_is_written_and_not_over_another_unasked(tmp_path: Path) -> None:
    path = tmp_path / "engine.svg"
    export(path, "one µ")
    assert path.read_text(encoding="utf-8") == "one µ"
    with pytest.raises(StandsAlready, match=r"engine\.svg is there already"):
        export(path, "two")
    with pytest.raises(StandsAlready):
        refuse_those_that_stand([tmp_path / "none.svg", path])
    assert path.read_text(encoding="utf-8") == "one µ"
    export(path, "three", replace=True)
    assert path.read_text(encoding="utf-8") == "three" and list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("replace", [False, True])
def test_a_full_disk_leaves_no_half_file_and_what_stood_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, replace: bool
) -> None:
    path = tmp_path / "engine.svg"
    if replace:
        path.write_text("old", encoding="utf-8")

    def full(fd: int, data: bytes) -> None:
        os.write(fd, data[:3])
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr("model.store.atomic.write_all", full)
    with pytest.raises(NotWritten, match="the disk is full") as caught:
        export(path, "something new", replace=replace)
    assert "typed" not in caught.value.hint
    assert [each.name for each in tmp_path.iterdir()] == (["engine.svg"] if replace else [])
    assert not replace or path.read_text(encoding="utf-8") == "old"


def test_what_another_made_meanwhile_is_not_replaced(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "engine.svg"
    monkeypatch.setattr(
        "model.store.exporting._mode", lambda real: real.write_text("theirs", encoding="utf-8") and None
    )
    with pytest.raises(StandsAlready):
        export(path, "ours")
    assert path.read_text(encoding="utf-8") == "theirs" and list(tmp_path.iterdir()) == [path]


def test_a_disk_without_second_names_takes_it_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(one: object, other: object) -> None:
        raise OSError(errno.EPERM, os.strerror(errno.EPERM))

    monkeypatch.setattr(os, "link", refused)
    path = tmp_path / "engine.svg"
    export(path, "one")
    with pytest.raises(StandsAlready):
        export(path, "two")
    assert path.read_text(encoding="utf-8") == "one" and list(tmp_path.iterdir()) == [path]


def test_no_folder_device_or_missing_folder_is_written(tmp_path: Path) -> None:
    for path, said in ((tmp_path, "no plain file"), (Path("/dev/null"), "no plain file"),
                       (tmp_path / "none" / "x.svg", "not there"), (tmp_path / "a\0b.svg", "no name")):  # fmt: skip
        with pytest.raises(NotWritten, match=said):
            export(path, "text", replace=True)
