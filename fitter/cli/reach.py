"""The command `reach`: the club speed that a distance needs."""

from __future__ import annotations

import argparse

from fitter.base.errors import EXIT_DATA, EXIT_DONE
from fitter.base.units import Units
from fitter.cli import remembering, session, visits, work
from fitter.cli.arguments import quantity, together
from fitter.display.text import print_json, tell


def prepare_parser(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    parser.add_argument("distance", metavar="DISTANCE", help="such as 280yd or 256m")
    session.add_log(parser, "--from")
    parser.add_argument("--kit", metavar="DIR", help="folder with heads.csv and shafts.csv, for equipment")
    parser.add_argument(
        "--present", default="unknown", metavar="CLUB", help="as for rank; unknown when silent"
    )
    parser.add_argument(
        "--as", dest="measure", default="carry", metavar="WHAT", help="carry or total (carry)"
    )
    parser.add_argument(
        "--count", default="typical", metavar="WHICH", help="typical or best-of-N (typical: the mean ball)"
    )
    parser.add_argument(
        "--grid", metavar="WIDTHxDEPTH", help="for best-of-N: only balls within the width count (60yd)"
    )
    visits.add_visits(parser, required=False)
    remembering.add_history(parser, remember=False)
    session.add_offer(parser)
    session.add_shots(parser)
    session.add_sample(parser)


def run(args: argparse.Namespace) -> int:
    """Run the command; 3 if the distance cannot be reached."""
    with together("These options cannot be used.") as gather:
        given = session.asked(args, gather)
        distance = gather(quantity, args, "distance", "length")
        asked = args.visits is not None or args.history is not None
        came = gather(visits.before, args) if asked else []
        size = gather(session.grid, args.grid, args.units) if args.grid else {}
    question = session.question(args, given)
    if args.grid and args.count == "typical":
        tell("Note: --grid changes nothing without --count best-of-N: the typical ball has no width.")
    session.warn_of_compiling()
    found = work.reach.reach(
        question, distance, args.measure, args.count, size.get("grid_width_m"), progress=session.progress()
    )
    way = work.progress.way(came, found.present.speed, found.present.speed_now_mps) if came else None
    if args.json:
        more = {} if way is None else {"progress": work.pace.way_data(*way)}
        print_json(work.serialise.reach(found) | more)
    else:
        print(work.reached.text(found, Units(args.units)))
        if way is not None:
            print("\n".join(work.pace.way_text(*way, Units(args.units))))
    return EXIT_DATA if found.present.speed.expected is None else EXIT_DONE
