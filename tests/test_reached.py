"""Nothing is there for the tests alone: whatever model and screens declare is reached from the program.

Static, by names: a declaration is reached where reached code names it, through its imports; a method where reached code
names it behind a dot, or where textual or the standard library calls it: by its name in a class of theirs, or as a
handler or an action. The program is `tui.__main__`, the commands and panes that are loaded by name, and what modules do
while they are imported.
"""

from __future__ import annotations

import ast
import re
from argparse import ArgumentParser
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from selectors import DefaultSelector

from textual.app import App
from textual.drivers.linux_driver import LinuxDriver
from textual.filter import LineFilter
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import Input, TextArea

from tui.commands import COMMANDS
from tui.view.panes import ALL_PANES

ROOT = Path(__file__).resolve().parents[1]
Definition = ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef | ast.Assign | ast.AnnAssign
Place = tuple[str, str]
"""Module and name."""
BY_NAME: tuple[Place, ...] = (
    *((command.module, name) for command in COMMANDS for name in ("arguments", "run")),
    *((pane.module, pane.widget) for pane in ALL_PANES if pane.module),
)
"""What is loaded by its name."""
OUTSIDE = (App, Screen, Widget, Input, TextArea, LinuxDriver, LineFilter, ArgumentParser, DefaultSelector)
CALLED = {name for kind in OUTSIDE for name in dir(kind)}
"""Methods that are called from outside where they are overridden."""
HANDLER = re.compile(r"_?on_|action_|watch_")


@dataclass
class Module:
    """What a module declares and imports, and what it does at its import."""

    own: dict[str, Definition] = field(default_factory=dict)
    imported: dict[str, Place] = field(default_factory=dict)
    """Local name -> module and name there; an empty name for a module itself."""
    doing: list[ast.AST] = field(default_factory=list)


def module_names(package: str, root: Path) -> dict[str, Path]:
    names = {}
    for path in sorted((root / package).rglob("*.py")):
        parts = path.relative_to(root).with_suffix("").parts
        names[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path
    return names


def read(path: Path, known: dict[str, Path]) -> Module:
    module = Module()
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module:
            for alias in node.names:
                whole = f"{node.module}.{alias.name}"
                place = (whole, "") if whole in known else (node.module, alias.name)
                module.imported[alias.asname or alias.name] = place
        elif isinstance(node, ast.Import):
            for alias in node.names:
                module.imported[alias.asname or alias.name.split(".")[0]] = (alias.name, "")
    for node in tree.body:
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            module.own[node.name] = node
        elif isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
            module.own[node.target.id] = node
        elif isinstance(node, ast.Assign) and all(isinstance(target, ast.Name) for target in node.targets):
            module.own |= {target.id: node for target in node.targets if isinstance(target, ast.Name)}
        elif not isinstance(node, ast.Import | ast.ImportFrom):
            module.doing.append(node)
    return module


def named_in(node: ast.AST) -> Iterator[tuple[str, str]]:
    """Yield names that code uses, with the attribute taken of each; behind a dot alone: no name."""
    for part in ast.walk(node):
        if isinstance(part, ast.Attribute):
            yield (part.value.id if isinstance(part.value, ast.Name) else ""), part.attr
        elif isinstance(part, ast.Name):
            yield part.id, ""
        elif isinstance(part, ast.Call) and ast.unparse(part.func) == "getattr":
            yield "", ast.unparse(part.args[1]).strip("'")


def methods_of(node: ast.ClassDef) -> dict[str, ast.FunctionDef | ast.AsyncFunctionDef]:
    found = {part.name: part for part in node.body if isinstance(part, ast.FunctionDef | ast.AsyncFunctionDef)}
    return {name: part for name, part in found.items() if not name.startswith("__")}


def without_methods(node: Definition) -> list[ast.AST]:
    """Return what a declaration uses by itself: of a class all but its methods."""
    if not isinstance(node, ast.ClassDef):
        return [node]
    own = methods_of(node).values()
    return [*node.bases, *node.decorator_list, *(part for part in node.body if part not in own)]


def unreached(root: Path = ROOT) -> list[str]:
    """Return what is declared and nothing of the program reaches, as ``module.name``."""
    paths = module_names("model", root) | module_names("tui", root)
    modules = {name: read(path, paths) for name, path in paths.items()}
    reached: set[Place] = set()
    dotted: set[str] = set()
    methods: dict[str, list[tuple[str, ast.AST]]] = {}
    todo: list[tuple[str, ast.AST]] = []

    def reach(module: str, name: str) -> None:
        while module in modules and name not in modules[module].own and name in modules[module].imported:
            module, name = modules[module].imported[name]
        if module not in modules or (module, name) in reached or name not in modules[module].own:
            return
        reached.add((module, name))
        node = modules[module].own[name]
        todo.extend((module, part) for part in without_methods(node))
        if isinstance(node, ast.ClassDef):
            for method, body in methods_of(node).items():
                reached_already = method in dotted or method in CALLED or bool(HANDLER.match(method))
                methods.setdefault(method, []).append((f"{module}.{name}", body))
                if reached_already:
                    todo.append((module, body))

    for module, whole in modules.items():
        todo.extend((module, node) for node in whole.doing)
        if module == "tui.__main__":
            todo.extend((module, node) for node in whole.own.values())
    for module, name in BY_NAME:
        reach(module, name)
    while todo:
        module, node = todo.pop()
        for name, attribute in named_in(node):
            if name:
                reach(module, name)
                place = modules[module].imported.get(name)
                if place and not place[1] and attribute:
                    reach(place[0], attribute)
            if attribute and attribute not in dotted:
                dotted.add(attribute)
                todo.extend((where.rpartition(".")[0], body) for where, body in methods.get(attribute, ()))
    lost = [
        f"{module}.{name}"
        for module, whole in modules.items()
        for name in whole.own
        if (module, name) not in reached and name not in ("__all__", "__version__") and module != "tui.__main__"
    ]
    lost += [
        f"{where}.{method}"
        for method, bodies in methods.items()
        for where, _ in bodies
        if method not in dotted and method not in CALLED and not HANDLER.match(method)
    ]
    return sorted(lost)


def test_whatever_is_declared_is_reached_from_the_program() -> None:
    assert unreached() == []


def test_what_tests_alone_call_is_found(tmp_path: Path) -> None:
    """Function, method, constant, and a function that only such a one calls; not what a re-export reaches."""
    for name, text in {
        "tui/__main__.py": "from model import used\nfrom model.one import Kept\nprint(used(), Kept().told)\n",
        "model/__init__.py": "from model.one import used\n",
        "model/one.py": "from model import two\n\nLOST = 1\nTAKEN = 2\n\n\n"
        "def used():\n    return two.deep(TAKEN)\n\n\n"
        "def lost():\n    return lost_too()\n\n\ndef lost_too():\n    return used()\n\n\n"
        "class Kept:\n    def told(self):\n        return 1\n\n    def silent(self):\n        return 2\n",
        "model/two.py": "def deep(x):\n    return x\n\n\ndef used():\n    return 1\n",
    }.items():
        path = tmp_path / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
    wanted = ["model.one.Kept.silent", "model.one.LOST", "model.one.lost", "model.one.lost_too", "model.two.used"]
    assert unreached(tmp_path) == wanted
