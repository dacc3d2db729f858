"""Options that name a log, the same for every command that reads one."""

from __future__ import annotations

import argparse
import re
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fitter.units import SYSTEMS, from_si

if TYPE_CHECKING:
    from fitter.shots.channels import Flag, Session

_NUMBER = r"[+-]?\d+\.?\d*(?:e[+-]?\d+)?"
_ALONE = re.compile(rf"^({_NUMBER})(?!\S)(.*)$")
_RANGE = re.compile(rf"^({_NUMBER}) to ({_NUMBER})(?!\S)(.*)$")


def add_log(parser: argparse.ArgumentParser, option: str | None = None) -> None:
    """Add the log, in its place or under an option's name, and how to read it."""
    if option is None:
        parser.add_argument("log", metavar="LOG", help="the session's file")
    else:
        parser.add_argument(option, dest="log", required=True, metavar="LOG", help="the session's file")
    parser.add_argument("--player", metavar="P", help="whose shots, if the file holds several players")
    parser.add_argument("--hand", choices=("right", "left"), help="if the file does not say")
    parser.add_argument(
        "--map", action="append", default=[], metavar="'Header=channel'", help="correct what was understood"
    )
    parser.add_argument(
        "--map-file", metavar="FILE", help="the shop's saved corrections; new ones of --map are saved there"
    )
    parser.add_argument(
        "--set", action="append", default=[], metavar="'KEY=VALUE shots=8-14'",
        help="say build, ball, intent, tee_mm, ... for the file or some shots",
    )  # fmt: skip
    parser.add_argument(
        "--aside", action="append", default=[], metavar="'shots=3 reason=interrupted'",
        help="set shots aside by hand: interrupted, slipped, 'wrong ball', 'wrong club' or 'not read'",
    )  # fmt: skip
    parser.add_argument("--club", metavar="WORDS", help="which club of the file, if not the driver")
    parser.add_argument("--sheet", metavar="NAME", help="which sheet of a workbook")


def check_outputs(args: argparse.Namespace) -> None:
    """Refuse a file to be written that the command reads, before any work.

    Raises
    ------
    InputError
        With each of them, by real path.
    """
    from fitter.base.files import refuse_overwriting
    from fitter.kit.inventory import kit_files

    saves = bool(args.map_file and args.map)
    outputs = {"-o": getattr(args, "output", None), "--map-file": args.map_file if saves else None}
    inputs = {"the log": args.log, "--map-file": None if saves else args.map_file}
    inputs |= {f"--{name}": getattr(args, name, None) for name in ("present", "hit", "check")}
    reads = [(what, Path(path)) for what, path in inputs.items() if path]
    if getattr(args, "kit", None):
        reads += [("the kit's", file) for file in kit_files(args.kit)]
    if getattr(args, "fonts", ""):
        reads += [("the font", file) for file in Path(args.fonts).rglob("*")]
    refuse_overwriting([(what, Path(path)) for what, path in outputs.items() if path], reads)


def arguments(args: argparse.Namespace) -> dict[str, Any]:
    """Keyword arguments of `fitter.shots.intake.read`."""
    from fitter.shots import corrections

    pairs = corrections.parse_pairs(args.map)
    if args.map_file and pairs:
        check_outputs(args)
        corrections.save(args.map_file, pairs)
    return {
        "hand": args.hand,
        "player": args.player,
        "header_map": pairs or None,
        "shop_map": args.map_file,
        "set_": tuple(args.set),
        "club": args.club,
        "sheet": args.sheet,
    }


def read_one(args: argparse.Namespace) -> Session:
    """Read and screen the session of one player; of --baseline only, where a command has it."""
    from fitter.shots import intake

    session = decided(args, intake.read(args.log, **arguments(args)))
    build = getattr(args, "baseline", None)
    if build is None:
        return session
    from fitter.shots.settings import baseline

    return session.take(baseline(session, build=build))


def decided(args: argparse.Namespace, session: Session) -> Session:
    """Set aside what --aside names."""
    from fitter.shots import decisions

    return decisions.apply(session, decisions.parse(args.aside)) if args.aside else session


def flags_seen(session: Session) -> tuple[Flag, ...]:
    """Flags with sides as the player sees them: a left-hander's signs are mirrored back."""
    from fitter.shots.channels import CHANNELS

    if session.hand != "left":
        return session.flags
    return tuple(
        replace(f, found=_turned(f.found), expected=_turned(f.expected))
        if f.channel in CHANNELS and CHANNELS[f.channel].mirrored
        else f
        for f in session.flags
    )


def flag_lines(session: Session, units: str) -> list[str]:
    """Flags for people: x set aside, ? warned; in the units in force, sides as L and R."""
    from fitter.shots.channels import CHANNELS

    lines = []
    for f in flags_seen(session):
        channel = CHANNELS.get(f.channel)
        label, found, expected = f.channel, f.found, f.expected
        if channel is not None:
            found, expected = (_told(w, channel.mirrored, units) for w in (found, expected))
            label = channel.label
        mark = "x" if f.set_aside else "?"
        if not f.channel:
            lines.append(f"  {mark} shot {f.shot}: {f.reason}, {f.found}")
            continue
        lines.append(f"  {mark} shot {f.shot}, {label}: {f.reason}; found {found}, expected {expected}")
    return lines


def _negative(number: str) -> str:
    if float(number) == 0.0:
        return number.lstrip("+-")
    return number[1:] if number.startswith("-") else "-" + number.lstrip("+")


def _turned(words: str) -> str:
    """Numbers of a flag in the mirror.

    Examples
    --------
    >>> _turned("-21 deg"), _turned("-20 to 10 deg"), _turned("its own numbers")
    ('21 deg', '-10 to 20 deg', 'its own numbers')
    """
    if match := _RANGE.match(words):
        return f"{_negative(match[2])} to {_negative(match[1])}{match[3]}"
    if match := _ALONE.match(words):
        return _negative(match[1]) + match[2]
    return words


def _told(words: str, mirrored: bool, units: str) -> str:
    """Numbers of a flag in the units in force, with L and R in place of signs where they are sides.

    Examples
    --------
    >>> _told("-21 deg", True, "us"), _told("-20 to 10 deg", True, "us")
    ('21 deg L', '20 L to 10 R deg')
    >>> _told("-2.235 m/s", False, "us"), _told("0 to 500 m", False, "metric"), _told("1.6", False, "us")
    ('-5 mph', '0 to 500 m', '1.6')
    """
    numbers = _RANGE.match(words) or _ALONE.match(words)
    if numbers is None:
        return words
    *parts, unit = numbers.groups()
    shown = {"m/s": SYSTEMS[units]["speed"], "m": SYSTEMS[units]["length"]}.get(unit.strip())
    if shown is not None and shown != unit.strip():
        parts, unit = [f"{from_si(float(part), shown):.3g}" for part in parts], f" {shown}"
    if not mirrored:
        return " to ".join(parts) + unit
    sides = [" R" if float(part) > 0 else " L" if float(part) < 0 else "" for part in parts]
    sizes = [part.lstrip("+-") for part in parts]
    if len(sizes) == 1:
        return sizes[0] + unit + sides[0]
    return " to ".join(size + side for size, side in zip(sizes, sides, strict=True)) + unit
