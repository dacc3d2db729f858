"""The command `progress`: a player's visits over months."""

from __future__ import annotations

import argparse
from pathlib import Path

from fitter.base.errors import InputError, Problem, raise_if
from fitter.base.files import refuse_overwriting, unwritable, write_whole
from fitter.base.units import Units
from fitter.cli import remembering, visits, work
from fitter.cli.arguments import add_conditions, conditions, maybe, together
from fitter.cli.session import warn_of_compiling
from fitter.display.text import print_json, tell

PICTURES, PAGES = (".png",), (".pdf", ".md")


def prepare_parser(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    parser.add_argument("player", nargs="?", default="", metavar="PLAYER", help="code of the player")
    visits.add_visits(parser, required=False)
    remembering.add_history(parser, remember=False)
    parser.add_argument("--towards", metavar="X", help="carry that is worked towards, such as 290yd")
    parser.add_argument("--picture", metavar="FILE.png", help="write pace and causes as a picture")
    parser.add_argument("-o", "--output", metavar="FILE", help="a page for the player: file.pdf or file.md")
    parser.add_argument(
        "--draws", type=int, default=256, metavar="N", help="draws of what is not known (256)"
    )
    parser.add_argument("--seed", type=int, default=1, metavar="N", help="the same seed, the same answer")
    add_conditions(parser)


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    with together("These options cannot be used.") as gather:
        place = gather(conditions, args)
        towards = gather(maybe, args, "towards", "length")
        outputs = gather(_outputs, args)
        gather(_sample, args)
        found = gather(visits.before, args)
    if args.measured_in is not None:
        tell(f"Note: --measured-in changes nothing here: {visits.FILE} says in which air each visit was hit.")
    warn_of_compiling()
    answer = work.progress.progress(found, place, towards, args.draws, args.seed)
    units = Units(args.units)
    for path in outputs:
        page = work.months.content(answer, units)
        suffix = path.suffix.casefold()
        write_whole(
            path,
            work.months.markdown(page).encode()
            if suffix == ".md"
            else work.months.pdf(page)
            if suffix == ".pdf"
            else work.months.png(page),
        )
    if args.json:
        print_json(work.progressed.data(answer))
    else:
        print(work.progressed.text(answer, units))
    for path in outputs:
        tell(f"{path}: written.")
    return 0


def _outputs(args: argparse.Namespace) -> list[Path]:
    """Files to be written.

    Raises
    ------
    InputError
        If a suffix is not known, a file cannot be written, or is one of those that are read.
    """
    problems: list[Problem] = []
    found: list[tuple[str, Path]] = []
    for where, text, allowed in (("--picture", args.picture, PICTURES), ("-o", args.output, PAGES)):
        if text is None:
            continue
        path = Path(text)
        if path.suffix.casefold() not in allowed:
            do = "End the name with one of these."
            problems.append(Problem(where, repr(text), ", ".join(allowed), do))
        problems += unwritable(where, path)
        found.append((where, path))
    raise_if(problems, "The picture or the page cannot be written there.")
    there = Path(args.visits).glob("*") if args.visits is not None else ()
    refuse_overwriting(found, [("the visits'", file) for file in there])
    return [path for _, path in found]


def _sample(args: argparse.Namespace) -> None:
    if not 32 <= args.draws <= 4096:
        problem = Problem("--draws", str(args.draws), "32 to 4096", "256 is enough for most players.")
        raise InputError("That number of draws cannot be used.", [problem])
