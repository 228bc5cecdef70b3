"""The borders of the packages in a fresh interpreter, the budgets, the top level, and the sources of formulas.

Each rule is one test, which names all who break it.
"""

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
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
SOURCES = sorted(path for package in ("model", "tui") for path in (ROOT / package).rglob("*.py"))
EVERYTHING = sorted((*SOURCES, *(ROOT / "tests").rglob("*.py")))
TOP = {"README.md", "DEVELOPERS.md", "pyproject.toml", "tui", "model", "tests", "projects"}
MODULE_LINES, FUNCTION_LINES, CLASS_LINES, CLASS_METHODS, APP_LINES = 400, 50, 250, 20, 250
NUMPY_PACKAGES = tuple(
    f"model/{package}/"
    for package in (
        "physics",
        "cycle",
        "running",
        "explain",
        "bench",
        "prediction",
        "knowledge",
        "changes",
        "drawing",
        "curves",
    )
)
"""Packages of the model that may import numpy."""
FILLED_AT_IMPORT = ("model/quantities/formula.py",)
"""Modules with a table that declarations fill while the module is imported, and nothing afterwards."""


def named(path: Path) -> str:
    """Return a file's name from the top of the repository."""
    return path.relative_to(ROOT).as_posix()


@cache
def text_of(path: Path) -> str:
    return path.read_text(encoding="utf-8")


@cache
def tree_of(path: Path) -> ast.Module:
    return ast.parse(text_of(path))


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


def first_that_loads(
    unwanted: set[str], statements: list[str], tmp_path: Path, start: str = "from tui.__main__ import main"
) -> list[str]:
    """Run statements in one fresh interpreter; return the first that loads something unwanted, and what it loads."""
    code = f"""
import sys
def loaded():
    return {{name for name in sys.modules if name.split(".")[0] in {unwanted!r}}}
{start}
for statement in {statements!r}:
    exec(statement)
    if loaded():
        sys.modules["first: " + statement] = sys
        break"""
    modules = fresh(code, tmp_path)
    faults = [name for name in modules if name.startswith("first: ")]
    return [*faults, *(name for name in modules if faults and name in unwanted)]


DEMO = ROOT / "projects" / "mug.toml"


def test_a_command_that_computes_nothing_loads_neither_textual_nor_numpy(tmp_path: Path) -> None:
    copy = tmp_path / "copy.toml"
    copy.write_bytes(DEMO.read_bytes())
    projects = str(ROOT / "projects")
    commands = [
        ["--help"], ["--version"], ["check", projects], ["check", projects, "--json"], ["note", str(copy), "hello"],
        ["predict", "no-such-file.toml"], ["note", "--help"], ["no-such-folder"],
    ]  # fmt: skip
    assert first_that_loads({"textual", "rich", "numpy"}, [f"main({argv!r})" for argv in commands], tmp_path) == []


def test_a_command_that_computes_never_loads_textual(tmp_path: Path) -> None:
    commands = [f"main({[word, str(DEMO)]!r})" for word in ("predict", "gap", "report")]
    start = "from tests.few import draw_few; draw_few(); from tui.__main__ import main"
    assert first_that_loads({"textual", "rich"}, commands, tmp_path, start=start) == []


def test_the_terminal_is_looked_at_before_textual_is_loaded(tmp_path: Path) -> None:
    opening = f"main({[str(ROOT / 'projects')]!r})"
    assert first_that_loads({"textual", "rich", "numpy"}, [opening], tmp_path) == []


def test_rooms_without_arrays_never_load_numpy(tmp_path: Path) -> None:
    packages = (
        "model.quantities.units",
        "model.quantities.uncertain",
        "model.fields",
        "model.record",
        "model.store",
        "model.tables",
        "model.checks.stage",
        "model.checks.cautions",
        "model.checks.problems",
        "model.prediction.result",
        "tui.text.figures",
        "tui.text.sanitise",
        "tui.exits",
        "tui.host.terminal",
    )
    imported = [f"import {package}" for package in packages]
    assert first_that_loads({"numpy", "textual", "rich"}, imported, tmp_path, start="pass") == []


def test_the_model_never_loads_a_screen(tmp_path: Path) -> None:
    imported = ["import model.prediction.predict", "import model.explain.gap"]
    assert first_that_loads({"tui", "textual", "rich"}, imported, tmp_path, start="pass") == []


def test_physics_reaches_neither_store_nor_tables(tmp_path: Path) -> None:
    packages = [name for name in ("physics", "cycle", "running") if (ROOT / "model" / name).is_dir()]
    modules = [
        f"{package}.{item.name}"
        for package in packages
        for item in pkgutil.iter_modules([str(ROOT / "model" / package)])
    ]
    code = "\n".join(f"import model.{module}" for module in modules)
    loaded = fresh(code, tmp_path)
    assert not [name for name in loaded if name.startswith(("model.store", "model.tables", "tui"))]


def test_numpy_is_imported_only_where_arrays_are() -> None:
    without = [path for path in SOURCES if not named(path).startswith(NUMPY_PACKAGES)]
    assert [
        named(path) for path in without if "numpy" in {name.split(".")[0] for name, late in imports(path) if not late}
    ] == []


@cache
def imports(path: Path) -> tuple[tuple[str, bool], ...]:
    """Return each imported module, and whether it is imported inside a function."""
    tree = tree_of(path)
    inside = {id(node) for function in functions(tree) for node in ast.walk(function)}
    found: list[tuple[str, bool]] = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found += [(alias.name, id(node) in inside) for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.append((node.module, id(node) in inside))
    return tuple(found)


def functions(tree: ast.AST) -> list[ast.FunctionDef | ast.AsyncFunctionDef]:
    return [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)]


def code_lines(path: Path) -> set[int]:
    """Return the numbers of the lines that hold code: neither blank, nor comment, nor docstring."""
    with path.open("rb") as file:
        tokens = list(tokenize.tokenize(file.readline))
    skipped = {tokenize.COMMENT, tokenize.NL, tokenize.NEWLINE, tokenize.INDENT, tokenize.DEDENT, tokenize.ENCODING,
               tokenize.ENDMARKER}  # fmt: skip
    lines = {n for token in tokens if token.type not in skipped for n in range(token.start[0], token.end[0] + 1)}
    for node in ast.walk(tree_of(path)):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant) and isinstance(node.value.value, str):
            lines -= set(range(node.lineno, (node.end_lineno or node.lineno) + 1))
    return lines


def over_budget(path: Path) -> Iterator[str]:
    """Yield what in a module is over a budget."""
    name, lines = named(path), code_lines(path)
    if len(lines) > (APP_LINES if name == "tui/app.py" else MODULE_LINES):
        yield f"{name}: {len(lines)} lines"
    for node in ast.walk(tree_of(path)):
        if not isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            continue
        body = len(lines & set(range(node.lineno, (node.end_lineno or 0) + 1)))
        is_class = isinstance(node, ast.ClassDef)
        methods = functions_in(node.body) if is_class else []
        if body > (CLASS_LINES if methods else MODULE_LINES if is_class else FUNCTION_LINES):
            yield f"{name}: {node.name} has {body} lines"
        if len(methods) > CLASS_METHODS:
            yield f"{name}: {node.name} has {len(methods)} methods"


def functions_in(body: list[ast.stmt]) -> list[ast.stmt]:
    return [item for item in body if isinstance(item, ast.FunctionDef | ast.AsyncFunctionDef)]


def test_budgets_hold_or_an_exception_stands_in_developers() -> None:
    """An exception is a line of DEVELOPERS.md that names the file and says "over budget"."""
    excepted = re.findall(r"^.*`([\w/]+\.py)`.*over budget.*$", text_of(ROOT / "DEVELOPERS.md"), re.MULTILINE)
    held = [path for path in SOURCES if named(path) not in excepted]
    assert [fault for path in held for fault in over_budget(path)] == []


def test_each_module_says_what_it_owns() -> None:
    assert [named(path) for path in SOURCES if tree_of(path).body and not ast.get_docstring(tree_of(path))] == []


def _is_empty(body: list[ast.stmt]) -> bool:
    return all(isinstance(item, ast.Pass) or (isinstance(item, ast.Expr) and item.value is ...) for item in body)


def test_no_fault_is_swallowed() -> None:
    handlers = [
        (path, node) for path in EVERYTHING for node in ast.walk(tree_of(path)) if isinstance(node, ast.ExceptHandler)
    ]
    assert [
        f"{named(path)}:{node.lineno}" for path, node in handlers if node.type is None or _is_empty(node.body)
    ] == []


def test_nothing_is_left_for_later() -> None:
    words = "|".join(("TO" + "DO", "FIX" + "ME", "NotImplemented" + "Error", "XX" + "X"))
    assert [named(path) for path in EVERYTHING if re.search(rf"\b({words})\b", text_of(path))] == []


def test_a_share_is_written_in_one_way() -> None:
    """`percent_text` and `chance_text` write it; a format that puts the sign behind the digits has no space."""
    assert [named(path) for path in SOURCES if re.search(r"%[}]", text_of(path))] == []


def test_every_file_ends_its_lines_alike() -> None:
    assert [named(path) for path in EVERYTHING if b"\r" in path.read_bytes()] == []
    assert [named(path) for path in EVERYTHING if text_of(path) and not text_of(path).endswith("\n")] == []


def test_no_assert_guards_an_input() -> None:
    """Asserts vanish under -O."""
    found = [(path, node) for path in SOURCES for node in ast.walk(tree_of(path)) if isinstance(node, ast.Assert)]
    assert [f"{named(path)}:{node.lineno}" for path, node in found] == []


def test_no_state_changes_at_module_level() -> None:
    """A name at module level that is bound to an empty list, dict or set is a place to hide state."""
    checked = [path for path in SOURCES if named(path) not in FILLED_AT_IMPORT]
    found = [(path, node) for path in checked for node in tree_of(path).body if binds_nothing_yet(node)]
    assert [f"{named(path)}:{node.lineno}" for path, node in found] == []


def binds_nothing_yet(node: ast.stmt) -> bool:
    """Whether a statement binds a name to an empty list, dict or set."""
    value = node.value if isinstance(node, ast.Assign | ast.AnnAssign) else None
    if isinstance(value, ast.List | ast.Dict):
        return not (value.elts if isinstance(value, ast.List) else value.keys)
    return (
        isinstance(value, ast.Call)
        and not value.args
        and isinstance(value.func, ast.Name)
        and value.func.id in ("list", "dict", "set")
    )


def test_every_mutation_finds_the_text_that_it_changes() -> None:
    """Else a mutant would be told as living, or as killed, that never was."""
    from tests.mutants.mutations import MUTATIONS

    assert [m for m in MUTATIONS if m.old not in (ROOT / m.file).read_text(encoding="utf-8")] == []
    assert [test for m in MUTATIONS for test in m.tests if not (ROOT / test).exists()] == []


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


def test_only_the_four_packages_and_the_standard_library_are_imported() -> None:
    allowed = {*sys.stdlib_module_names, "textual", "rich", "numpy", "tomli_w", "model", "tui"}
    assert [
        (named(path), name) for path in SOURCES for name, _ in imports(path) if name.split(".")[0] not in allowed
    ] == []


def test_every_formula_names_a_source_that_is_listed() -> None:
    for package in ("physics", "cycle", "running", "explain", "bench"):
        for module in pkgutil.iter_modules([str(ROOT / "model" / package)]):
            importlib.import_module(f"model.{package}.{module.name}")
    from model.quantities.formula import DECLARED

    listed = set(tomllib.loads((ROOT / "model" / "tables" / "sources.toml").read_text())["source"])
    free = {"common practice, no source", "derived here"}
    assert DECLARED
    for entry in DECLARED.values():
        assert entry.source in listed | free, entry.name
        assert entry.formula, entry.name
        assert entry.quantity, entry.name
        assert entry.spread >= 0, entry.name


def test_every_source_key_in_a_docstring_is_listed() -> None:
    listed = set(tomllib.loads((ROOT / "model" / "tables" / "sources.toml").read_text())["source"])
    key = re.compile(r"\[([A-Z][A-Za-z]+(?:1[5-9]|20)\d\d[a-z]?)\]")
    named_there = [(named(path), found) for path in SOURCES for found in key.findall(text_of(path))]
    assert named_there
    assert [each for each in named_there if each[1] not in listed] == []


def test_the_readme_holds_one_line_for_the_demo_and_one_for_the_tests() -> None:
    lines = [
        line.strip() for line in (ROOT / "README.md").read_text().splitlines() if line.startswith("    [ .venv/ready")
    ]
    demo, tests = lines
    assert demo.endswith("&& .venv/bin/quarterturn --demo")
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


def test_the_pages_of_developers_name_what_is_there() -> None:
    """A path in backquotes exists; of a test that is named, too."""
    pages = [ROOT / "DEVELOPERS.md", ROOT / "tests" / "PROMISES.md", *(ROOT / "tests").rglob("RESULTS.md")]
    missing = []
    for page in pages:
        for path in re.findall(r"`((?:tui|model|tests|projects)/[\w/.]*\w(?:\.\w+)?)`", text_of(page)):
            if not any((ROOT / f"{path}{suffix}").exists() for suffix in ("", ".py")):
                missing.append(f"{page.relative_to(ROOT)}: {path}")
    assert not missing


def test_the_manual_is_short() -> None:
    """It is read in one sitting; what is long stands in the packages, decisions at its end."""
    manual = text_of(ROOT / "DEVELOPERS.md").partition("## Decisions")[0]
    assert len(manual.split()) <= 2500
