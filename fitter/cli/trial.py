"""The command `trial`: plan a fair trial, add its balls, ask for the next one, decide."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from fitter.base.errors import InputError, Problem
from fitter.base.units import Units, parse_quantity
from fitter.cli import remembering, session, work
from fitter.cli.arguments import together
from fitter.display.text import print_json, tell

ACTIONS = ("plan", "add", "next", "result")
TYPED = {
    "club_speed": ("speed", "club_speed_mps"), "ball_speed": ("speed", "ball_speed_mps"),
    "launch": ("angle", "launch_deg"), "spin": ("spin", "spin_rpm"), "carry": ("length", "carry_m"),
    "total": ("length", "total_m"), "side": ("length", "offline_m"),
}  # fmt: skip
"""What can be typed of a ball, with its kind of quantity and channel."""
NOT_KEPT = (
    "action",
    "output",
    "balls_log",
    "ball",
    "feel",
    "json",
    "command",
    "pick",
    "try_",
    "units_said",
    "pain",
    "history",
    "remember",
    "hit_on",
)
"""Options that do not belong to the question."""


def prepare_parser(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    parser.add_argument("action", choices=ACTIONS, help="plan LOG, add TRIAL BALLS, next TRIAL, result TRIAL")
    session.add_log(parser)
    parser.add_argument(
        "balls_log", nargs="?", metavar="BALLS", help="log of the trial's balls, in the order they were hit"
    )
    parser.add_argument("-o", "--output", metavar="TRIAL.json", help="where a plan is kept")
    group = parser.add_argument_group("the trial")
    group.add_argument("--most-balls", type=int, metavar="N", help="most balls (the cap of --effort)")
    group.add_argument("--minutes", type=float, metavar="N", help="most minutes (45)")
    group.add_argument(
        "--effort", default="ordinary", metavar="WHO", help="full, ordinary or slow: sets the cap"
    )
    group.add_argument("--try", dest="try_", action="append", default=[], metavar="ID", help="clubs to try")
    group.add_argument("--pick", default="", metavar="ID", help="your own pick, before the ladder; or keep")
    group.add_argument(
        "--ball", action="append", default=[], metavar="'carry=250yd ...'", help="a ball as typed: "
        + ", ".join(TYPED),
    )  # fmt: skip
    group.add_argument(
        "--feel",
        action="append",
        default=[],
        metavar="'CODE words'",
        help="what the player felt, before numbers",
    )
    group.add_argument(
        "--pain", default="", metavar="WORDS", help="pain, asked at every swap: the trial stops"
    )
    parser.add_argument("--kit", metavar="DIR", help="folder with heads.csv and shafts.csv")
    parser.add_argument("--present", metavar="CLUB", help="CARD.toml, HEAD/SHAFT, HEAD+1/SHAFT (sleeve)")
    session.add_goal(parser)
    session.add_offer(parser)
    session.add_shots(parser)
    session.add_sample(parser)
    remembering.add_history(parser)


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    return {"plan": _plan, "add": _add, "next": _next, "result": _result}[args.action](args)


def _plan(args: argparse.Namespace) -> int:
    lacking = [x for x in ("kit", "present", "output") if not getattr(args, x)]
    if lacking:
        problems = [
            Problem(f"--{x}" if x != "output" else "-o", "nothing", "needed to plan", "Give it.")
            for x in lacking
        ]
        raise InputError("A trial cannot be planned so.", problems)
    begun, units = _start(args), Units(args.units)
    budget = work.plan.Budget.of(args.most_balls, args.minutes, args.effort)
    found = work.course.planned(begun, budget, args.try_)
    _check_pick(args.pick, begun)
    record = work.record.of_plan(found, _asked(args), Path(args.log), args.pick)
    work.record.save(record, Path(args.output))
    _remember(args, record, begun)
    if args.json:
        print_json(work.trial.plan_json(found))
    else:
        print(work.trial.plan(found, begun, units))
    return 0


def _check_pick(pick: str, begun: Any) -> None:
    if pick and pick != "keep" and pick not in begun.belief.ids:
        problem = Problem(
            "--pick", repr(pick), "keep, or the id of an option", "Use an id as rank --json lists it."
        )
        raise InputError("There is no such option to pick.", [problem])


def _asked(args: argparse.Namespace) -> dict[str, Any]:
    """Options of the question, with paths that hold from any folder."""
    kept = {k: v for k, v in vars(args).items() if k not in NOT_KEPT}
    for name in ("log", "kit", "map_file", "assumptions"):
        if kept.get(name):
            kept[name] = str(Path(kept[name]).resolve())
    if kept["present"] and Path(kept["present"]).is_file():
        kept["present"] = str(Path(kept["present"]).resolve())
    return kept


def _start(args: argparse.Namespace, clubs: tuple[str, ...] = ()) -> Any:
    with together("These options cannot be used.") as gather:
        given = session.asked(args, gather)
    question = session.question(args, given)
    session.warn_of_compiling()
    return work.course.start(question, clubs)


def _loaded(args: argparse.Namespace) -> tuple[Any, Any]:
    """The record of a trial, and what is believed before its balls."""
    record = work.record.load(Path(args.log))
    asked = argparse.Namespace(**{**record.asked, "units_said": None})
    try:
        begun = _start(asked, tuple(record.clubs))
    except AttributeError as error:
        problem = Problem(args.log, str(error), "a trial's file as it was written", "Plan the trial anew.")
        raise InputError("This trial cannot go on.", [problem]) from None
    return record, begun


def _add(args: argparse.Namespace) -> int:
    record, begun = _loaded(args)
    for words in args.feel:
        code, _, felt = words.strip().partition(" ")
        record = record.said(code.upper(), felt)
    new = []
    if args.balls_log:
        asked = argparse.Namespace(**record.asked)
        how = {
            "hand": asked.hand,
            "header_map": work.columns.parse_pairs(asked.map) or None,
            "shop_map": asked.map_file,
        }
        shots = work.intake.read(args.balls_log, **how)
        new += work.course.read_balls(record, begun, shots, Path(args.balls_log).name)
    record, known = record.with_balls(new)
    with together("These balls cannot be added.") as gather:
        typed = [gather(_typed, text, args.units) for text in args.ball]
    if typed:
        record, _ = record.with_balls(work.course.typed_balls(record, begun, typed))
    if args.pain:
        record = record.hurt(args.pain)
    work.record.save(record, Path(args.log))
    _remember(args, record, begun)
    found = work.course.next_ball(record, begun)
    if args.json:
        print_json({"added": len(new) - known + len(typed), "known": known, **work.trial.next_json(found)})
        return 0
    again = f" ({known} were there already)" if known else ""
    print(f"{len(new) - known + len(typed)} balls added{again}, {len(record.balls)} in all.")
    print(work.trial.next_ball(found))
    return 0


def _typed(text: str, units: str) -> dict[str, float]:
    found: dict[str, float] = {}
    problems = []
    for word in text.replace(",", " ").split():
        name, _, value = word.partition("=")
        if name not in TYPED or not value:
            problems.append(
                Problem("--ball", repr(word), ", ".join(f"{x}=..." for x in TYPED), "Write NAME=VALUE.")
            )
            continue
        kind, channel = TYPED[name]
        try:
            found[channel] = parse_quantity(value, kind, units, f"--ball {name}")
        except InputError as error:
            problems += error.problems
    if problems or not found:
        raise InputError(
            "That ball is not clear.", problems or [Problem("--ball", repr(text), "a number", "Give one.")]
        )
    return found


def _remember(args: argparse.Namespace, record: Any, begun: Any, ended: bool = False) -> None:
    """Keep the trial as it stands; with its result, what came of its promises too."""
    if not args.remember:
        return
    asked = argparse.Namespace(**{**record.asked, "units_said": None, "recalled": None})
    q, source = begun.decided.asked, remembering.source_of(asked)
    found = work.visit.visit_of(q.session, source, q.measured_at, remembering.day_of(args))
    with remembering.opened(args) as store:
        fittings = store.entries(work.records.Fitting, found.player.code)
        fitting = next((f for f in reversed(fittings) if f.visit == found.visit.digest), None)
        trial, outcomes = work.outcomes.of_trial(record, begun, found.visit, fitting)
        new = found.adding([trial, *(outcomes if ended else ())]).into(store)
        tell(f"{store.path}: {found.player.code}, {new} new {'entry' if new == 1 else 'entries'}.")


def _next(args: argparse.Namespace) -> int:
    record, begun = _loaded(args)
    found = work.course.next_ball(record, begun)
    print_json(work.trial.next_json(found)) if args.json else print(work.trial.next_ball(found))
    return 0


def _result(args: argparse.Namespace) -> int:
    record, begun = _loaded(args)
    if not any(not b.aside for b in record.balls):
        problem = Problem(args.log, "no ball that counts", "balls with a club of the trial", "Use trial add.")
        raise InputError("There is nothing to decide yet.", [problem])
    found = work.course.outcome(record, begun)
    _remember(args, record, begun, ended=True)
    if args.json:
        print_json(
            {
                **work.trial.result_json(found, record, begun),
                **work.trial.next_json(work.course.next_ball(record, begun)),
            }
        )
    else:
        print(work.trial.result(found, record, begun, Units(args.units)))
    return 0
