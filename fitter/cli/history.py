"""The command `history`: who is remembered, what came of it, and how it leaves the house."""

from __future__ import annotations

import argparse
from collections import Counter
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec

from fitter.base.errors import InputError, Problem, raise_if
from fitter.base.units import Units, counted, parse_quantity
from fitter.cli import forgetting, imported, remembering, work
from fitter.display.text import clean, print_json, tell, wrap

if TYPE_CHECKING:
    from fitter.history.records import Fitting
    from fitter.history.store import Store

ACTIONS = {
    "players": (0, 0, ""),
    "show": (1, 1, "PLAYER"),
    "sessions": (0, 1, "[PLAYER]"),
    "note": (1, 1, "PLAYER with --words, --hand or --health"),
    "choose": (1, 1, "PLAYER with --option and --why"),
    "tell": (1, 1, "PLAYER with --option, --gain and --within"),
    "learned": (1, 1, "PLAYER"),
    "calibration": (0, 0, ""),
    "remove": (2, 2, "PLAYER KEY"),
    "erase": (1, 1, "PLAYER"),
    "export": (1, None, "FOLDER [PLAYER ...]"),
    "import": (1, None, "FOLDER ..."),
    "backup": (1, 1, "FILE"),
}
"""Words after the command: fewest, most, and what they are."""
LONGEST_CODE = 60
READS = ("players", "show", "sessions", "learned", "calibration", "export", "backup")


def prepare_parser(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    told = "; ".join(f"{name} {words}".rstrip() for name, (_, _, words) in ACTIONS.items())
    parser.add_argument("action", choices=ACTIONS, metavar="ACTION", help=told)
    parser.add_argument("what", nargs="*", metavar="WORD", help="what the action is about")
    remembering.add_history(parser, remember=False)
    group = parser.add_argument_group("what is written down")
    group.add_argument("--words", metavar="WORDS", help="note: the shop's words about a player")
    group.add_argument("--hand", choices=("right", "left"), help="note: the player's hand")
    group.add_argument(
        "--health", action="append", default=[], metavar="'WHAT: WORDS'",
        help="note: what the player chooses to tell of health; kept here alone, erased with the player",
    )  # fmt: skip
    group.add_argument("--option", metavar="ID", help="choose, tell: the option, or keep")
    group.add_argument("--why", default="", metavar="WORDS", help="choose: the reason")
    group.add_argument("--gain", metavar="X", help="tell: gain of carry that was measured: 5yd")
    group.add_argument("--within", metavar="X", help="tell: half width of its 80 %% interval: 3yd")
    group.add_argument(
        "--visit", default="", metavar="DAY", help="choose, tell: of which visit, if not the last"
    )
    group.add_argument("--yes", action="store_true", help="erase, remove: it is meant")


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    least, most, words = ACTIONS[args.action]
    if not least <= len(args.what) <= (len(args.what) if most is None else most):
        found = " ".join(args.what) or "nothing"
        problem = Problem(f"history {args.action}", found, words or "nothing more", "Write it so.")
        raise InputError(f"`history {args.action}` takes other words.", [problem])
    with remembering.opened(args, read_only=args.action in READS) as store:
        _RUN[args.action](args, store)
    return 0


def _players(args: argparse.Namespace, store: Store) -> None:
    found, counts, last = store.players(), store.counts(), store.last_days()
    if args.json:
        rows = [
            {**work.remembered.data(p), "entries": counts.get(p.code, {}), "last": last.get(p.code)}
            for p in found
        ]
        print_json({"history": str(store.path), "players": rows})
    else:
        print(work.remembered.players(found, counts, last))


def _show(args: argparse.Namespace, store: Store) -> None:
    who, r = store.known(args.what[0]), work.records
    if args.json:
        groups = {f"{kind}s": store.entries(cls, who.code) for kind, cls in r.KINDS.items()}
        print_json(work.remembered.data({"player": who, **groups}))
        return
    came, decided = store.entries(r.Visit, who.code), store.entries(r.Fitting, who.code)
    trials, outcomes = store.entries(r.Trial, who.code), store.entries(r.Outcome, who.code)
    print(work.remembered.player(who, came, decided, trials, outcomes, Units(args.units)))


def _sessions(args: argparse.Namespace, store: Store) -> None:
    code = store.known(args.what[0]).code if args.what else None
    found = store.entries(work.records.Visit, code)
    if args.json:
        print_json({"sessions": work.remembered.data(found)})
    else:
        print(work.remembered.visits(found, Units(args.units), with_player=code is None))


def _note(args: argparse.Namespace, store: Store) -> None:
    who = store.player(args.what[0]) or work.records.Player(code=_code(args.what[0]))
    health = dict(who.health)
    for text in args.health:
        what, _, words = text.partition(":")
        if not words.strip():
            problem = Problem("--health", repr(text), "'WHAT: WORDS', such as 'back: stiff'", "Write both.")
            raise InputError("That is not clear.", [problem])
        health[what.strip()] = words.strip()
    new = {"note": args.words, "hand": args.hand}
    new = {k: v for k, v in new.items() if v is not None}
    store.write_player(msgspec.structs.replace(who, health=health, **new))
    read = {v.day: v.reading.get("hand") for v in store.entries(work.records.Visit, who.code)}
    other = [day for day, hand in read.items() if args.hand and hand and hand != args.hand]
    if other:
        tell(f"Note: the shots of {', '.join(other[-3:])} were read as of the other hand; they stay so.")
    _said(args, f"{store.path}: {who.code}, written.", {"player": who})


def _code(text: str) -> str:
    """Code of a new player: short, and printable."""
    if not text.strip() or not text.isprintable() or len(text) > LONGEST_CODE:
        problem = Problem("PLAYER", repr(text[:60]), f"1 to {LONGEST_CODE} printable letters", "Shorten it.")
        raise InputError("That is no code of a player.", [problem])
    return text


def _decision(args: argparse.Namespace, store: Store) -> Fitting:
    """Last decision of a player, or that of a visit."""
    code = store.known(args.what[0]).code
    every = store.entries(work.records.Fitting, code)
    found = [f for f in every if not args.visit or f.day == args.visit or f.digest.startswith(args.visit)]
    if not found:
        told = ", ".join(f.day for f in every) or "none is remembered"
        problem = Problem("--visit", repr(args.visit or "the last"), told, "Name one of these days.")
        raise InputError("There is no such decision.", [problem])
    return found[-1]


def _option(args: argparse.Namespace, fitting: Fitting) -> str:
    known = [p.option for p in fitting.promises]
    if args.option is None or args.option not in (*known, "keep"):
        problem = Problem("--option", repr(args.option), ", ".join((*known, "keep")), "Name one of these.")
        raise InputError("There is no such option in that decision.", [problem])
    return str(args.option)


def _choose(args: argparse.Namespace, store: Store) -> None:
    fitting = _decision(args, store)
    new = msgspec.structs.replace(fitting, chosen=_option(args, fitting), why=args.why)
    store.remember(store.known(fitting.player), [new], renew=True)
    _said(args, f"{store.path}: {fitting.player}, {fitting.day}: chosen {new.chosen}.", {"fitting": new})


def _tell(args: argparse.Namespace, store: Store) -> None:
    fitting = _decision(args, store)
    promise = fitting.promise(_option(args, fitting))
    given = {"--option (not keep)": promise, "--gain": args.gain, "--within": args.within}
    problems = [
        Problem(x, "nothing", "what was measured, see --help", "Give it.")
        for x, v in given.items()
        if v is None
    ]
    raise_if(problems, "That outcome is not complete.")
    assert promise is not None
    gain, half = (
        parse_quantity(getattr(args, x), "length", args.units, f"--{x}") for x in ("gain", "within")
    )
    a = work.assumptions.current()
    most, least = a.value("history.farthest_m"), a.value("history.nearest_m")
    if not (abs(gain) <= most and least <= half <= most):
        said = f"--gain {args.gain}, --within {args.within}"
        allowed = f"at most {most:g} m, within {least:g} to {most:g} m"
        problem = Problem("history tell", said, allowed, "Check the numbers.")
        raise InputError("That outcome cannot be.", [problem])
    found = work.outcomes.told(fitting, promise, gain, half, date.today())
    # Told again, it takes the place of what was told of this option before.
    store.remember(store.known(fitting.player), [found], renew=True)
    _said(args, wrap(work.remembered.outcome(found, Units(args.units))), {"outcome": found})


def _learned(args: argparse.Namespace, store: Store) -> None:
    who = store.known(args.what[0])
    taught = work.learning.lessons_of(store.entries(work.records.Outcome, who.code))
    found = work.learning.learned(taught, work.assumptions.current())
    if args.json:
        print_json({"player": who.code, "lessons": len(taught), "learned": found})
    else:
        print(work.remembered.learned(found, who.code))


def _calibration(args: argparse.Namespace, store: Store) -> None:
    found = work.calibration.calibration(store.entries(work.records.Outcome))
    if args.json:
        kinds = [{**work.text.plain(h), "reading": h.verdict} for h in found.kinds]
        print_json({"channel": found.channel, "kinds": kinds, "picks": found.picks})
    else:
        print(work.remembered.calibration(found, Units(args.units)))


def _remove(args: argparse.Namespace, store: Store) -> None:
    who = store.known(args.what[0])
    going = work.erase.chosen(store, who.code, args.what[1])
    told = work.remembered.counts(Counter(map(work.records.kind_of, going)))
    if not args.yes:
        problem = Problem("--yes", "nothing", "--yes", "Add --yes if that is meant.")
        words = f"{work.remembered.entry(going[0])} of {who.code} would be erased for good: {told}."
        raise InputError(words, [problem])
    gone = work.erase.remove(store, who.code, going)
    _said(args, wrap(f"Erased of {who.code}: {told}."), {"player": who.code, "entries": gone})


def _erase(args: argparse.Namespace, store: Store) -> None:
    if store.player(args.what[0]) is None:
        # An erasure that a reader was in the way of is ended here.
        work.erase.sweep(store)
        places = forgetting.forget(args.what[0])
        if places:
            text = "\n".join(
                [f"{args.what[0]} was erased before.", *(f"   cleared now: {p}" for p in places)]
            )
            _said(args, text, {"erased": args.what[0], "entries": {}, "files": [str(p) for p in places]})
            return
    who = store.known(args.what[0])
    forgetting.refuse_open(who.code)
    if not args.yes:
        do = "Add --yes if that is meant; `history export` keeps a copy first."
        problem = Problem("--yes", "nothing", "--yes", do)
        raise InputError(f"Everything of {who.code} would be erased for good.", [problem])
    try:
        counts = work.erase.erase(store, who.code)
    finally:
        places = forgetting.forget(who.code)
    if args.json:
        print_json({"erased": who.code, "entries": counts, "files": [str(p) for p in places]})
    else:
        told = work.remembered.counts(counts) or "no entries"
        print(wrap(f"{who.code} is erased: {told}. {work.remembered.COVERS}"))
        for place in places:
            print(f"   cleared too: {place}")


def _export(args: argparse.Namespace, store: Store) -> None:
    homes = work.transfer.export(store, Path(args.what[0]), args.what[1:])
    text = "\n".join(f"{home}: written." for home in homes) or "Nobody is remembered."
    _said(args, text, {"folders": [str(home) for home in homes]})


def _import(args: argparse.Namespace, store: Store) -> None:
    found = [(folder, *imported.bring_in(store, Path(folder), args.units)) for folder in args.what]
    lines = (f"{folder}: {code}, {counted(new, 'new entry', 'new entries')}." for folder, code, new in found)
    rows = [{"folder": folder, "player": code, "new": new} for folder, code, new in found]
    _said(args, "\n".join(lines), {"imported": rows})


def _backup(args: argparse.Namespace, store: Store) -> None:
    size = work.transfer.backup(store, Path(args.what[0]))
    _said(args, f"{args.what[0]}: written, {work.sources.size(size)}.", {"file": args.what[0], "bytes": size})


def _said(args: argparse.Namespace, text: str, data: dict[str, object]) -> None:
    """Print what was done."""
    print_json(work.remembered.data(data)) if args.json else print("\n".join(map(clean, text.split("\n"))))


_RUN = {
    "players": _players, "show": _show, "sessions": _sessions, "note": _note, "choose": _choose,
    "tell": _tell, "learned": _learned, "calibration": _calibration, "remove": _remove,
    "erase": _erase, "export": _export, "import": _import, "backup": _backup,
}  # fmt: skip
