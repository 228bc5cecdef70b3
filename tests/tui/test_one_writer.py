"""Only `tui/state` writes to what is open: everything else reads it, and changes it through controller and list."""

from __future__ import annotations

import ast
from pathlib import Path

from tui.state.prototype import DiagnosisState, Outlook, Prototype
from tui.state.session import Session

TUI = Path(__file__).parents[2] / "tui"
NAMES = {
    *Prototype.__dataclass_fields__, *Outlook.__dataclass_fields__, *DiagnosisState.__dataclass_fields__,
    *vars(Session(Path())),
}  # fmt: skip


def written(path: Path) -> list[str]:
    """Return the assignments of a file to attributes of what is open, but for those to an object's own."""
    lines = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        targets = node.targets if isinstance(node, ast.Assign) else [getattr(node, "target", None)]
        for target in targets:
            for part in ast.walk(target) if target is not None else ():
                if not isinstance(part, ast.Attribute) or not isinstance(part.ctx, ast.Store):
                    continue
                own = isinstance(part.value, ast.Name) and part.value.id == "self"
                if part.attr in NAMES and not own:
                    lines.append(f"{path.relative_to(TUI)}:{part.lineno} {ast.unparse(part)}")
    return lines


def test_nothing_outside_the_state_writes_to_the_session() -> None:
    files = [path for path in TUI.rglob("*.py") if path.relative_to(TUI).parts[0] != "state"]
    assert not [line for path in files for line in written(path)]


def test_a_write_is_seen(tmp_path: Path) -> None:
    """The look itself finds what it looks for."""
    assert "controller.py" in " ".join(written(TUI / "state" / "controller.py"))


def test_no_method_that_draws_asks_or_writes() -> None:
    """Drawing reads: what is wanted of model and store is asked where something changed."""
    effects = {"attend", "ask_diagnosis", "ask", "save", "put", "change", "want_diagnosis", "note"}
    drawing = {"draw", "draw_around", "draw_help", "show_face", "refresh_pane", "refresh_form", "render_line", "_lines"}
    found = []
    for path in TUI.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef) and node.name in drawing:
                calls = [n.func for n in ast.walk(node) if isinstance(n, ast.Call)]
                names = {f.attr if isinstance(f, ast.Attribute) else getattr(f, "id", "") for f in calls}
                found += [f"{path.relative_to(TUI)} {node.name}: {name}" for name in sorted(names & effects)]
    assert not found
