"""The command `reach`: the club speed that a distance needs."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import TYPE_CHECKING

from fitter.base.errors import EXIT_DATA
from fitter.base.units import MPH, SYSTEMS, YARD, from_si, probability
from fitter.cli import arguments, offers
from fitter.cli import session as sample
from fitter.cli.arguments import quantity, together
from fitter.cli.session import add_log, read_one
from fitter.display import text

if TYPE_CHECKING:
    from fitter.advice.curve import Needed, Speeds
    from fitter.advice.reach import Reach
    from fitter.base.conditions import Conditions


def prepare_parser(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    parser.add_argument("distance", metavar="DISTANCE", help="such as 280yd or 256m")
    add_log(parser, "--from")
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
    offers.add(parser)
    sample.add_shots(parser)
    sample.add_draws(parser)
    arguments.add(parser)


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    from fitter.cli import rank as rank_command
    from fitter.cli import session as wishes

    with together("These options cannot be used.") as gather:
        where = gather(arguments.read, args)
        there = gather(arguments.measured_in, args)
        gather(sample.check_draws, args.draws)
        distance = gather(quantity, args, "distance", "length")
        offer = gather(offers.read, args)
        size = gather(wishes.grid, args.grid, args.units) if args.grid else {}
    from fitter.advice.question import ask
    from fitter.advice.reach import reach
    from fitter.kit.inventory import Kit

    session = read_one(args)
    if args.grid and args.count == "typical":
        text.tell("Note: --grid changes nothing without --count best-of-N: the typical ball has no width.")
    rank_command.warn_of_compiling()
    question = ask(
        session,
        Kit.load(args.kit) if args.kit else None,
        args.present,
        conditions=where,
        measured_in=there,
        offer=offer,
        sets_face=args.sets_face,
        with_aside=args.with_aside,
        draws=args.draws,
        seed=args.seed,
    )
    found = reach(question, distance, args.measure, args.count, size.get("grid_width_m"))
    if args.json:
        text.print_json(found.as_dict())
    else:
        print("\n".join(lines(found, args.units)))
    return EXIT_DATA if found.present.speed.expected is None else 0


def lines(found: Reach, units: str) -> list[str]:
    """Answer for people, within 100 columns."""
    far, fast = SYSTEMS[units]["length"], SYSTEMS[units]["speed"]
    counts = found.counts
    used = counts["shots"] - counts["set_aside"]
    what = f"{text.distance(found.distance_m, units, 0)} of {found.measure}"
    if found.width_m is not None:
        balls, width = found.count.rpartition("-")[2], text.distance(found.width_m, units, 0)
        what += f" with the longest of {balls} balls that finish within {width}"
    out = [
        f"Player {found.player or '?'}, {found.hand}-handed: {used} of {counts['shots']} shots used, "
        f"{counts['set_aside']} set aside; {counts['draws']} draws.",
        "",
        *text.wrap(f"To reach {what}, in {place(found.conditions, units)}:").splitlines(),
        "",
    ]
    clubs = [("present", found.present)] + ([("best", found.best)] if found.best is not None else [])
    one = "P(ball)" if found.width_m is None else "P(set)"
    headers = (
        "club", f"today {far} (80 %)", f"now {fast}", f"needs {fast} (80 %)", f"{far} a {fast}", one,
    )  # fmt: skip
    out += text.table(headers, [_club(label, n, units) for label, n in clubs]).splitlines()
    for label, needed in clubs:
        out += _reasons(label, needed, units)
    ball = "one ball" if found.width_m is None else "one set of balls"
    out.append(f"   P: probability that {ball} gets there at today's speed")
    gap = text.distance(abs(found.gap_m), units)
    if found.gap_m > 0.0:
        words = f"The gap is {gap}, each part on top of those above it:"
    else:
        words = f"There is no gap: today is {gap} beyond it. Parts, each on top of those above it:"
    rows = [
        (p.part, f"{_far(p.value_m, units):+.1f}", _span((p.low_m, p.high_m), units, "+.1f"), p.words)
        for p in found.budget.parts
    ]
    out += ["", words, *text.table(("part", far, "80 %", ""), rows, align="lrrl").splitlines()]
    out += ["", *text.wrap(_trained(found, units)).splitlines()]
    if found.air_m is not None:
        mean, low, high = (f"{_far(v, units):+.1f}" for v in found.air_m)
        words = f"This air and turf give {mean} {far} (80 % {low} to {high}) today against the standard ones."
        out.append(words)
    return [*out, "", *(line for n in found.notes for line in text.wrap(f"Note: {n}.").splitlines())]


def _club(label: str, needed: Needed, units: str) -> tuple[str, ...]:
    """Row of one club."""
    slope = needed.m_per_mps[0] * (1.0 if units == "metric" else MPH / YARD)
    now, *ends = needed.now_m
    name = needed.option if needed.known else "club, not known"
    return (
        f"{label} {name}",
        f"{_far(now, units):.0f} ({_span(ends, units, '.0f')})",
        f"{_fast(needed.speed_now_mps, units)}",
        _needs(needed.speed, units),
        f"{slope:.1f}",
        probability(needed.p_today, short=True),
    )


def _needs(speed: Speeds, units: str) -> str:
    """Needed speed and its interval; an end that is open shows as such."""
    if speed.expected is None:
        return "not reachable"
    low, high = (_fast(v, units) for v in (speed.low, speed.high))
    return f"{_fast(speed.expected, units)} ({low} to {high})"


def _reasons(label: str, needed: Needed, units: str) -> list[str]:
    """Why a needed speed has no number, or no end."""
    if not needed.speed.reason:
        return []
    words = f"   {label}: {needed.speed.reason}"
    if needed.longest is not None:
        speed, far = needed.longest
        words += f"; the longest is {text.distance(far, units, 0)} at {text.speed(speed, units, 0)}"
    return text.wrap(words, "   ").splitlines()


def _trained(found: Reach, units: str) -> str:
    """Speed that is left to train when everything else is had."""
    trained, more = found.budget.trained, found.budget.speed_left_mps
    if more is None:
        return "If all the rest were had, no speed that the model answers for would close the gap."
    needs = f"{_needs(trained, units)} {SYSTEMS[units]['speed']}"
    if more <= 0.0:
        return f"If all the rest were had, {needs} would do: no speed is left to train."
    return f"If all the rest were had, {needs} would do: {text.speed(more, units)} is left to train."


def _far(metres: float, units: str) -> float:
    return from_si(metres, SYSTEMS[units]["length"])


def _fast(mps: float | None, units: str) -> str:
    return "?" if mps is None else f"{from_si(mps, SYSTEMS[units]['speed']):.1f}"


def _span(ends: Sequence[float], units: str, form: str) -> str:
    low, high = (f"{_far(v, units):{form}}" for v in ends)
    return f"{low} to {high}"


def place(c: Conditions, units: str) -> str:
    """Air, wind and turf in words."""
    from fitter.world import air_density

    warm = f"{c.temperature_c:.0f} C" if units == "metric" else f"{c.temperature_c * 1.8 + 32:.0f} F"
    wind = "no wind"
    if c.wind_mps:
        wind = f"wind {text.speed(c.wind_mps, units, 0)} from {c.wind_from_deg:.0f} deg (0 in the face)"
    air = f"{warm}, {c.pressure_pa / 100:.0f} hPa, {100 * c.humidity:.0f} % humidity"
    return f"air of {air} ({air_density(c):.3f} kg/m3), {wind}, on {c.turf} turf"
