"""Fit a golf driver: from a session's shots to a change that holds up on the course."""

from __future__ import annotations

import argparse
import io
import os
import sys
from collections.abc import Sequence
from contextlib import AbstractContextManager, nullcontext
from importlib import import_module
from typing import Any

from fitter import __version__
from fitter.base.errors import EXIT_DONE, EXIT_INPUT, FitterError
from fitter.cli import work
from fitter.cli.arguments import join_negatives

EXIT_INTERRUPTED = 130
"""As shells report Ctrl-C."""
EXIT_FAULT = 1
"""An error that nobody foresaw."""

COMMANDS: dict[str, str] = {
    "rank": "rank changes of head, shaft and set-up for one player's session",
    "compare": "clubs that were actually hit, against each other",
    "trial": "a fair trial: plan it, add its balls, ask for the next one, decide",
    "reach": "club speed that a distance needs, and what the gap is made of",
    "progress": "a player's visits over months in one air: what changed, why, and at which pace",
    "history": "the shop's memory: players, visits, what was promised and what came of it",
    "sheet": "print the recommendation for one player on one page",
    "batch": "score many sessions: one line a player, and what to do first",
    "read": "say what a log holds: columns, shots, misreads",
    "fly": "fly one ball to rest",
    "strike": "strike one ball",
    "shaft": "bench figures of a shaft in a club",
    "build": "bench sheet of a club to build; read a built one back",
    "kit": "check the shop's kit: errors, and what missing figures cost",
    "assumptions": "every judged number with its spread, source and standing",
    "demo": "the main job on the demo data: the terminal UI, or a print-out",
}
"""Commands, one module each under fitter.cli, and what they do."""


def build_parser(only: str | None = None) -> argparse.ArgumentParser:
    """Parser with every command; only the one that runs gets its options, so that help stays quick."""
    parser = argparse.ArgumentParser(
        prog="fitter",
        description=f"{__doc__} Without a command, on a terminal, the terminal UI opens.",
        epilog="Warm up, stop on pain, check clubs and net; local rules and licensed practice first.",
    )
    parser.add_argument("--version", action="version", version=f"fitter {__version__}")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND")
    for name, words in COMMANDS.items():
        sub = commands.add_parser(name, help=words, description=words[0].upper() + words[1:] + ".")
        if name == only:
            sub.add_argument("--json", action="store_true", help="print one JSON object")
            sub.add_argument(
                "--units",
                choices=("us", "metric"),
                default="us",
                action=_Said,
                help="of bare numbers of this command and of what is printed (us); if given, also of "
                "a log's speeds and distances whose unit nothing else tells",
            )
            sub.set_defaults(units_said=None)
            sub.add_argument(
                "--assumptions", metavar="FILE", help="judged numbers of your own (TOML) over the usual ones"
            )
            import_module(f"fitter.cli.{name}").prepare_parser(sub)
    return parser


class _Said(argparse.Action):
    """Keep an option's value, and that somebody gave it."""

    def __call__(self, parser: Any, namespace: argparse.Namespace, values: Any, option: Any = None) -> None:
        setattr(namespace, self.dest, values)
        setattr(namespace, f"{self.dest}_said", values)


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command.

    Parameters
    ----------
    argv : sequence of str, optional
        Words after the program's name.

    Returns
    -------
    int
        0 done, 2 bad input or usage, 3 the data cannot carry the answer.
    """
    words = join_negatives(sys.argv[1:] if argv is None else argv)
    only = next((w for w in words if w in COMMANDS), None)
    parser = build_parser(only)
    try:
        args = parser.parse_args(words)
    except SystemExit as stop:
        return int(stop.code or 0)
    if args.command is None:
        if on_terminal():
            return work.tui.open_app()
        parser.print_help(sys.stderr)
        return EXIT_INPUT
    try:
        with judged(args.assumptions):
            return int(import_module(f"fitter.cli.{args.command}").run(args) or EXIT_DONE)
    except FitterError as error:
        print(error, file=sys.stderr)
        return error.exit_code
    except OSError as error:
        if error.filename is None:
            raise
        print(f"{error.filename}: {error.strerror or error}", file=sys.stderr)
        return EXIT_INPUT


def judged(file: str | None) -> AbstractContextManager[object]:
    """Judged numbers of a file in force, over the usual ones; nothing changes without a file."""
    if file is None:
        return nullcontext()
    return work.assumptions.using(work.sources.layered(work.assumptions.defaults(), file))


def on_terminal() -> bool:
    """Whether a person sits at both ends, so that the terminal UI can open: it is drawn on stderr."""
    streams = sys.stdin, sys.stdout, sys.stderr
    return all(stream is not None and stream.isatty() for stream in streams)


def script() -> None:
    """Entry point: whatever happens ends in a sentence and an exit code, never in a traceback."""
    if sys.stderr is None:
        sys.stderr = open(os.devnull, "w")  # noqa: SIM115
    if sys.stdout is None:
        print("There is no standard output to write to.", file=sys.stderr)
        sys.exit(EXIT_INPUT)
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="backslashreplace")
    try:
        code = main()
        sys.stdout.flush()
    except KeyboardInterrupt:
        code = EXIT_INTERRUPTED
    except BrokenPipeError:
        _let_go()
        code = EXIT_DONE
    except OSError as error:
        print(f"The output cannot be written: {error.strerror or error}", file=sys.stderr)
        _let_go()
        code = EXIT_INPUT
    except Exception as error:
        if os.environ.get("FITTER_TRACEBACK"):
            raise
        print(
            f"This is a fault of fitter itself, not of your input: {type(error).__name__}: {error}. "
            "Set FITTER_TRACEBACK=1 to see where.",
            file=sys.stderr,
        )
        code = EXIT_FAULT
    sys.exit(code)


def _let_go() -> None:
    """Send what is left of the output nowhere, so that the end of Python does not try it again."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
