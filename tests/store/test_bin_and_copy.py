"""The bin and the verified copy: nothing is overwritten, nothing leaves the notebook, what differs is told."""

from __future__ import annotations

import errno
import fcntl
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from model.errors import NotWritten, ProjectChangedOnDisk, StoreError
from model.record import Entry, Project
from model.store import (
    Outcome,
    copy_notebook,
    differences,
    encode,
    in_bin,
    open_notebook,
    read_project,
    restore,
    save_project,
    to_bin,
)  # fmt: skip
from model.store import copying as copying_module
from tui.__main__ import main
from tui.exits import Exit

CUP = Project(name="Cup", entries={"a": Entry(key="a", text="old")})


@pytest.fixture
def book(tmp_path: Path) -> Path:
    folder = tmp_path / "book"
    folder.mkdir()
    save_project(folder / "cup.toml", CUP, revision=None)
    return folder


def names(folder: Path) -> list[str]:
    return sorted(p.name for p in folder.iterdir() if not p.name.startswith("."))


def test_a_project_goes_to_the_bin_and_comes_back(book: Path) -> None:
    gone = to_bin(book / "cup.toml")
    assert open_notebook(book).items == ()
    assert in_bin(book) == (gone,)
    assert read_project(gone).project == CUP
    assert restore(gone) == book / "cup.toml"
    assert read_project(book / "cup.toml").project == CUP
    assert in_bin(book) == ()


@pytest.mark.parametrize("links", [True, False])
def test_neither_the_bin_nor_what_comes_back_overwrites(
    book: Path, monkeypatch: pytest.MonkeyPatch, links: bool
) -> None:
    """A card without hard links (FAT) refuses link() with EPERM (link(2), Linux man-pages 6)."""

    def refuse(*_: object, **__: object) -> None:
        raise OSError(errno.EPERM, "no links here")

    if not links:
        monkeypatch.setattr(os, "link", refuse)
    path = book / "cup.toml"
    kept = []
    for about in ("one", "two", "three"):
        if not path.exists():
            save_project(path, replace(CUP, about=about), revision=None)
        kept.append(to_bin(path))
    assert len(set(kept)) == 3 == len(in_bin(book))
    save_project(path, CUP, revision=None)
    back = restore(kept[2])
    assert back != path
    assert read_project(back).project.about == "three"
    assert read_project(path).project == CUP


def test_the_bin_refuses_a_file_that_another_changed(book: Path) -> None:
    path = book / "cup.toml"
    revision = read_project(path).revision
    save_project(path, replace(CUP, about="theirs"), revision=revision)
    with pytest.raises(ProjectChangedOnDisk):
        to_bin(path, revision=revision)
    assert path.exists()
    to_bin(path, revision=read_project(path).revision)


def test_the_bin_follows_no_link_and_only_gives_back_its_own(book: Path, tmp_path: Path) -> None:
    (book / "link.toml").symlink_to("cup.toml")
    with pytest.raises(StoreError, match="link"):
        to_bin(book / "link.toml")
    with pytest.raises(StoreError):
        restore(book / "cup.toml")
    outside = tmp_path / "outside"
    outside.mkdir()
    (book / ".bin").symlink_to(outside)
    with pytest.raises(StoreError, match="must be a folder"):
        to_bin(book / "cup.toml")
    assert names(book) == ["cup.toml", "link.toml"] and names(outside) == []


def test_a_copy_holds_every_file_and_the_bin(book: Path, tmp_path: Path) -> None:
    save_project(book / "can.toml", replace(CUP, name="Can"), revision=None)
    to_bin(book / "can.toml")
    (book / "cup.toml.original-1").write_bytes(b"# older\n")
    (book / "photo.jpg").write_bytes(bytes(range(256)) * 9000)
    (book / "broken.toml").write_bytes(b"\xff")
    to = tmp_path / "stick" / "copy"
    done = copy_notebook(book, to)
    assert {c.outcome for c in done} == {Outcome.NEW}
    assert names(to) == names(book)
    for name in names(book):
        assert (to / name).read_bytes() == (book / name).read_bytes()
    assert read_project(to / ".bin" / "can.toml").project.name == "Can"
    assert {c.outcome for c in copy_notebook(book, to)} == {Outcome.SAME}


def test_a_copy_tells_what_differs_and_keeps_what_it_replaces(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    to = tmp_path / "copy"
    copy_notebook(book, to)
    (to / "mine.toml").write_bytes(encode(Project(name="Mine")))
    path = book / "cup.toml"
    save_project(path, CUP.with_entry(Entry(key="b")), revision=read_project(path).revision)
    assert main(["copy", str(book), str(to)]) == Exit.OK
    said = capsys.readouterr().out
    assert "cup.toml: replaced" in said and "entry.b: added" in said
    assert "mine.toml: only in the copy" in said
    assert read_project(to / "cup.toml").project == read_project(path).project
    assert read_project(to / ".bin" / "cup.toml").project == CUP
    assert read_project(to / "mine.toml").project.name == "Mine"


def test_a_stick_that_gives_back_other_bytes_is_told_and_the_older_copy_stays(
    book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    to = tmp_path / "copy"
    copy_notebook(book, to)
    path = book / "cup.toml"
    save_project(path, replace(CUP, about="new"), revision=read_project(path).revision)
    real = copying_module.write_all
    monkeypatch.setattr(copying_module, "write_all", lambda fd, data: real(fd, bytes(data).replace(b"new", b"nex")))
    assert main(["copy", str(book), str(to)]) == Exit.CANNOT_WRITE
    assert "other bytes" in capsys.readouterr().out
    assert read_project(to / "cup.toml").project == CUP
    assert names(to) == ["cup.toml"] and not list(to.glob(".*.tmp"))


def test_a_full_stick_is_told_and_leaves_no_half_file(
    book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise OSError(errno.ENOSPC, "full")

    monkeypatch.setattr(copying_module, "write_all", refuse)
    (copied,) = copy_notebook(book, tmp_path / "copy")
    assert copied.outcome is Outcome.NOT_COPIED and "disk is full" in copied.details[0]
    assert list((tmp_path / "copy").iterdir()) == []


@pytest.mark.parametrize("where", [".", "inside", "../book"])
def test_a_copy_into_the_notebook_itself_is_refused(book: Path, where: str) -> None:
    with pytest.raises(StoreError, match="notebook itself"):
        copy_notebook(book, book / where)
    assert names(book) == ["cup.toml"]


def test_links_out_of_the_notebook_and_folders_are_told_and_not_copied(book: Path, tmp_path: Path) -> None:
    (tmp_path / "secret").write_bytes(b"x")
    (book / "link.toml").symlink_to(tmp_path / "secret")
    (book / "photos").mkdir()
    done = {c.name: c.outcome for c in copy_notebook(book, tmp_path / "copy")}
    assert done == {"cup.toml": Outcome.NEW, "link.toml": Outcome.NOT_COPIED, "photos": Outcome.NOT_COPIED}
    assert names(tmp_path / "copy") == ["cup.toml"]


@pytest.mark.parametrize("what", ["folder", "link", "pipe"])
def test_what_is_no_plain_file_in_the_target_is_told_and_nothing_is_left_beside_it(
    book: Path, tmp_path: Path, what: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """A pipe that nobody writes to would hold up the copy for ever."""
    to = tmp_path / "copy"
    to.mkdir()
    save_project(book / "can.toml", CUP, revision=None)
    target = to / "cup.toml"
    if what == "folder":
        target.mkdir()
    elif what == "link":
        target.symlink_to("nowhere")
    else:
        os.mkfifo(target)
    assert main(["copy", str(book), str(to)]) == Exit.CANNOT_WRITE
    assert "cup.toml: NOT COPIED" in capsys.readouterr().out
    assert sorted(p.name for p in to.iterdir()) == ["can.toml", "cup.toml"]


def test_a_replace_that_is_refused_leaves_nothing_beside_the_older_copy(book: Path, tmp_path: Path) -> None:
    to = tmp_path / "copy"
    copy_notebook(book, to)
    save_project(book / "cup.toml", replace(CUP, about="new"), revision=read_project(book / "cup.toml").revision)
    (to / ".bin").symlink_to(tmp_path)
    (copied,) = copy_notebook(book, to)
    assert copied.outcome is Outcome.NOT_COPIED
    assert read_project(to / "cup.toml").project == CUP
    assert sorted(p.name for p in to.iterdir()) == [".bin", "cup.toml"]


@pytest.mark.parametrize("write", [1, 2])
def test_the_next_copy_removes_what_a_killed_one_left(book: Path, tmp_path: Path, write: int) -> None:
    to = tmp_path / "copy"
    copy_notebook(book, to)
    save_project(book / "cup.toml", replace(CUP, about="new"), revision=read_project(book / "cup.toml").revision)
    code = (
        "import os, sys\nfrom pathlib import Path\nfrom model.store import copy_notebook, copying\nturn = [0]\n"
        "real = copying.write_all\ndef write(fd, data):\n    turn[0] += 1\n    real(fd, data[:9])\n"
        f"    os.kill(os.getpid(), 9) if turn[0] == {write} else real(fd, data[9:])\n"
        "copying.write_all = write\ncopy_notebook(Path(sys.argv[1]), Path(sys.argv[2]))"
    )
    killed = subprocess.run([sys.executable, "-c", code, book, to], cwd=Path(__file__).parents[2], check=False)
    assert killed.returncode == -9
    assert len(list(to.glob(".*.tmp"))) == write
    save_project(book / "can.toml", CUP, revision=None)
    (book / "cup.toml").rename(book / "mug.toml")
    copy_notebook(book, to)
    assert names(to) == ["can.toml", "cup.toml", "mug.toml"] and not list(to.rglob(".*.tmp"))


def test_two_copies_into_one_folder_do_not_mix(book: Path, tmp_path: Path) -> None:
    to = tmp_path / "copy"
    to.mkdir()
    fd = os.open(to, os.O_RDONLY)
    fcntl.flock(fd, fcntl.LOCK_EX)
    with pytest.raises(NotWritten, match="under way"):
        copy_notebook(book, to)
    os.close(fd)
    assert copy_notebook(book, to)[0].outcome is Outcome.NEW


def test_a_copy_of_what_is_no_folder_says_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["copy", str(tmp_path / "none"), str(tmp_path / "copy")]) == Exit.CANNOT_READ
    assert "not there" in capsys.readouterr().err
    assert not (tmp_path / "copy").exists()


def test_differences_name_each_place_once() -> None:
    new = replace(CUP, name="Can").with_entry(replace(CUP.entries["a"], text="new", changed="gland"))
    assert differences(CUP, new) == ("name: changed", "entry.a.text: changed", "entry.a.changed: added")
    assert differences(new, replace(new, entries={})) == ("entry.a: gone",)
    assert differences(CUP, CUP) == ()
