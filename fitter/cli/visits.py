"""A player's visits out of a folder: visits.toml, and one log a visit."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fitter.base.conditions import Conditions
from fitter.base.errors import FitterError, InputError, Problem, raise_if
from fitter.cli import remembering, work
from fitter.cli.arguments import air, together

if TYPE_CHECKING:
    from fitter.kit.club import Club
    from fitter.kit.inventory import Kit
    from fitter.progress.visits import Hit
    from fitter.shots.session import Session

FILE = "visits.toml"
TOP = {"player": str, "hand": str, "kit": str, "anchor": str, "visit": list}
ENTRY = {
    "day": date, "log": str, "club": str, "air": str, "anchor_log": str, "device": str, "reading": dict,
}  # fmt: skip
READING = {"player": str, "hand": str, "map": dict, "set": list, "aside": list, "club": str, "sheet": str}
"""Keys of the file, and what may stand under them."""
MOST = 200
"""Visits of one player."""


def add_visits(parser: argparse.ArgumentParser, required: bool = True) -> None:
    """Add where the visits come from."""
    parser.add_argument(
        "--visits", required=required, metavar="FOLDER",
        help="folder with visits.toml and one log a visit: what was hit on which day, in which air",
    )  # fmt: skip


@dataclass(frozen=True)
class Told:
    """One visit of the folder: what was hit, and from which files.

    Parameters
    ----------
    hit : Hit
    log : Path
    reading : dict
        Keyword arguments of `intake.read`, and 'aside'.
    kit : Path or None
    club, anchor : str
        In words; the path of a card.
    """

    hit: Hit
    log: Path
    reading: dict[str, Any]
    kit: Path | None
    club: str
    anchor: str


def before(args: argparse.Namespace) -> list[Hit]:
    """Visits that a command names: those of a folder, else those of the player who is remembered.

    Raises
    ------
    InputError
        If it names neither a folder nor a player, or they cannot be read.
    """
    if args.visits is not None:
        return hits(args.visits, args.player or "", args.units)
    if not args.player:
        do = "Name a player who is remembered, or a folder with --visits."
        raise InputError("There are no visits.", [Problem("the player", "none", "a player or --visits", do)])
    with remembering.opened(args, read_only=True) as store:
        return work.hits.hits(store, args.player)


def hits(folder: str, player: str, units: str) -> list[Hit]:
    """Visits of a player, see `told`."""
    return [t.hit for t in told(folder, player, units)]


def told(folder: str, player: str, units: str) -> list[Told]:
    """Visits of a player, with their files.

    Parameters
    ----------
    folder : str
    player : str
        Code of the player; '' for whoever the folder is about.
    units : {'us', 'metric'}
        Of bare numbers of the air.

    Raises
    ------
    InputError
        With every fault of the folder's file and of its logs.
    """
    home = Path(folder)
    file = home / FILE
    data = work.sources.toml(file, "a file of visits, see the README")
    problems: list[Problem] = []
    _check(data, TOP, FILE, problems)
    entries = data.get("visit", [])
    if not problems and not 1 <= len(entries) <= MOST:
        do = "Write a table [[visit]] for each."
        problems.append(Problem(FILE, f"{len(entries)} visits", f"1 to {MOST}", do))
    named = str(data.get("player", ""))
    if player and named and player.casefold() != named.casefold():
        problems.append(Problem("PLAYER", repr(player), named, f"{file} is about this player."))
    raise_if(problems, f"{file} cannot be used.")
    found: list[Told] = []
    with together(f"The visits of {file} cannot be used.") as gather:
        kit = gather(work.inventory.Kit.load, home / data["kit"]) if "kit" in data else None
        anchor = gather(_club, home, kit, data["anchor"], f"{FILE}, anchor") if "anchor" in data else None
        for k, entry in enumerate(entries, 1):
            gather(_one, found, home, data | {"player": player or named}, entry, k, kit, anchor, units)
    return found


def _check(table: Any, wanted: Mapping[str, type], where: str, problems: list[Problem]) -> None:
    """Complain of keys that are not known and of values of another kind."""
    if not isinstance(table, dict):
        problems.append(Problem(where, repr(table), "a table", "Write a table."))
        return
    for key, value in table.items():
        if key not in wanted:
            problems.append(Problem(where, f"the key {key!r}", ", ".join(wanted), "Mend the key."))
        elif not isinstance(value, wanted[key]):
            kind = {str: "words in quotation marks", date: "a day such as 2026-03-14", dict: "a table"}
            allowed = kind.get(wanted[key], "a list")
            problems.append(Problem(f"{where}, {key}", repr(value), allowed, "Mend the value."))


def _one(
    found: list[Told], home: Path, data: dict[str, Any], entry: Any, number: int, kit: Kit | None,
    anchor: Club | None, units: str,
) -> None:  # fmt: skip
    """Read one visit and add it."""
    where = f"{FILE}, visit {number}"
    problems: list[Problem] = []
    _check(entry, ENTRY, where, problems)
    if not problems:
        for key in ("day", "log"):
            if key not in entry:
                problems.append(Problem(where, f"no {key}", ", ".join(ENTRY), f"Write its {key}."))
        _check(entry.get("reading", {}), READING, f"{where}, reading", problems)
    raise_if(problems, f"{where} cannot be used.")
    place = air(entry["air"], units, f"{where}, air") if "air" in entry else Conditions()
    words = entry.get("club", "unknown")
    club = _club(home, kit, words, f"{where}, club")
    session = _read(home, data, entry, entry["log"])
    beside = None
    if anchor is not None and anchor.code != club.code:
        if "anchor_log" in entry:
            beside = _read(home, data, entry, entry["anchor_log"])
        else:
            beside = work.visits.of_club(session, kit, anchor, data["anchor"])
            session = work.visits.without(session, beside)
    shots = _of_day(session, kit, club, words, where)
    day = entry["day"]
    hit = work.visits.Hit(
        date(day.year, day.month, day.day), shots, place, club, beside, anchor, entry.get("device", "")
    )
    folder = home / data["kit"] if "kit" in data else None
    named, anchored = _path_of(home, words), _path_of(home, data.get("anchor", ""))
    found.append(Told(hit, home / entry["log"], _how(data, entry), folder, named, anchored))


def _path_of(home: Path, words: str) -> str:
    """A club in words; of a card, the path that holds from here."""
    return str(home / words) if words.casefold().endswith(".toml") else words


def _of_day(session: Session, kit: Kit | None, club: Club, words: str, where: str) -> Session:
    """Balls of the day's own club; a log of several has to name it."""
    try:
        return work.question.shots_of(session, kit, club, words)
    except InputError as error:
        do = "Write the club as the log's labels do, or set builds: reading = { set = ['build=...'] }."
        problems = [Problem(f"{where}, club", repr(words), p.allowed, do) for p in error.problems]
        raise InputError(error.message, problems) from None


def _club(home: Path, kit: Kit | None, words: str, where: str) -> Club:
    try:
        card = words.casefold().endswith(".toml")
        if kit is None and "/" in words and not card:
            problem = Problem(
                where, repr(words), "a card, or unknown, without a kit", "Name the kit's folder."
            )
            raise InputError("There is no kit.", [problem])
        return work.card.present_club(kit or work.inventory.Kit((), ()), str(home / words) if card else words)
    except InputError as error:
        problems = [Problem(where, p.found, p.allowed, p.do) for p in error.problems]
        raise InputError(error.message, problems) from None


def _read(home: Path, data: dict[str, Any], entry: dict[str, Any], log: str) -> Session:
    """Shots of a log, with what was decided about them."""
    how = _how(data, entry)
    aside = how.pop("aside")
    try:
        session = work.intake.read(home / log, **how)
    except InputError:
        raise
    except FitterError as error:
        problems = list(error.problems) or [Problem(log, error.message, "shots", "Mend the log.")]
        raise InputError(error.message, problems) from None
    decisions = work.annotations.parse_aside(aside)
    return work.annotations.set_aside(session, decisions) if decisions else session


def _how(data: dict[str, Any], entry: dict[str, Any]) -> dict[str, Any]:
    """How the log of a visit is read."""
    how = entry.get("reading", {})
    return {
        "hand": how.get("hand", data.get("hand")),
        "player": how.get("player", data["player"]) or None,
        "header_map": how.get("map") or None,
        "set_": tuple(how.get("set", ())),
        "club": how.get("club"),
        "sheet": how.get("sheet"),
        "aside": tuple(how.get("aside", ())),
    }
