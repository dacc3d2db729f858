"""Units that a file does not name, found by simulated flights; what stays open is asked for."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

import numpy as np

from fitter import world
from fitter.base.assumptions import current
from fitter.base.conditions import Conditions
from fitter.base.errors import Problem
from fitter.base.units import DEG, RPM, SYSTEMS, UNITS
from fitter.physics import ball, engine, vectors
from fitter.shots.reader.columns import where_of
from fitter.shots.reader.layout import Block
from fitter.shots.reader.numbers import Numbers
from fitter.shots.session import Floats
from fitter.shots.vocabulary import CHANNELS, Limits, ratio_limits

Flight = Callable[[Floats, Floats, Floats], tuple[Floats, Floats]]
"""Ball speed (m/s), launch (deg), spin (rpm), each shape (n,) -> carry and apex (m), each shape (n,)."""

SPEEDS = ("mph", "m/s", "km/h")
FAR = ("yd", "m")
NEAR = ("mm", "cm", "in")
SPINS = ("rpm", "krpm", "rps", "rad/s")


class Unproved(Exception):
    """Several units fit, or none.

    Parameters
    ----------
    found : str
        What was tried.
    candidates : tuple of str
        Units that are possible.
    """

    def __init__(self, found: str, candidates: tuple[str, ...]) -> None:
        super().__init__(found)
        self.found = found
        self.candidates = candidates


def blend(ball_mps: Floats, launch_deg: Floats, spin_rpm: Floats) -> tuple[Floats, Floats]:
    """Fly balls in standard air by the modern blend; the default `Flight`."""
    air = Conditions()
    nothing = np.zeros(len(ball_mps))
    rows = np.column_stack([ball_mps, launch_deg * DEG, nothing, spin_rpm * RPM, nothing])
    weights = world.law_weights(world.law_names(air), spin_rpm * RPM * ball.RADIUS / ball_mps)
    mean = np.tensordot(weights, engine.fly(rows, world.central(air).world), axes=(0, 0))
    return np.asarray(mean[:, vectors.CARRY]), np.asarray(mean[:, vectors.APEX])


def _middle(values: Floats) -> float:
    there = values[np.isfinite(values)]
    return float(np.median(there)) if len(there) else float("nan")


def _inside(value: float, limits: Limits) -> bool:
    return not np.isfinite(value) or limits[0] <= value <= limits[1]


class Evidence:
    """What is known of a block in SI, and the flight that it should give.

    Parameters
    ----------
    known : mapping of str to ndarray, shape (n,)
        Channels with a unit.
    flight : Flight or None
        Simulator; None for the built-in blend.
    """

    def __init__(self, known: Mapping[str, Floats], flight: Flight | None = None) -> None:
        self.known = dict(known)
        self.flight = flight or blend

    def flown(self, ball: Floats) -> tuple[Floats, Floats] | None:
        """Carry and apex that a ball speed gives, NaN for shots that lack a value; None if none has all."""
        launch, spin = self.known.get("launch_deg"), self.known.get("spin_rpm")
        if launch is None or spin is None:
            return None
        good = np.isfinite(ball) & np.isfinite(launch) & np.isfinite(spin)
        for values, name in ((ball, "ball_speed_mps"), (launch, "launch_deg"), (spin, "spin_rpm")):
            low, high = CHANNELS[name].limits or (-np.inf, np.inf)
            good &= (np.nan_to_num(values) >= low) & (np.nan_to_num(values) <= high)
        if not good.any():
            return None
        carry, apex = np.full(len(ball), np.nan), np.full(len(ball), np.nan)
        carry[good], apex[good] = self.flight(ball[good], launch[good], spin[good])
        return carry, apex


def _ratio(raw: Floats, factor: float, flown: Floats) -> float:
    """Median log ratio of written to flown."""
    good = np.isfinite(raw) & (raw > 1e-3) & np.isfinite(flown) & (flown > 0)
    return float(np.median(np.log(raw[good] * factor / flown[good]))) if good.any() else float("nan")


def speed(
    unknown: Mapping[str, Floats], evidence: Evidence, carry_raw: Floats | None = None
) -> tuple[str, str]:
    """Unit of the speeds that have none, one for all of them.

    Parameters
    ----------
    unknown : mapping of str to ndarray, shape (n,)
        Club and ball speed as written, those without a unit.
    evidence : Evidence
        What is known.
    carry_raw : ndarray, shape (n,), optional
        Carry as written if its unit is unknown too.

    Returns
    -------
    tuple of str
        Unit and why.

    Raises
    ------
    Unproved
        If not exactly one unit fits.
    """
    fits = tuple(u for u in SPEEDS if _speed_fits(u, unknown, evidence))
    why = "plausible speeds and ball/club ratio"
    if len(fits) > 1:
        flying = tuple(u for u in fits if _speed_flies(u, unknown, evidence, carry_raw))
        if flying:
            fits, why = flying, "the carry that the flight gives"
    if len(fits) != 1:
        middles = ", ".join(f"{_middle(v):.4g}" for v in unknown.values())
        raise Unproved(f"no unit (middle {middles})", fits or SPEEDS)
    return fits[0], why


def _speed_fits(unit: str, unknown: Mapping[str, Floats], evidence: Evidence) -> bool:
    factor = UNITS[unit].factor
    nothing = np.array([np.nan])
    club, ball = (
        unknown[name] * factor if name in unknown else evidence.known.get(name, nothing)
        for name in ("club_speed_mps", "ball_speed_mps")
    )
    usual, ratio = CHANNELS["club_speed_mps"].warn or (0.0, np.inf), ratio_limits()[1]
    if not _inside(_middle(club), usual):
        return False
    if not _inside(_middle(ball), (usual[0] * ratio[0], usual[1] * ratio[1])):
        return False
    return len(club) != len(ball) or _inside(_middle(ball / np.where(club > 1e-3, club, np.nan)), ratio)


def _speed_flies(
    unit: str, unknown: Mapping[str, Floats], evidence: Evidence, carry_raw: Floats | None
) -> bool:
    ball = unknown.get("ball_speed_mps")
    carry = evidence.known.get("carry_m", carry_raw)
    flown = evidence.flown(ball * UNITS[unit].factor) if ball is not None else None
    if flown is None or carry is None:
        return False
    units = ("m",) if "carry_m" in evidence.known else FAR
    loose = current().value("intake.carry_loose")
    return any(abs(_ratio(carry, UNITS[u].factor, flown[0])) <= loose for u in units)


def carry(raw: Floats, evidence: Evidence, speed_unit: str = "") -> tuple[str, str]:
    """Unit of a carry that has none, by flying the shots again; returns and raises as `speed`.

    Cold air, a head wind or range balls can make yards fly like metres. So where the unit of the speeds is
    known, it has to agree: yards go with mph, metres with m/s and km/h (common practice); else the unit is
    asked for.
    """
    ball = evidence.known.get("ball_speed_mps")
    flown = evidence.flown(ball) if ball is not None else None
    if flown is None:
        raise Unproved(f"no unit (middle {_middle(raw):.4g}), nor ball speed, launch and spin to fly", FAR)
    off = {u: _ratio(raw, UNITS[u].factor, flown[0]) for u in FAR}
    best, other = sorted(FAR, key=lambda u: abs(off[u]))
    said = " and ".join(f"{100 * np.expm1(off[u]):+.0f} % as {u}" for u in FAR)
    a = current()
    # A ball's carry varies by 2-3 % about the model, and the two units are 9 % apart.
    if abs(off[best]) > a.value("intake.carry_fits") or abs(off[other]) < a.value("intake.carry_fails"):
        raise Unproved(f"no unit, and a carry that differs from the flight by {said}", FAR)
    if speed_unit and (speed_unit == "mph") != (best == "yd"):
        raise Unproved(f"no unit; the flight says {best} ({said}), but speeds are in {speed_unit}", FAR)
    return best, f"re-simulated carry ({said}; range balls or wind could mislead)"


def apex(raw: Floats, evidence: Evidence, far: str) -> tuple[str, str]:
    """Unit of an apex: feet or the unit of the carry, whichever the flight gives."""
    ball = evidence.known.get("ball_speed_mps")
    flown = evidence.flown(ball) if ball is not None else None
    if flown is None:
        raise Unproved(f"no unit (middle {_middle(raw):.4g})", ("ft", *FAR))
    return min(("ft", far), key=lambda u: abs(_ratio(raw, UNITS[u].factor, flown[1]))), "re-simulated apex"


def near(name: str, raw: Floats) -> tuple[str, str]:
    """Unit of a strike place or a tee height by what is possible; see `speed`."""
    there = raw[np.isfinite(raw)]
    fits: tuple[str, ...] = ()
    if len(there) and name != "ball_forward_mm":
        a, wide = current(), float(np.quantile(np.abs(there), 0.9))
        limits = a.value("intake.strike_least_mm"), (CHANNELS[name].limits or (0.0, 45.0))[1]
        if name == "tee_mm":
            limits = a.value("intake.tee_low_mm"), a.value("intake.tee_high_mm")
        fits = tuple(u for u in NEAR if limits[0] <= wide * UNITS[u].factor * 1e3 <= limits[1])
    if len(fits) != 1:
        raise Unproved(f"no unit (values to {np.abs(there).max(initial=0.0):.4g})", fits or NEAR)
    return fits[0], "the only plausible size"


def spin(raw: Floats) -> tuple[str, str]:
    """Unit of a spin: rpm, which the trade always means, unless only another is possible."""
    c = CHANNELS["spin_rpm"]
    middle = abs(_middle(raw))
    fits = [u for u in SPINS if _inside(middle * UNITS[u].factor, c.warn or (0.0, np.inf))]
    if not _inside(middle, c.limits or (0.0, np.inf)) and len(fits) == 1:
        return fits[0], "the only plausible size"
    return "rpm", "unit assumed"


FAR_CHANNELS = ("carry_m", "total_m", "offline_m", "carry_side_m")


def settle_units(
    block: Block,
    numbers: Sequence[Numbers],
    flight: Flight | None,
    problems: list[Problem],
    notices: list[str],
    usual: str | None = None,
) -> list[Numbers]:
    """Give every column of numbers a unit.

    Parameters
    ----------
    block : Block
        For messages.
    numbers : sequence of Numbers
        Columns, some of them without a unit.
    flight : callable or None
        See `Flight`.
    problems, notices : list
        Collect what must be asked and what was proved.
    usual : str, optional
        'us' or 'metric': what a bare number means where nothing proves another unit.

    Returns
    -------
    list of Numbers
        The columns that have a unit, or need none.
    """
    settled = [n for n in numbers if n.use.unit or n.use.channel.quantity == "ratio"]
    open_ = [n for n in numbers if n not in settled]
    if not open_:
        return settled
    evidence = Evidence({}, flight)

    def learn(group: Sequence[Numbers]) -> None:
        for n in group:
            evidence.known.setdefault(n.use.channel.name, n.si())

    def give(group: Sequence[Numbers], find: Callable[[], tuple[str, str]]) -> None:
        try:
            unit, how = find()
        except Unproved as doubt:
            said = SYSTEMS.get(usual or "", {}).get(group[0].use.channel.quantity or "", "")
            if said not in doubt.candidates:
                problems.extend(_asked(block, n, doubt) for n in group)
                return
            unit, how = said, f"--units {usual}"
        for n in group:
            n.use = replace(n.use, unit=unit, how=how)
            settled.append(n)
            if how != "unit assumed":
                notices.append(f"'{n.use.header}' has no unit: read as {unit} by {how}.")
        learn(group)

    learn(settled)
    for n in [n for n in open_ if n.use.channel.quantity == "spin"]:
        give([n], lambda n=n: spin(n.values))  # type: ignore[misc]
    speeds = [n for n in open_ if n.use.channel.quantity == "speed"]
    carried = next((n for n in open_ if n.use.channel.name == "carry_m"), None)
    if speeds:
        unknown = {n.use.channel.name: n.values for n in speeds}
        give(speeds, lambda: speed(unknown, evidence, carried.values if carried else None))
    for n in [n for n in open_ if n.use.channel.unit == "mm"]:
        give([n], lambda n=n: near(n.use.channel.name, n.values))  # type: ignore[misc]
    far = [n for n in open_ if n.use.channel.name in FAR_CHANNELS]
    stated = [n for n in settled if n.use.channel.name in FAR_CHANNELS and n.use.unit in FAR]
    if stated:
        name = stated[0].use.header
        give(far, lambda: (stated[0].use.unit, f"the unit of '{name}'"))
    elif far and carried:
        fast = next((n.use.unit for n in settled if n.use.channel.quantity == "speed"), "")
        give(far, lambda: carry(carried.values, evidence, fast))
    elif far:

        def asked() -> tuple[str, str]:
            raise Unproved("no unit", FAR)

        give(far, asked)
    _apex(open_, settled, evidence, notices)
    return settled


def _apex(open_: Sequence[Numbers], settled: list[Numbers], evidence: Evidence, notices: list[str]) -> None:
    """Settle the unit of the apex; without a proof the column is left out, with a notice."""
    far = next((n.use.unit for n in settled if n.use.channel.name in FAR_CHANNELS), "")
    for n in open_:
        if n.use.channel.name != "apex_m":
            continue
        try:
            if not far:
                raise Unproved("no unit", ("ft", *FAR))
            unit, how = apex(n.values, evidence, far)
        except Unproved:
            notices.append(f"'{n.use.header}' has no unit and is not used: name it with --map.")
            continue
        n.use = replace(n.use, unit=unit, how=how)
        notices.append(f"'{n.use.header}' has no unit: read as {unit} by {how}.")
        settled.append(n)


def _asked(block: Block, n: Numbers, doubt: Unproved) -> Problem:
    units = ", ".join(doubt.candidates)
    do = (
        f"Write the unit into the header, or say it with --map '{n.use.header}="
        f"{n.use.channel.label} ({doubt.candidates[0]})'."
    )
    return Problem(f"{where_of(block)}, column {n.use.header!r}", doubt.found, f"one of {units}", do)
