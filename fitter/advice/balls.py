"""Balls that were hit with known clubs, and how two heaps of them become one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.kit.club import Club
from fitter.shots.session import Session

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

OBSERVED = (
    "club_speed_mps", "ball_speed_mps", "launch_deg", "spin_rpm", "carry_m", "total_m", "offline_m",
)  # fmt: skip
"""Channels of a ball that tell something of its club, in the order of every array of this kind."""
HOME = 0
"""Block of the balls from which the ranking was predicted."""


@dataclass(frozen=True, eq=False)
class Balls:
    """Balls hit with known clubs, n of them, right-handed frame.

    Parameters
    ----------
    clubs : tuple of Club
        Distinct builds, the present one among them if it was hit.
    club : ndarray of int64, shape (n,)
        Index into the clubs.
    block : ndarray of int64, shape (n,)
        Which balls were hit in one stretch: each block has its own level and its own drift. `HOME` is that of
        the baseline's log and day; any other number is another day or another stretch.
    order : ndarray, shape (n,)
        Number of the ball within its block, for the drift.
    values : mapping of str to ndarray, shape (n,)
        Channels of `OBSERVED` in the unit of their name, NaN where not measured; those missing altogether may
        be left out.
    sources : tuple of str
        Where they come from: 'log', 'hit', 'trial' or 'typed'.
    """

    clubs: tuple[Club, ...]
    club: Ints
    block: Ints
    order: Floats
    values: Mapping[str, Floats]
    sources: tuple[str, ...] = ()

    def __len__(self) -> int:
        return len(self.club)

    @property
    def table(self) -> Floats:
        """Values of `OBSERVED`, shape (n, 7), NaN where not measured."""
        nothing = np.full(len(self), np.nan)
        return np.stack([np.asarray(self.values.get(name, nothing), float) for name in OBSERVED], axis=1)

    @property
    def codes(self) -> tuple[str, ...]:
        """Code of the club of each ball."""
        return tuple(self.clubs[k].code for k in self.club)

    def counts(self) -> dict[str, int]:
        """Balls by code of the club."""
        found: dict[str, int] = {}
        for code in self.codes:
            found[code] = found.get(code, 0) + 1
        return found

    def joined(self, other: Balls) -> Balls:
        """Both, in an order that does not hang on which came first; a ball that stands in both counts once.

        A ball is the same if club and all measured numbers are, and at least two were measured. Two that
        read alike in one of the heaps are two.
        """
        clubs = {c.code: c for c in (*self.clubs, *other.clubs)}
        place = {code: k for k, code in enumerate(sorted(clubs))}
        table = np.concatenate([self.table, other.table])
        club = np.array([place[code] for code in (*self.codes, *other.codes)], dtype=np.int64)
        block, order = (np.concatenate([getattr(x, n) for x in (self, other)]) for n in ("block", "order"))
        # Of two alike the one of the lower block stays, whoever brought it.
        keys = [*np.nan_to_num(table.T, nan=-1e300), club, order, block]
        seen: set[tuple[bytes, int]] = set()
        again: dict[tuple[bytes, bool], int] = {}
        kept = []
        for i in np.lexsort(keys):
            heap, own = bool(i < len(self)), np.append(table[i], club[i]).tobytes()
            again[own, heap] = nth = again.get((own, heap), 0) + 1
            if (own, nth) in seen and np.isfinite(table[i]).sum() > 1:
                continue
            seen.add((own, nth))
            kept.append(i)
        return Balls(
            tuple(clubs[code] for code in sorted(clubs)),
            club[kept],
            block[kept],
            order[kept],
            {name: table[kept, k] for k, name in enumerate(OBSERVED)},
            tuple(dict.fromkeys((*self.sources, *other.sources))),
        )

    def take(self, mask: NDArray[np.bool_]) -> Balls:
        """Some of them."""
        return Balls(
            self.clubs,
            self.club[mask],
            self.block[mask],
            self.order[mask],
            {name: v[mask] for name, v in self.values.items()},
            self.sources,
        )


NONE = Balls((), np.zeros(0, np.int64), np.zeros(0, np.int64), np.zeros(0), {})
"""No balls."""


def of_club(session: Session, club: Club, block: int, source: str) -> Balls:
    """Balls of a session that were all hit with one club in one stretch; those set aside are left out."""
    return of_session(
        session, (club,), np.zeros(len(session), np.int64), np.full(len(session), block), source
    )


def of_session(session: Session, clubs: tuple[Club, ...], club: Ints, block: Ints, source: str) -> Balls:
    """Balls of a session; misreads, estimates and balls of no known club are left out.

    An estimated value is the device's guess and no measurement: a spin that is nobody's tells nothing.
    """
    kept = (club >= 0) & ~session.set_aside
    values: dict[str, Floats] = {}
    for name in OBSERVED:
        value = session.used(name)
        guessed = session.estimated.get(name)
        value = value if guessed is None else np.where(guessed, np.nan, value)
        values[name] = value[kept]
    return Balls(
        clubs,
        club[kept],
        np.asarray(block, dtype=np.int64)[kept],
        session.shot[kept].astype(np.float64),
        values,
        (source,) if kept.any() else (),
    )
