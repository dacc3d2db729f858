"""What a log holds, as text for people: columns, shots, flags, the inferred delivery, where the yards go."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fitter.advice.losses import Loss
from fitter.base.assumptions import current
from fitter.base.units import DEG, Units, counted
from fitter.display import doubts, levers
from fitter.display.device import device
from fitter.display.shots import COLUMNS, columns, flag_lines
from fitter.display.text import table, wrap
from fitter.display.words import FRESH
from fitter.shots.annotations import counted as counted_shots
from fitter.shots.annotations import days, labels
from fitter.shots.freshness import Freshness
from fitter.shots.infer.delivery import Delivery
from fitter.shots.session import Session

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
LEFT_OUT = ("total_m", "apex_m", "strike_toe_mm", "strike_high_mm", "spin_axis_deg")
"""Columns that do not fit 100 characters."""


@dataclass(frozen=True)
class Reading:
    """A session as it was understood, and what was inferred from it.

    Parameters
    ----------
    session : Session
        Right-handed frame, misreads set aside.
    delivery : Delivery or None
        As the player sees it, of all shots or, in a large log, of some; None when no ball was measured.
    fresh : Freshness or None
    losses : tuple of Loss
        Where the yards go.
    """

    session: Session
    delivery: Delivery | None = None
    fresh: Freshness | None = None
    losses: tuple[Loss, ...] = ()

    def at(self, i: int) -> int | None:
        """Place of a shot in the delivery, None where it was left out of a large log."""
        if self.delivery is None:
            return None
        k = int(np.searchsorted(self.delivery.session.shot, self.session.shot[i]))
        there = k < len(self.delivery) and self.delivery.session.shot[k] == self.session.shot[i]
        return k if there else None

    @property
    def seen(self) -> Session:
        """The shots as the player sees them: a left-hander's are mirrored back."""
        return self.session.mirrored() if self.session.hand == "left" else self.session


def text(found: Reading, units: Units) -> str:
    """Session for people, block by block; a block with nothing to say is left out."""
    blocks = (
        _title(found.session, units),
        _understood(found.session),
        _shots(found, units),
        _flags(found.session, units),
        _device(found, units),
        _delivery(found, units),
    )
    return "\n\n".join(block for block in blocks if block)


def _title(session: Session, units: Units) -> str:
    aside, n = int(session.set_aside.sum()), len(session)
    lines = [
        f"{session.source}: player {session.player or '?'}, {session.hand}-handed, {counted(n, 'shot')}, "
        f"{aside} set aside" + (f", {session.not_read} hit but not read" if session.not_read else "")
    ]
    if aside > current().value("measurement.aside_share") * n:
        lines.insert(0, f"{aside} of {n} shots are set aside as misreads: look at the device first.")
    lines += [
        f"{what}: {counted_shots(words)}"
        for what, words in (("Clubs", labels(session)), ("Days", days(session)))
        if len(set(words)) > 1
    ]
    lines += list(filter(None, [doubts.lead(session, units)]))
    lines += [f"Note: {notice}" for notice in session.notices]
    return "\n".join(wrap(line) for line in lines)


def _understood(session: Session) -> str:
    used = [[c.header, c.channel, c.unit, c.how] for c in session.columns.values() if c.channel]
    unused = [c.header for c in session.columns.values() if not c.channel]
    lines = [table(["column", "read as", "unit", "because of"], used, left=4)]
    if unused:
        lines.append(wrap("not used: " + ", ".join(unused)))
    return "\n".join(lines)


def _shots(found: Reading, units: Units) -> str:
    session, seen = found.session, found.seen
    shown = [c for c in columns(session) if c.channel not in LEFT_OUT]
    rows = [
        [("x" if session.set_aside[i] else " ") + str(session.shot[i])]
        + [c.cell(seen.value(c.channel)[i], units) for c in shown]
        for i in range(len(session))
    ]
    foot = f"speeds {units.speed_unit}, distances {units.distance_unit}, angles deg"
    return table(["shot", *(c.label for c in shown)], rows) + "\n" + foot


def _flags(session: Session, units: Units) -> str:
    lines = [wrap(line, "    ") for line in flag_lines(session, units)]
    return "\n".join(["x set aside, ? warned:", *lines]) if lines else ""


def _device(found: Reading, units: Units) -> str:
    """What was found out about the device."""
    lines = [f"  {line}" for line in device(found.seen, found.delivery, units)]
    return "\n".join(["Device:", *(wrap(line, "    ") for line in lines)]) if lines else ""


def _delivery(found: Reading, units: Units) -> str:
    """Inferred delivery at the face centre, +- one SD, and what the order of the shots tells."""
    if found.delivery is None or found.fresh is None:
        return ""
    session, fresh = found.session, found.fresh
    by_name = {c.channel: c for c in COLUMNS}
    shown = [by_name[name] for name in DELIVERED]
    rows = []
    for i in range(len(session)):
        at = found.at(i)
        if at is None:
            continue
        mark = "x" if session.set_aside[i] else "t" if fresh.tired[at] else " "
        cells = [f"{mark}{session.shot[i]}"]
        for k, (column, scale) in enumerate(zip(shown, DELIVERED.values(), strict=True)):
            core = column.about.unit or ""
            digits = 0 if core == "mm" else 1
            spread = units.quantity(found.delivery.sd[at, k] * scale, core, digits, unit=False)
            cells.append(f"{column.cell(found.delivery.mean[at, k] * scale, units, digits)} +- {spread}")
        rows.append(cells)
    lines = ["Delivery at the face centre, inferred from all that was measured, +- one SD:", ""]
    lines.append(table(["shot", *(c.label for c in shown[:5]), "across mm", "up mm"], rows))
    if len(rows) < len(session):
        lines.append(f"for {len(rows)} of {len(session)} shots, spread evenly over the log")
    if fresh.tired.any():
        lines.append(f"t {FRESH}")
    lines += [wrap(f"Caution: {c}") for c in fresh.cautions]
    costs = [
        [
            x.cause,
            levers.remedy(x),
            units.distance(x.carry_m),
            f"{units.distance(x.low_m)} to {units.distance(x.high_m)}",
        ]
        for x in found.losses
    ]
    if costs:
        lines += ["", "Where the yards go (carry, each cause put right alone; they overlap):", ""]
        lines.append(table(["cause", "if", "carry", "by single laws"], costs, left=2))
    return "\n".join(lines)
