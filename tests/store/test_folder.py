"""The folder of projects: listing, naming, and where the demo and the builder's own notebook are."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from model.errors import ProjectFormatError, ProjectNotFound, StoreError
from model.record import Project
from model.store import (
    default_folder,
    demo_folder,
    encode,
    make_folder,
    new_path,
    open_notebook,
    read_project,
    save_project,
)
from model.store import folder as folder_module


def _write(folder: Path, name: str, data: bytes) -> None:
    (folder / name).write_bytes(data)


def test_a_notebook_lists_its_project_files_by_name_and_nothing_else(tmp_path: Path) -> None:
    for name in ("b.toml", "a.toml", "c.toml"):
        _write(tmp_path, name, encode(Project(name=name)))
    for name in (".a.toml.lock", ".hidden.toml", ".a.toml.0123abcd.tmp", "a.toml.original-1", "notes.txt", "x.tmp"):
        _write(tmp_path, name, b"")
    book = open_notebook(tmp_path)
    assert [item.path.name for item in book.items] == ["a.toml", "b.toml", "c.toml"]
    assert [stored.project.name for stored in book.stored] == ["a.toml", "b.toml", "c.toml"]
    assert len(book.stored) == len(book.items)


def test_a_file_that_cannot_be_read_does_not_stop_the_others(tmp_path: Path) -> None:
    _write(tmp_path, "a.toml", b"\xff")
    _write(tmp_path, "b.toml", encode(Project(name="good")))
    _write(tmp_path, "c.toml", b'[package]\nversion = "1"\n')
    _write(tmp_path, "d.toml", b"[" * 1000)
    (tmp_path / "e.toml").mkdir()
    (tmp_path / "f.toml").symlink_to("/etc/hostname")
    (tmp_path / "g.toml").symlink_to("nowhere.toml")
    os.mkfifo(tmp_path / "h.toml")
    book = open_notebook(tmp_path)
    assert [s.project.name for s in book.stored] == ["good"]
    assert len(book.items) == 8
    errors = [item.error for item in book.items if item.error is not None]
    assert len(errors) == 7
    assert all(error.hint for error in errors)
    assert isinstance(book.items[0].error, ProjectFormatError)
    assert isinstance(book.items[6].error, ProjectNotFound)


def test_an_empty_folder_is_an_empty_notebook(tmp_path: Path) -> None:
    assert open_notebook(tmp_path).items == ()


def test_a_folder_that_is_not_there_is_said_to_be_missing_and_not_made(tmp_path: Path) -> None:
    with pytest.raises(ProjectNotFound) as caught:
        open_notebook(tmp_path / "none")
    assert caught.value.hint
    assert list(tmp_path.iterdir()) == []


def test_a_file_is_no_notebook(tmp_path: Path) -> None:
    _write(tmp_path, "a.toml", encode(Project(name="x")))
    with pytest.raises(StoreError, match="not a folder"):
        open_notebook(tmp_path / "a.toml")


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("Cocoa tin", "cocoa-tin.toml"),
        ("../../etc/passwd", "etc-passwd.toml"),
        ("/absolute", "absolute.toml"),
        ("a\\b\0c", "a-b-c.toml"),
        ("...", "project.toml"),
        ("", "project.toml"),
        (".hidden", "hidden.toml"),
        ("CON", "project-con.toml"),
        ("com1", "project-com1.toml"),
        ("Stürmer Größe", "sturmer-grosse.toml"),
        ("モデル", "project.toml"),
        ("\x1b[2Jcup\u202e", "2jcup.toml"),
        ("n" * 300, "n" * 48 + ".toml"),
    ],
)
def test_a_new_file_is_named_after_the_project_in_plain_letters(tmp_path: Path, name: str, expected: str) -> None:
    assert new_path(tmp_path, name) == tmp_path / expected


@settings(deadline=None, max_examples=200)
@given(st.text(max_size=80))
def test_no_name_leads_out_of_the_notebook_or_hides(name: str) -> None:
    folder = Path("no-such-folder")
    path = new_path(folder, name)
    assert path.parent == folder
    assert path.name.isascii() and path.name.isprintable() and len(path.name) <= 60
    assert not path.name.startswith((".", "-")) and path.name.endswith(".toml")


def test_a_new_file_never_takes_a_name_that_is_there(tmp_path: Path) -> None:
    """Names that differ in case only are one file on many cards."""
    _write(tmp_path, "Cup.TOML", b"")
    assert new_path(tmp_path, "cup").name == "cup-2.toml"
    _write(tmp_path, "cup-2.toml", b"")
    assert new_path(tmp_path, "cup").name == "cup-3.toml"
    save_project(new_path(tmp_path, "cup"), Project(name="cup"), revision=None)
    assert read_project(tmp_path / "cup-3.toml").project.name == "cup"


def test_the_own_notebook_lies_in_the_data_folder_and_is_not_made_by_asking(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """XDG Base Directory Specification 0.8: a path in the variable that is not absolute is ignored."""
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    assert default_folder() == tmp_path / "data" / "quarterturn"
    monkeypatch.setenv("XDG_DATA_HOME", "relative/data")
    assert default_folder() == tmp_path / ".local" / "share" / "quarterturn"
    monkeypatch.delenv("XDG_DATA_HOME")
    assert default_folder() == tmp_path / ".local" / "share" / "quarterturn"
    assert list(tmp_path.iterdir()) == []


def test_a_notebook_is_made_for_its_user_alone(tmp_path: Path) -> None:
    """XDG Base Directory Specification 0.8: a folder that is missing is made with permission 0700."""
    folder = make_folder(tmp_path / "data" / "quarterturn")
    assert folder.stat().st_mode & 0o777 == 0o700
    assert make_folder(folder) == folder
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(StoreError):
        make_folder(tmp_path / "file" / "inside")


def test_the_demo_of_a_checkout_is_its_folder_of_projects() -> None:
    assert demo_folder() == Path(__file__).resolve().parents[2] / "projects"


def _pretend_installed(monkeypatch: pytest.MonkeyPatch, root: Path) -> Path:
    package = root / "model" / "store"
    package.mkdir(parents=True)
    monkeypatch.setattr(folder_module, "__file__", str(package / "folder.py"))
    return package


def test_the_demo_of_an_installed_package_lies_inside_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    package = _pretend_installed(monkeypatch, tmp_path)
    (package / "demo").mkdir()
    assert demo_folder() == package / "demo"


def test_a_strangers_folder_of_projects_beside_the_package_is_not_our_demo(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    _pretend_installed(monkeypatch, tmp_path)
    (tmp_path / "projects").mkdir()
    with pytest.raises(ProjectNotFound):
        demo_folder()
