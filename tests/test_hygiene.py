"""The borders of the rooms in a fresh interpreter, the budgets, the top level, and the sources of formulas."""

from __future__ import annotations

import ast
import importlib
import json
import os
import pkgutil
import re
import subprocess
import sys
import tokenize
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
SOURCES = sorted(path for room in ("model", "tui") for path in (ROOT / room).rglob("*.py"))
EVERYTHING = sorted((*SOURCES, *(ROOT / "tests").rglob("*.py")))
TOP = {"README.md", "DEVELOPERS.md", "pyproject.toml", "tui", "model", "tests", "projects"}
MODULE_LINES, FUNCTION_LINES, CLASS_LINES, CLASS_METHODS, APP_LINES = 400, 50, 250, 20, 250
NUMPY_ROOMS = ("physics", "cycle", "running", "explain", "bench", "prediction")
"""Rooms of the model that may import numpy."""
FILLED_AT_IMPORT = ("model/quantities/formula.py", "model/inputs/complete.py", "model/prediction/figures.py")
"""Modules with a table that declarations fill while the module is imported, and nothing afterwards."""


def fresh(code: str, tmp_path: Path) -> list[str]:
    """Run code in a fresh interpreter and return the modules that it loaded."""
    environment = {
        **os.environ,
        "PYTHONPATH": str(ROOT),
        "XDG_DATA_HOME": str(tmp_path),
        "XDG_STATE_HOME": str(tmp_path),
    }
    program = f"{code}\nimport json, sys\nsys.stderr.write(json.dumps(sorted(sys.modules)))"
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True, env=environment, cwd=tmp_path
    )
    found: list[str] = json.loads(done.stderr.splitlines()[-1])
    return found


def roots(modules: list[str]) -> set[str]:
    return {name.split(".")[0] for name in modules}


DEMO = ROOT / "projects" / "mug.toml"


@pytest.mark.parametrize(
    "argv",
    [
        ["--help"],
        ["--version"],
        ["check", str(ROOT / "projects")],
        ["check", str(ROOT / "projects"), "--json"],
        ["note", "COPY", "hello"],
        ["predict", "no-such-file.toml"],
        ["note", "--help"],
        ["no-such-folder"],
    ],
    ids=" ".join,
)
def test_a_command_that_computes_nothing_loads_neither_textual_nor_numpy(argv: list[str], tmp_path: Path) -> None:
    copy = tmp_path / "copy.toml"
    copy.write_bytes(DEMO.read_bytes())
    argv = [str(copy) if word == "COPY" else word for word in argv]
    loaded = roots(fresh(f"from tui.__main__ import main\nmain({argv!r})", tmp_path))
    assert not loaded & {"textual", "rich", "numpy"}


@pytest.mark.parametrize("command", ["predict", "gap", "report"])
def test_a_command_that_computes_never_loads_textual(command: str, tmp_path: Path) -> None:
    loaded = fresh(f"from tui.__main__ import main\nmain([{command!r}, {str(DEMO)!r}])", tmp_path)
    assert not roots(loaded) & {"textual", "rich"}


def test_the_terminal_is_looked_at_before_textual_is_loaded(tmp_path: Path) -> None:
    loaded = fresh(f"from tui.__main__ import main\nmain([{str(ROOT / 'projects')!r}])", tmp_path)
    assert not roots(loaded) & {"textual", "rich", "numpy"}


@pytest.mark.parametrize(
    "module",
    [
        "model.quantities.units", "model.quantities.uncertain", "model.fields", "model.record", "model.store",
        "model.tables", "model.checks.stage", "model.checks.cautions", "model.checks.problems",
        "model.prediction.result", "tui.text.figures", "tui.text.sanitise", "tui.exits", "tui.host.terminal",
    ],
)  # fmt: skip
def test_rooms_without_arrays_never_load_numpy(module: str, tmp_path: Path) -> None:
    assert not roots(fresh(f"import {module}", tmp_path)) & {"numpy", "textual", "rich"}


@pytest.mark.parametrize("module", ["model.prediction.predict", "model.explain.gap"])
def test_the_model_never_loads_a_screen(module: str, tmp_path: Path) -> None:
    loaded = fresh(f"import {module}", tmp_path)
    assert not roots(loaded) & {"tui", "textual", "rich"}


def test_physics_reaches_neither_store_nor_tables(tmp_path: Path) -> None:
    rooms = [name for name in ("physics", "cycle", "running") if (ROOT / "model" / name).is_dir()]
    modules = [f"{room}.{item.name}" for room in rooms for item in pkgutil.iter_modules([str(ROOT / "model" / room)])]
    code = "\n".join(f"import model.{module}" for module in modules)
    loaded = fresh(code, tmp_path)
    assert not [name for name in loaded if name.startswith(("model.store", "model.tables", "tui"))]


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: str(path.relative_to(ROOT)))
def test_numpy_is_imported_only_where_arrays_are(path: Path) -> None:
    if (
        path.relative_to(ROOT).parts[0] == "model"
        and path.relative_to(ROOT).parts[1].removesuffix(".py") in NUMPY_ROOMS
    ):
        return
    assert "numpy" not in {name.split(".")[0] for name, inside in imports(path) if not inside}


def imports(path: Path) -> Iterator[tuple[str, bool]]:
    """Yield each imported module, and whether it is imported inside a function."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    inside = {id(node) for function in functions(tree) for node in ast.walk(function)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((alias.name, id(node) in inside) for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module, id(node) in inside


def functions(tree: ast.AST) -> list[ast.FunctionDef | ast.AsyncFunctionDef]:
    return [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)]


def code_lines(path: Path) -> set[int]:
    """Return the numbers of the lines that hold code: neither blank, nor comment, nor docstring."""
    with path.open("rb") as file:
        tokens = list(tokenize.tokenize(file.readline))
    skipped = {tokenize.COMMENT, tokenize.NL, tokenize.NEWLINE, tokenize.INDENT, tokenize.DEDENT, tokenize.ENCODING,
               tokenize.ENDMARKER}  # fmt: skip
    lines = {n for token in tokens if token.type not in skipped for n in range(token.start[0], token.end[0] + 1)}
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant) and isinstance(node.value.value, str):
            lines -= set(range(node.lineno, (node.end_lineno or node.lineno) + 1))
    return lines


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: str(path.relative_to(ROOT)))
def test_budgets_hold_or_an_exception_stands_in_developers(path: Path) -> None:
    """An exception is a line of DEVELOPERS.md that names the file and says "over budget"."""
    name = str(path.relative_to(ROOT))
    if re.search(rf"^.*`{re.escape(name)}`.*over budget.*$", (ROOT / "DEVELOPERS.md").read_text(), re.MULTILINE):
        return
    lines = code_lines(path)
    assert len(lines) <= (APP_LINES if name == "tui/app.py" else MODULE_LINES)
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for function in functions(tree):
        body = lines & set(range(function.lineno, (function.end_lineno or 0) + 1))
        assert len(body) <= FUNCTION_LINES, function.name
    for node in ast.walk(tree):
        if isinstance(node, ast.ClassDef):
            methods = [item for item in node.body if isinstance(item, ast.FunctionDef | ast.AsyncFunctionDef)]
            assert len(methods) <= CLASS_METHODS, node.name
            body = lines & set(range(node.lineno, (node.end_lineno or 0) + 1))
            assert len(body) <= CLASS_LINES or not methods, node.name


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: str(path.relative_to(ROOT)))
def test_each_module_says_what_it_owns(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    assert not tree.body or ast.get_docstring(tree)


def _is_empty(body: list[ast.stmt]) -> bool:
    return all(isinstance(item, ast.Pass) or (isinstance(item, ast.Expr) and item.value is ...) for item in body)


@pytest.mark.parametrize("path", EVERYTHING, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_fault_is_swallowed_and_nothing_is_left_for_later(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    tree = ast.parse(text)
    for node in ast.walk(tree):
        if isinstance(node, ast.ExceptHandler):
            assert node.type is not None, node.lineno
            assert not _is_empty(node.body), node.lineno
    words = "|".join(("TO" + "DO", "FIX" + "ME", "NotImplemented" + "Error", "XX" + "X"))
    assert not re.search(rf"\b({words})\b", text)
    assert "\r" not in text
    assert text.endswith("\n") or not text


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_assert_guards_an_input(path: Path) -> None:
    """Asserts vanish under -O."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    assert not [node.lineno for node in ast.walk(tree) if isinstance(node, ast.Assert)]


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_state_changes_at_module_level(path: Path) -> None:
    """A name at module level that is bound to an empty list, dict or set is a place to hide state."""
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        value = node.value if isinstance(node, ast.Assign | ast.AnnAssign) else None
        elements = value.elts if isinstance(value, ast.List) else value.keys if isinstance(value, ast.Dict) else [value]
        assert elements or str(path.relative_to(ROOT)) in FILLED_AT_IMPORT, ast.dump(node)[:80]


def test_the_top_level_holds_what_it_should() -> None:
    tracked = subprocess.run(
        ["git", "ls-files"], capture_output=True, text=True, cwd=ROOT, check=False
    ).stdout.splitlines()
    names = {name.split("/")[0] for name in tracked} or {path.name for path in ROOT.iterdir()}
    assert {name for name in names if not name.startswith(".")} <= TOP
    assert {path.name for path in ROOT.iterdir() if not path.name.startswith(".")} >= TOP


def test_runtime_packages_are_the_four() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    names = {re.split(r"[^A-Za-z0-9_-]", need)[0] for need in project["dependencies"]}
    assert names == {"textual", "rich", "numpy", "tomli-w"}


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: str(path.relative_to(ROOT)))
def test_only_the_four_packages_and_the_standard_library_are_imported(path: Path) -> None:
    allowed = {*sys.stdlib_module_names, "textual", "rich", "numpy", "tomli_w", "model", "tui"}
    assert {name.split(".")[0] for name, _ in imports(path)} <= allowed


def test_every_formula_names_a_source_that_is_listed() -> None:
    for room in ("physics", "cycle", "running", "explain", "bench"):
        for module in pkgutil.iter_modules([str(ROOT / "model" / room)]):
            importlib.import_module(f"model.{room}.{module.name}")
    from model.quantities.formula import declarations

    listed = set(tomllib.loads((ROOT / "model" / "tables" / "sources.toml").read_text())["source"])
    free = {"common practice, no source", "derived here"}
    assert declarations()
    for entry in declarations():
        assert entry.source in listed | free, entry.name
        assert entry.formula, entry.name
        assert entry.quantity, entry.name
        assert entry.spread >= 0, entry.name


def test_every_source_key_in_a_docstring_is_listed() -> None:
    listed = set(tomllib.loads((ROOT / "model" / "tables" / "sources.toml").read_text())["source"])
    for path in (ROOT / "model").rglob("*.py"):
        for key in re.findall(r"\[([A-Z][A-Za-z]+(?:1[5-9]|20)\d\d[a-z]?)\]", path.read_text(encoding="utf-8")):
            assert key in listed, f"{path.relative_to(ROOT)}: {key}"


def test_the_readme_holds_one_line_for_the_demo_and_one_for_the_tests() -> None:
    lines = [
        line.strip() for line in (ROOT / "README.md").read_text().splitlines() if line.startswith("    [ .venv/ready")
    ]
    demo, tests = lines
    assert demo.endswith("&& .venv/bin/quarterturn projects")
    assert ".venv/bin/pytest" in tests
    for line in lines:
        ready = re.findall(r"\.venv/ready[\w-]*", line)
        assert len(set(ready)) == 1
        assert "-nt pyproject.toml" in line


def test_the_readme_names_every_command() -> None:
    from tui.commands import COMMANDS

    text = (ROOT / "README.md").read_text()
    for command in COMMANDS:
        assert f"    quarterturn {command.word} " in text
