"""The command `read`: what a log holds."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from fitter.cli import output
from fitter.cli.log import add_log, arguments, flag_lines, flags_seen
from fitter.units import YARD

if TYPE_CHECKING:
    from fitter.shots.channels import Session

SHOWN = {
    "club_speed_mps": ("club", "speed", 0),
    "attack_deg": ("attack", "deg", 1),
    "path_deg": ("path", "side", 1),
    "face_deg": ("face", "side", 1),
    "dynamic_loft_deg": ("loft", "deg", 1),
    "ball_speed_mps": ("ball", "speed", 0),
    "launch_deg": ("launch", "deg", 1),
    "direction_deg": ("start", "side", 1),
    "spin_rpm": ("spin", "rpm", 0),
    "carry_m": ("carry", "distance", 0),
    "offline_m": ("side", "offline", 0),
}
"""Columns of the table for people: heading, how it is written, digits."""


def prepare_parser(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    add_log(parser)


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    from fitter.shots import intake

    words = arguments(args)
    if args.player is None:
        sessions = intake.read_all(args.log, **words)
    else:
        sessions = [intake.read(args.log, **words)]
    if args.json:
        output.print_json(
            as_dict(sessions[0]) if len(sessions) == 1 else together([as_dict(s) for s in sessions])
        )
        return 0
    print("\n\n".join(text(s, args.units) for s in sessions))
    return 0


def as_dict(session: Session) -> dict[str, Any]:
    """Session under the keys of the contract, sides as the player sees them."""
    seen = session.mirrored() if session.hand == "left" else session
    shots = [_shot(session, seen, i) for i in range(len(session))]
    return {
        "player": session.player,
        "hand": session.hand,
        "source": session.source,
        "shots": shots,
        "columns": {
            h: {"channel": c.channel, "unit": c.unit, "how": c.how} for h, c in session.columns.items()
        },
        "flags": [{"player": session.player, **vars(f)} for f in flags_seen(session)],
        "problems": list(session.notices),
        "not_read": session.not_read,
    }


def _shot(session: Session, seen: Session, i: int) -> dict[str, Any]:
    return {
        "player": session.player,
        "shot": int(session.shot[i]),
        "row": int(session.row[i]),
        "set_aside": bool(session.set_aside[i]),
        **{name: float(values[i]) for name, values in seen.values.items()},
        **{name: words[i] for name, words in seen.words.items()},
    }


def together(found: list[dict[str, Any]]) -> dict[str, Any]:
    """Sessions of several players under the same keys: each shot and each flag names its player."""
    problems = dict.fromkeys(p for one in found for p in one["problems"])
    return {
        "players": [{k: one[k] for k in ("player", "hand", "not_read")} for one in found],
        "source": found[0]["source"],
        "shots": [shot for one in found for shot in one["shots"]],
        "columns": {h: c for one in found for h, c in one["columns"].items()},
        "flags": [flag for one in found for flag in one["flags"]],
        "problems": list(problems),
        "not_read": sum(one["not_read"] for one in found),
    }


def text(session: Session, units: str) -> str:
    """Session for people, block by block; a block with nothing to say is left out."""
    blocks = (_title(session), _understood(session), _shots(session, units), _flags(session, units))
    return "\n\n".join(block for block in blocks if block)


def _title(session: Session) -> str:
    aside, n = int(session.set_aside.sum()), len(session)
    lines = [
        f"{session.source}: player {session.player or '?'}, {session.hand}-handed, {n} "
        f"{'shot' if n == 1 else 'shots'}, {aside} set aside"
        + (f", {session.not_read} hit but not read" if session.not_read else "")
    ]
    lines += [f"Note: {notice}" for notice in session.notices]
    return "\n".join(output.wrap(line) for line in lines)


def _understood(session: Session) -> str:
    used = [[c.header, c.channel, c.unit, c.how] for c in session.columns.values() if c.channel]
    unused = [c.header for c in session.columns.values() if not c.channel]
    lines = [output.table(["column", "read as", "unit", "because of"], used, left=4)]
    if unused:
        lines.append(output.wrap("not used: " + ", ".join(unused)))
    return "\n".join(lines)


def _shots(session: Session, units: str) -> str:
    seen = session.mirrored() if session.hand == "left" else session
    shown = [name for name in SHOWN if session.has(name)]
    rows = [
        [("x" if session.set_aside[i] else " ") + str(session.shot[i])]
        + [_cell(seen.value(name)[i], name, units) for name in shown]
        for i in range(len(session))
    ]
    return output.table(["shot", *(SHOWN[name][0] for name in shown)], rows) + "\n" + _units(units)


def _flags(session: Session, units: str) -> str:
    lines = [output.wrap(line, "    ") for line in flag_lines(session, units)]
    return "\n".join(["x set aside, ? warned:", *lines]) if lines else ""


def _units(units: str) -> str:
    return (
        "speeds m/s, distances m, angles deg" if units == "metric" else "speeds mph, distances yd, angles deg"
    )


def _cell(value: float, name: str, units: str) -> str:
    _, kind, digits = SHOWN[name]
    if value != value:
        return "-"
    if kind == "speed":
        return output.speed(value, units, digits + (units == "metric")).split()[0]
    if kind == "distance":
        return output.distance(value, units, digits).split()[0]
    if kind == "offline":
        value = value if units == "metric" else value / YARD
    if kind in ("side", "offline"):
        size, _, *word = output.side(value, "x", digits).split()
        return " ".join([size, *word])
    return f"{value:.{digits}f}"
