"""The command `read`: what a log holds."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from fitter.base.assumptions import current
from fitter.base.units import DEG, MPH, YARD
from fitter.cli import arguments as quantities
from fitter.cli import arguments as surroundings
from fitter.cli.session import add_log, arguments, decided
from fitter.display import text as output

if TYPE_CHECKING:
    from fitter.base.conditions import Conditions
    from fitter.shots.infer.delivery import Delivery
    from fitter.shots.session import Session

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
DELIVERED = {
    "club_speed_mps": 1.0,
    "attack_deg": 1.0 / DEG,
    "path_deg": 1.0 / DEG,
    "face_deg": 1.0 / DEG,
    "dynamic_loft_deg": 1.0 / DEG,
    "strike_toe_mm": 1e3,
    "strike_high_mm": 1e3,
}
"""Channels of an inferred delivery, in the kernels' order, with the factor to their unit."""
PLACES = {"strike_toe_mm": ("heel", "toe"), "strike_high_mm": ("low", "high")}
"""Words for a strike place: negative, positive."""


def prepare_parser(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    add_log(parser)
    surroundings.add(parser)


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    with quantities.together("These options cannot be used.") as gather:
        where = gather(surroundings.read, args)
        there = gather(surroundings.measured_in, args)
    from fitter.shots.reader import intake

    air = there or where
    words = arguments(args)
    if args.player is None:
        sessions = intake.read_all(args.log, **words)
    else:
        sessions = [intake.read(args.log, **words)]
    known = [with_delivery(decided(args, s), air) for s in sessions]
    if args.json:
        found = [as_dict(s, d, air) for s, d in known]
        output.print_json(found[0] if len(found) == 1 else together(found))
        return 0
    print("\n\n".join(text(s, args.units, d, air) for s, d in known))
    return 0


def _air(session: Session, air: Conditions | None) -> Conditions | None:
    """Air of the session in the frame of its values: a left-hander's is mirrored."""
    return air.mirrored() if air is not None and session.hand == "left" else air


def with_delivery(session: Session, air: Conditions | None = None) -> tuple[Session, Delivery | None]:
    """Session with the misreads that physics finds, and its delivery if the ball was measured."""
    if not session.has("ball_speed_mps"):
        return session, None
    from fitter.shots.infer.infer import infer
    from fitter.shots.screen import screen_physics

    screened = screen_physics(session, infer(session), _air(session, air))
    return screened, infer(screened)


def as_dict(
    session: Session, delivery: Delivery | None = None, air: Conditions | None = None
) -> dict[str, Any]:
    """Session under the keys of the contract, sides as the player sees them."""
    seen = session.mirrored() if session.hand == "left" else session
    shots = [_shot(session, seen, i) for i in range(len(session))]
    from fitter.shots.flagged import flags_seen

    inferred = {} if delivery is None else _inferred(session, delivery, shots, air)
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
        **inferred,
    }


def _inferred(
    session: Session, delivery: Delivery, shots: list[dict[str, Any]], air: Conditions | None
) -> dict[str, Any]:
    """Add each shot's inferred delivery and its SDs to the shots; give calibrations and freshness."""
    from fitter.advice.losses import losses
    from fitter.shots.freshness import freshness

    seen = delivery.mirrored() if session.hand == "left" else delivery
    fresh, sd = freshness(session, delivery), seen.sd
    for i, shot in enumerate(shots):
        for k, (name, scale) in enumerate(DELIVERED.items()):
            shot[f"inferred_{name}"] = float(seen.mean[i, k] * scale)
            shot[f"{name}_sd"] = float(sd[i, k] * scale)
        shot["under_fresh_line"] = bool(fresh.tired[i])
    calibrations = {k: {"value": c.value, "sd": c.sd} for k, c in seen.calibrations.items()}
    costs = [vars(x) for x in losses(delivery, _air(session, air))]
    return {"calibrations": calibrations, "cautions": list(fresh.cautions), "losses": costs}


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


def text(
    session: Session, units: str, delivery: Delivery | None = None, air: Conditions | None = None
) -> str:
    """Session for people, block by block; a block with nothing to say is left out."""
    blocks = (
        _title(session),
        _understood(session),
        _shots(session, units),
        _flags(session, units),
        "" if delivery is None else _delivery(session, delivery, units, air),
    )
    return "\n\n".join(block for block in blocks if block)


def _delivery(session: Session, delivery: Delivery, units: str, air: Conditions | None) -> str:
    """Inferred delivery at the face centre, +- one SD, and what the order of the shots tells."""
    from fitter.advice.losses import losses
    from fitter.shots.freshness import freshness

    seen = delivery.mirrored() if session.hand == "left" else delivery
    fresh, mean, sd = freshness(session, delivery), seen.mean, seen.sd
    rows = []
    for i in range(len(session)):
        mark = "x" if session.set_aside[i] else "t" if fresh.tired[i] else " "
        cells = [f"{mark}{session.shot[i]}"]
        for k, (name, scale) in enumerate(DELIVERED.items()):
            value, spread = mean[i, k] * scale, sd[i, k] * scale
            if name == "club_speed_mps" and units != "metric":
                value, spread = value / MPH, spread / MPH
            digits = 0 if name.endswith("_mm") else 1
            shown = f"{value:.{digits}f}"
            if name in PLACES:
                shown = f"{abs(value):.0f} {PLACES[name][int(value > 0)]}" if abs(value) >= 0.5 else "0"
            if name in ("path_deg", "face_deg"):
                size, _, *word = output.side(value, "x", digits).split()
                shown = " ".join([size, *word])
            cells.append(f"{shown} +- {spread:.{digits}f}")
        rows.append(cells)
    lines = ["Delivery at the face centre, inferred from all that was measured, +- one SD:", ""]
    lines.append(output.table(["shot", "club", "attack", "path", "face", "loft", "across mm", "up mm"], rows))
    if fresh.tired.any():
        lines.append("t under the fresh line: 95 % of the day's peak club speed")
    lines += [output.wrap(f"Caution: {c}") for c in fresh.cautions]
    costs = [
        [
            x.cause,
            x.remedy,
            output.distance(x.carry_m, units),
            f"{output.distance(x.low_m, units)} to {output.distance(x.high_m, units)}",
        ]
        for x in losses(delivery, _air(session, air))
    ]
    if costs:
        lines += [
            "",
            "Where the yards go (carry, each cause put right alone; they overlap):",
            "",
        ]
        lines.append(output.table(["cause", "if", "carry", "by single laws"], costs, left=2))
    return "\n".join(lines)


def _title(session: Session) -> str:
    aside, n = int(session.set_aside.sum()), len(session)
    lines = [
        f"{session.source}: player {session.player or '?'}, {session.hand}-handed, {n} "
        f"{'shot' if n == 1 else 'shots'}, {aside} set aside"
        + (f", {session.not_read} hit but not read" if session.not_read else "")
    ]
    if aside > current().value("measurement.aside_share") * n:
        lines.insert(0, f"{aside} of {n} shots are set aside as misreads: look at the device first.")
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
    from fitter.shots.flagged import flag_lines

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
