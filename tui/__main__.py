"""The one exit point: reads the command line, starts a command or the screens, and ends in an exit code.

Neither is imported before it must be, nor is the parser of arguments, so that everything is quick on a small computer.
Whatever goes wrong becomes one line on standard error that says what to do.
"""

from __future__ import annotations

import contextlib
import importlib
import io
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from model.errors import ModelError, StoreError
from tui.commands import COMMANDS
from tui.exits import CommandError, Exit, drop_output
from tui.text.sanitise import sanitise

if TYPE_CHECKING:
    from tui.commands.parser import Parser

_ABOUT = "A notebook for builders of small hot-air (Stirling) engines."


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line and return the exit code."""
    arguments = list(sys.argv[1:] if argv is None else argv)
    _mend_streams()
    try:
        code = _dispatch(arguments)
        sys.stdout.flush()
        return int(code)
    except SystemExit as exit_:
        return exit_.code if isinstance(exit_.code, int) else Exit.OK
    except BrokenPipeError:
        drop_output()
        return Exit.PIPE_CLOSED
    except KeyboardInterrupt:
        return _fail("stopped.", Exit.INTERRUPTED)
    except CommandError as error:
        return _fail(str(error), error.code)
    except StoreError as error:
        return _fail(str(error), Exit.CANNOT_READ)
    except ModelError as error:
        return _fail(str(error), Exit.INTERNAL)
    except OSError as error:
        drop_output()
        return _fail(f"the output cannot be written: {error.strerror or error}.", Exit.CANNOT_WRITE)
    except Exception as error:
        from tui.host.logfile import write_fault

        return _fail(write_fault(error), Exit.INTERNAL)


def _dispatch(arguments: list[str]) -> int:
    for command in COMMANDS:
        if arguments and arguments[0] == command.word:
            from tui.commands.parser import Parser

            module = importlib.import_module(command.module)
            parser = Parser(prog=f"quarterturn {command.word}", description=f"{command.help.capitalize()}.")
            module.arguments(parser)
            return int(module.run(parser.parse_args(arguments[1:])))
    if not arguments:
        return _open_screens(None)
    if len(arguments) == 1 and not arguments[0].startswith("-"):
        return _open_screens(Path(arguments[0]))
    parser = _screens_parser()
    options, rest = parser.parse_known_args(arguments)
    if rest:
        parser.error(_strange(arguments, rest))
    if options.version:
        sys.stdout.write(f"quarterturn {_version()}\n")
        return Exit.OK
    if options.text:
        from tui.commands.listed import print_list

        if options.folder:
            return print_list(_notebook(options.folder))
        folder = _own_notebook()
        _tell_empty(folder)
        return print_list(folder)
    return _open_screens(options.folder)


def _screens_parser() -> Parser:
    import argparse

    from tui.commands.parser import Parser

    commands = "\n".join(f"  {command.word:<9}{command.help}" for command in COMMANDS)
    exits = "\n".join(f"  {code.value:<5}{code.meaning}" for code in Exit)
    parser = Parser(
        prog="quarterturn",
        usage="quarterturn [FOLDER] [--text]\n       quarterturn COMMAND ...",
        description=_ABOUT,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        epilog=f"commands (each has its own --help):\n{commands}\n\nexit codes:\n{exits}",
    )
    parser.add_argument(
        "folder",
        metavar="FOLDER",
        nargs="?",
        type=Path,
        help="the notebook to open, a folder of project files; without it your own, made at first use",
    )
    parser.add_argument("--text", action="store_true", help="print the list line by line in place of the screens")
    parser.add_argument("--version", action="store_true", help="print the version")
    return parser


def _strange(arguments: list[str], rest: list[str]) -> str:
    """Say what is wrong with words that nothing takes, and what may have been meant."""
    near = _near(arguments[0])
    meant = f"; did you mean {near}?" if near else ""
    return f"not understood: {' '.join(rest)}{meant}"


def _near(word: str) -> str:
    """Return the command that is nearest to a word; empty where none is near."""
    from difflib import get_close_matches

    return next(iter(get_close_matches(word, [command.word for command in COMMANDS], n=1)), "")


def _open_screens(named: Path | None) -> int:
    """Open a notebook on the screen."""
    from tui.host.terminal import refusal

    folder = None if named is None else _notebook(named)
    reason = refusal()
    if reason is not None:
        raise CommandError(reason, code=Exit.NO_TERMINAL)
    if folder is None:
        folder = _own_notebook()
    from tui.app import run

    return run(folder)


def _notebook(folder: Path) -> Path:
    """Return the folder when it is one."""
    if folder.is_dir():
        return folder
    if folder.exists():
        raise CommandError(
            f"{folder} is a file.",
            code=Exit.CANNOT_READ,
            hint=f"Open its folder: quarterturn {folder.parent}",
        )
    near = _near(str(folder))
    meant = f"Did you mean the command {near}? " if near else ""
    raise CommandError(
        f"There is no folder {folder}.",
        code=Exit.CANNOT_READ,
        hint=f"{meant}For a new notebook make the folder first: mkdir -p {folder}",
    )


def _own_notebook() -> Path:
    """Return the builder's own notebook, made at first use."""
    from model.store import default_folder, make_folder

    return make_folder(default_folder())


def _tell_empty(folder: Path) -> None:
    """Where a notebook is empty, say on standard error how the demo comes into it; the screens offer that by a key."""
    from model.store import demo_folder, list_notebook

    if not list_notebook(folder).items:
        with contextlib.suppress(ModelError):
            said = f"Your notebook {folder} is empty. To copy the examples: cp {demo_folder()}/*.toml {folder}/"
            sys.stderr.write(f"{sanitise(said)}\n")


def _version() -> str:
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version("quarterturn")
    except PackageNotFoundError:
        return "of a checkout that is not installed"


def _fail(sentence: str, code: Exit) -> int:
    with contextlib.suppress(OSError, ValueError):
        sys.stdout.flush()
    with contextlib.suppress(OSError, ValueError):
        sys.stderr.write(f"quarterturn: {sanitise(sentence)}\n")
        sys.stderr.flush()
    return code


def _mend_streams() -> None:
    """Let every text be printed: closed streams lead nowhere, and what an encoding lacks becomes an escape."""
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        if stream is None:
            setattr(sys, name, io.StringIO())
        elif isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")


if __name__ == "__main__":
    sys.exit(main())
