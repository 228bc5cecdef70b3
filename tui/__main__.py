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

from model.errors import ModelError, NotUnderstood, StoreError
from tui.commands import COMMANDS, Command
from tui.exits import CommandError, Exit, drop_output
from tui.text.sanitise import sanitise

if TYPE_CHECKING:
    from tui.commands.parser import Parser

_ABOUT = "A notebook for builders of small hot-air (Stirling) engines."
_EXAMPLES = """examples:
  quarterturn --demo            try it on a copy of three invented prototypes
  quarterturn projects          open a folder of project files
  quarterturn projects --text   the same, line by line
  quarterturn help predict      what a command takes"""


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line and return the exit code."""
    arguments = list(sys.argv[1:] if argv is None else argv)
    _mend_streams()
    try:
        code = _ended(arguments)
        sys.stdout.flush()
        return code
    except BrokenPipeError:
        drop_output()
        return Exit.PIPE_CLOSED
    except KeyboardInterrupt:
        return _fail("stopped.", Exit.INTERRUPTED)
    except CommandError as error:
        return _fail(str(error), error.code)
    except NotUnderstood as error:
        return _fail(str(error), Exit.USAGE)
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


def _ended(arguments: list[str]) -> int:
    """Run the command line; ``--help`` ends by an exception of the parser's."""
    try:
        return int(_dispatch(arguments))
    except SystemExit as exit_:
        return exit_.code if isinstance(exit_.code, int) else Exit.OK


def _dispatch(arguments: list[str]) -> int:
    if arguments and arguments[0] == "help":
        arguments = [*arguments[1:2], "--help"]
    for command in COMMANDS:
        if arguments and arguments[0] == command.word:
            return _run(command, arguments[1:])
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
    if options.demo and options.folder is not None:
        parser.error("--demo opens a folder of its own; name none")
    if options.text:
        from tui.commands import listed

        return listed.run(options)
    if options.json:
        parser.error("--json needs --text or a command")
    return _open_screens(options.folder, demo=options.demo)


def _run(command: Command, arguments: list[str]) -> int:
    """Run one command."""
    import argparse

    from tui.commands.parser import Parser

    module = importlib.import_module(command.module)
    parser = Parser(
        prog=f"quarterturn {command.word}",
        description=f"{command.help.capitalize()}.",
        formatter_class=argparse.RawDescriptionHelpFormatter,
        epilog=f"example:\n  quarterturn {command.word} {command.example}",
    )
    module.arguments(parser)
    return int(module.run(parser.parse_args(arguments)))


def _screens_parser() -> Parser:
    import argparse

    from tui.commands.parser import Parser

    commands = "\n".join(f"  {command.word:<9}{command.help}" for command in COMMANDS)
    exits = "\n".join(f"  {code.value:<5}{code.meaning}" for code in Exit)
    parser = Parser(
        prog="quarterturn",
        usage="quarterturn [FOLDER | --demo] [--text [--json]]\n       quarterturn COMMAND ...",
        description=_ABOUT,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        epilog=f"commands (each has its own --help):\n{commands}\n\nexit codes:\n{exits}\n\n{_EXAMPLES}",
    )
    parser.add_argument(
        "folder",
        metavar="FOLDER",
        nargs="?",
        type=Path,
        help="the notebook to open, a folder of project files; without it your own, made at first use",
    )
    parser.add_argument("--demo", action="store_true", help="open a copy of the examples, in a folder of its own")
    parser.add_argument("--text", action="store_true", help="print the list line by line in place of the screens")
    parser.add_argument("--json", action="store_true", help="with --text: print one object as JSON")
    parser.add_argument("-V", "--version", action="store_true", help="print the version")
    return parser


def _strange(arguments: list[str], rest: list[str]) -> str:
    """Say what is wrong with words that nothing takes, and what may have been meant."""
    from tui.commands.folders import near_command

    near = near_command(arguments[0])
    meant = f"; did you mean {near}?" if near else ""
    return f"not understood: {' '.join(rest)}{meant}"


def _open_screens(named: Path | None, *, demo: bool = False) -> int:
    """Open a notebook on the screen."""
    from tui.commands.folders import demo_notebook, notebook_folder, own_notebook
    from tui.host.terminal import refusal

    folder = None if named is None else notebook_folder(named)
    reason = refusal()
    if reason is not None:
        raise CommandError(reason, code=Exit.NO_TERMINAL)
    if folder is None:
        folder = demo_notebook() if demo else own_notebook()
    from tui.app import run

    return run(folder)


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
