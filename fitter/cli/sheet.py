"""The command `sheet`: the recommendation on one page of paper."""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fitter.base.errors import InputError, Problem, raise_if
from fitter.base.files import unwritable, write_whole
from fitter.base.units import Units
from fitter.cli import rank, remembering, work
from fitter.cli.arguments import together
from fitter.cli.session import check_outputs
from fitter.display.text import print_json, tell

if TYPE_CHECKING:
    from fitter.advice.question import Question
    from fitter.advice.result import Ranking

SUFFIXES = (".pdf", ".png", ".md")


def prepare_parser(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command: those of `rank`, and what is printed where."""
    rank.prepare_parser(parser)
    group = parser.add_argument_group("the sheet")
    group.add_argument(
        "-o", "--output", metavar="FILE", help="file.pdf, file.png (first page) or file.md (Markdown)"
    )
    group.add_argument("--paper", choices=("a4", "letter"), default="a4", help="size of the page (a4)")
    group.add_argument("--card", action="store_true", help="half a page, for a club night")
    group.add_argument(
        "--evidence", action="store_true", help="a second page: all shots, flags, assumptions that mattered"
    )
    group.add_argument("--markdown", action="store_true", help="Markdown, on stdout without -o")
    group.add_argument(
        "--chosen", default="", metavar="ID", help="the option that was chosen, or keep, if not the named one"
    )
    group.add_argument("--why", default="", metavar="WORDS", help="why it was chosen")
    group.add_argument(
        "--fonts", default="", metavar="DIR", help="folder with fonts for scripts that the built-in ones lack"
    )


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    with together("The sheet cannot be written.") as gather:
        path = gather(_path, args)
        gather(_fitting, args)
        gather(check_outputs, args)
    with remembering.recalled(args):
        ranking, asked = _answer(args)
        remembering.keep(args, ranking, asked, args.chosen, args.why)
    question = ranking.question
    found = work.content.content(
        ranking,
        ranking.shots,
        work.content.Settings(
            metric=args.units == "metric",
            where=question.conditions,
            there=question.measured_in,
            chosen=args.chosen,
            why=args.why,
            evidence=args.evidence,
            flags=tuple(work.shots.flags_on_paper(ranking.shots, Units(args.units))),
            local_length_rule=args.local_length_rule,
        ),
    )
    if args.json:
        print_json(found)
    if path is None:
        if not args.json:
            print(work.markdown.markdown(found), end="")
        return 0
    write_whole(path, _rendered(found, path, args))
    (tell if args.json else print)(f"{path}: written.")
    return 0


def _answer(args: argparse.Namespace) -> tuple[Ranking, Question]:
    """Ranking in which the chosen option is predicted in full, and its question."""
    if args.chosen not in ("", "keep"):
        args.option = [*args.option, args.chosen]
    try:
        return rank.answer(args)
    except InputError as error:
        raise InputError(
            error.message,
            [
                replace(p, where="--chosen") if (p.where, p.found) == ("--option", repr(args.chosen)) else p
                for p in error.problems
            ],
        ) from error


def _rendered(found: dict[str, Any], path: Path, args: argparse.Namespace) -> bytes:
    if args.markdown or path.suffix.casefold() == ".md":
        return work.markdown.markdown(found).encode()
    paper = work.render.Paper(args.paper, "card" if args.card else "sheet", args.fonts)
    return (
        work.render.png(found, paper) if path.suffix.casefold() == ".png" else work.render.pdf(found, paper)
    )


def _path(args: argparse.Namespace) -> Path | None:
    """Where the sheet goes; None for stdout.

    Raises
    ------
    InputError
        If nothing says where, the suffix is not known or no file can be written there.
    """
    if args.output is None:
        if args.markdown or args.json:
            return None
        problem = Problem("-o", "nothing", "FILE.pdf, FILE.png or FILE.md", "Say where, or add --markdown.")
        raise InputError("The sheet needs a file.", [problem])
    path = Path(args.output)
    problems: list[Problem] = []
    allowed = (".md", ".txt") if args.markdown else SUFFIXES
    if path.suffix.casefold() not in allowed:
        do = "End the name with one of these."
        problems.append(
            Problem("-o", f"the suffix {path.suffix!r} of {args.output!r}", ", ".join(allowed), do)
        )
    raise_if(problems + unwritable("-o", path), "The sheet cannot be written there.")
    return path


def _fitting(args: argparse.Namespace) -> None:
    """Refuse options that exclude one another."""
    problems = []
    if args.why and not args.chosen:
        problems.append(Problem("--why", repr(args.why), "with --chosen", "Say what was chosen too."))
    if args.card and args.evidence:
        problems.append(Problem("--card", "--evidence too", "one of the two", "Leave one out."))
    if args.output and Path(args.output).suffix.casefold() == ".png" and args.evidence:
        problems.append(Problem("--evidence", "a .png", "a .pdf or .md", "A picture holds one page."))
    if args.fonts and not Path(args.fonts).is_dir():
        problems.append(
            Problem("--fonts", repr(args.fonts), "a folder with .ttf or .otf files", "Mend the path.")
        )
    raise_if(problems, "These options do not go together.")
