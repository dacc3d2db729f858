"""Columns without a unit: prove it, take it from a neighbour, or ask for it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from fitter.errors import Problem
from fitter.shots import proof
from fitter.shots.columns import where_of
from fitter.shots.layout import Block
from fitter.shots.numbers import Numbers

FAR = ("carry_m", "total_m", "offline_m", "carry_side_m")


def settle_units(
    block: Block,
    numbers: Sequence[Numbers],
    flight: proof.Flight | None,
    problems: list[Problem],
    notices: list[str],
) -> list[Numbers]:
    """Give every column of numbers a unit.

    Parameters
    ----------
    block : Block
        For messages.
    numbers : sequence of Numbers
        Columns, some of them without a unit.
    flight : callable or None
        See `proof.Flight`.
    problems, notices : list
        Collect what must be asked and what was proved.

    Returns
    -------
    list of Numbers
        The columns that have a unit, or need none.
    """
    settled = [n for n in numbers if n.use.unit or n.use.channel.quantity == "ratio"]
    open_ = [n for n in numbers if n not in settled]
    if not open_:
        return settled
    evidence = proof.Evidence({}, flight)

    def learn(group: Sequence[Numbers]) -> None:
        for n in group:
            evidence.known.setdefault(n.use.channel.name, n.si())

    def give(group: Sequence[Numbers], find: Callable[[], tuple[str, str]]) -> None:
        try:
            unit, how = find()
        except proof.Unproved as doubt:
            problems.extend(_asked(block, n, doubt) for n in group)
            return
        for n in group:
            n.use = replace(n.use, unit=unit, how=how)
            settled.append(n)
            if how != "unit assumed":
                notices.append(f"'{n.use.header}' has no unit: read as {unit} by {how}.")
        learn(group)

    learn(settled)
    for n in [n for n in open_ if n.use.channel.quantity == "spin"]:
        give([n], lambda n=n: proof.spin(n.values))  # type: ignore[misc]
    speeds = [n for n in open_ if n.use.channel.quantity == "speed"]
    carry = next((n for n in open_ if n.use.channel.name == "carry_m"), None)
    if speeds:
        unknown = {n.use.channel.name: n.values for n in speeds}
        give(speeds, lambda: proof.speed(unknown, evidence, carry.values if carry else None))
    for n in [n for n in open_ if n.use.channel.unit == "mm"]:
        give([n], lambda n=n: proof.near(n.use.channel.name, n.values))  # type: ignore[misc]
    far = [n for n in open_ if n.use.channel.name in FAR]
    stated = [n for n in settled if n.use.channel.name in FAR and n.use.unit in proof.FAR]
    if stated:
        name = stated[0].use.header
        give(far, lambda: (stated[0].use.unit, f"the unit of '{name}'"))
    elif far and carry:
        fast = next((n.use.unit for n in settled if n.use.channel.quantity == "speed"), "")
        give(far, lambda: proof.carry(carry.values, evidence, fast))
    elif far:
        doubt = proof.Unproved("no unit", proof.FAR)
        problems.extend(_asked(block, n, doubt) for n in far)
    _apex(open_, settled, evidence, notices)
    return settled


def _apex(
    open_: Sequence[Numbers], settled: list[Numbers], evidence: proof.Evidence, notices: list[str]
) -> None:
    """Apex decides little: without a proof it is left out, with a notice, and nobody is asked."""
    far = next((n.use.unit for n in settled if n.use.channel.name in FAR), "")
    for n in open_:
        if n.use.channel.name != "apex_m":
            continue
        try:
            if not far:
                raise proof.Unproved("no unit", ("ft", *proof.FAR))
            unit, how = proof.apex(n.values, evidence, far)
        except proof.Unproved:
            notices.append(f"'{n.use.header}' has no unit and is not used: name it with --map.")
            continue
        n.use = replace(n.use, unit=unit, how=how)
        notices.append(f"'{n.use.header}' has no unit: read as {unit} by {how}.")
        settled.append(n)


def _asked(block: Block, n: Numbers, doubt: proof.Unproved) -> Problem:
    units = ", ".join(doubt.candidates)
    do = (
        f"Write the unit into the header, or say it with --map '{n.use.header}="
        f"{n.use.channel.label} ({doubt.candidates[0]})'."
    )
    return Problem(f"{where_of(block)}, column {n.use.header!r}", doubt.found, f"one of {units}", do)
