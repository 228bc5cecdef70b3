"""``python -m tests.mutants [WORD]``: try every mutation whose file has the word in it; print which lived.

By hand, not in the suite: each is put into a copy of the tree and the test files named for it are run there. A run of
all of them writes its table to ``RESULTS.md`` beside this file. What is not found in its file any more says so.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.mutants.mutations import MUTATIONS, Mutation

ROOT = Path(__file__).resolve().parents[2]
RESULTS = Path(__file__).with_name("RESULTS.md")
COPIED = ("model", "tui", "tests", "projects", "pyproject.toml", "README.md", "DEVELOPERS.md")


def copy_to(folder: Path) -> None:
    for name in COPIED:
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, folder / name, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy(source, folder / name)


def tried(mutation: Mutation, folder: Path) -> str:
    """Return ``killed``, ``lived`` or what stood in the way."""
    path = folder / mutation.file
    text = path.read_text(encoding="utf-8")
    if mutation.old not in text:
        return "not found"
    path.write_text(text.replace(mutation.old, mutation.new, 1), encoding="utf-8")
    command = [sys.executable, "-m", "pytest", "-q", "-x", "-n", "0", "-p", "no:cacheprovider", *mutation.tests]
    environment = {
        **os.environ, "PYTHONPATH": str(folder), "PYTHONDONTWRITEBYTECODE": "1", "QUARTERTURN_EXAMPLES": "2"
    }  # fmt: skip
    done = subprocess.run(command, cwd=folder, env=environment, capture_output=True, check=False)
    path.write_text(text, encoding="utf-8")
    return {0: "lived", 1: "killed"}.get(done.returncode, f"pytest ended with {done.returncode}")


def shown(text: str) -> str:
    return f"`{' '.join(text.split())[:60]}`".replace("|", "\\|") if text.strip() else "nothing"


def main(words: list[str]) -> int:
    chosen = [m for m in MUTATIONS if not words or any(word in m.file for word in words)]
    rows = ["| file | was | became | |", "|---|---|---|---|"]
    killed = 0
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        copy_to(folder)
        for mutation in chosen:
            outcome = tried(mutation, folder)
            killed += outcome == "killed"
            rows.append(f"| {mutation.file} | {shown(mutation.old)} | {shown(mutation.new)} | {outcome} |")
            print(rows[-1], flush=True)
    score = f"{killed} of {len(chosen)} killed by the test files named for them."
    print(score)
    if not words:
        RESULTS.write_text(f"# Mutants\n\n{score}\n\n" + "\n".join(rows) + "\n", encoding="utf-8")
    return 0 if killed == len(chosen) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
