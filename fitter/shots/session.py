"""The shots of one player out of one file, with what was understood and found."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fitter.base.errors import InputError, Problem
from fitter.shots.findings import Doubt, Flag, LeftOut
from fitter.shots.reader.synonyms import SYNONYMS
from fitter.shots.vocabulary import CHANNELS, Channel, point

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Column:
    """What was understood of one column of a file.

    Parameters
    ----------
    header : str
        The words in the file.
    channel : str
        Name of the channel, or '' when the column is not used.
    unit : str
        Unit in which the column was read, '' for words.
    how : str
        Where the unit or the channel comes from.
    """

    header: str
    channel: str
    unit: str
    how: str


@dataclass(frozen=True, eq=False)
class Session:
    """The shots of one player out of one file, n shots, in a right-handed frame.

    Parameters
    ----------
    player, hand, source : str
        Code of the player, 'right' or 'left', and the file. A left-hander's values are mirrored already.
    values : mapping of str to ndarray, shape (n,)
        Measured channels, each in the unit of its name, NaN where missing.
    words : mapping of str to tuple of str
        Channels of words, n entries each, '' where missing.
    estimated : mapping of str to ndarray of bool, shape (n,)
        True where the device estimated the value.
    shot, row : ndarray of int64, shape (n,)
        Order of the shot from 1, and its row in the file.
    flags : tuple of Flag
        What is doubtful.
    set_aside : ndarray of bool, shape (n,)
        True for misreads.
    columns : mapping of str to Column
        What was understood, by header.
    notices : tuple of str
        Sentences that the reader should see.
    not_read : int
        Balls that were hit but not read: lost mishits flatter what is left.
    doubts : tuple of Doubt
        What the whole log contradicts.
    others : Session or None
        Shots of the same log that are not the present club's, with their labels: evidence for a trial.
    left_out : tuple of LeftOut
        Channels that are not used.
    """

    player: str
    hand: str
    source: str
    values: Mapping[str, Floats]
    words: Mapping[str, tuple[str, ...]]
    estimated: Mapping[str, NDArray[np.bool_]]
    shot: NDArray[np.int64]
    row: NDArray[np.int64]
    flags: tuple[Flag, ...] = ()
    set_aside: NDArray[np.bool_] = field(default_factory=lambda: np.zeros(0, dtype=bool))
    columns: Mapping[str, Column] = field(default_factory=lambda: MappingProxyType({}))
    notices: tuple[str, ...] = ()
    not_read: int = 0
    doubts: tuple[Doubt, ...] = ()
    others: Session | None = None
    left_out: tuple[LeftOut, ...] = ()

    def __post_init__(self) -> None:
        if len(self.set_aside) != len(self.shot):
            object.__setattr__(self, "set_aside", np.zeros(len(self.shot), dtype=bool))

    def __getstate__(self) -> dict[str, Any]:
        # Read-only mappings cannot be pickled, and sessions travel to other processes.
        return {k: dict(v) if isinstance(v, MappingProxyType) else v for k, v in self.__dict__.items()}

    def __setstate__(self, state: dict[str, Any]) -> None:
        for k, v in state.items():
            object.__setattr__(self, k, MappingProxyType(v) if isinstance(v, dict) else v)

    def __len__(self) -> int:
        return len(self.shot)

    def has(self, channel: str) -> bool:
        """Whether at least one shot carries a channel."""
        if channel in self.values:
            return bool(np.isfinite(self.values[channel]).any())
        return any(self.words.get(channel, ()))

    def value(self, channel: str) -> Floats:
        """Values of a channel, shape (n,), NaN where missing, even if the file has no such column."""
        return self.values[channel] if channel in self.values else np.full(len(self), np.nan)

    def used(self, channel: str) -> Floats:
        """Values of a channel, shape (n,), NaN where missing and where the channel is left out."""
        if any(x.channel == channel for x in self.left_out):
            return np.full(len(self), np.nan)
        return self.value(channel)

    def word(self, channel: str) -> tuple[str, ...]:
        """Words of a channel, n entries, '' where missing."""
        return self.words.get(channel, ("",) * len(self))

    def told_point(self, channel: str) -> int | None:
        """Place in `POINTS` that most of a channel's words name, None where none does."""
        said = [point(channel, w) for w in self.word(channel) if w.strip()]
        return next((p for p in (0, 1) if 2 * said.count(p) > len(said)), None)

    def saying(self, words: Mapping[str, str]) -> Session:
        """Add words to every shot, for channels of which the session says nothing; '' adds nothing."""
        new = {c: (w,) * len(self) for c, w in words.items() if w and not self.has(c)}
        return replace(self, words=MappingProxyType(dict(self.words) | new)) if new else self

    def take(self, mask: NDArray[np.bool_] | NDArray[np.int64]) -> Session:
        """Pick shots by a mask or by indices; they keep their shot numbers."""
        at = np.flatnonzero(mask) if mask.dtype == bool else np.asarray(mask)
        kept = {int(s) for s in self.shot[at]}
        return replace(
            self,
            values=MappingProxyType({k: v[at] for k, v in self.values.items()}),
            words=MappingProxyType({k: tuple(v[i] for i in at) for k, v in self.words.items()}),
            estimated=MappingProxyType({k: v[at] for k, v in self.estimated.items()}),
            shot=self.shot[at],
            row=self.row[at],
            set_aside=self.set_aside[at],
            flags=tuple(f for f in self.flags if f.shot in kept),
        )

    def part(self, mask: NDArray[np.bool_]) -> Session:
        """Pick shots by a mask, and keep the rest beside them as others."""
        return self if mask.all() else replace(self.take(mask), others=self.take(~mask))

    def kept(self) -> Session:
        """Return the shots that are not set aside."""
        return self.take(~self.set_aside)

    def with_findings(self, some: Session) -> Session:
        """Return this session with what was found on some of its shots: flags, set-asides and doubts."""
        if len(some) == len(self):
            return some
        known = set(self.flags)
        flags = [*self.flags, *(f for f in some.flags if f not in known)]
        aside = {int(s) for s in some.shot[some.set_aside]}
        return replace(
            self,
            flags=tuple(sorted(flags, key=lambda f: f.shot)),
            set_aside=self.set_aside | np.array([int(s) in aside for s in self.shot], dtype=bool),
            doubts=some.doubts,
        )

    def evenly(self, most: int) -> Session:
        """Return so many shots at most, spread evenly over the session; those set aside go first."""
        at = np.flatnonzero(~self.set_aside)
        if len(self) <= most or len(at) <= 1:
            return self
        return self.take(at[np.unique(np.linspace(0, len(at) - 1, min(most, len(at))).round().astype(int))])

    def mirrored(self) -> Session:
        """Return the same shots in the mirror: signs of path, face, direction, axis and offline flip.

        What a left-handed player should read is the mirror of what is held, flags included.
        """
        flags, doubts = tuple(f.mirrored() for f in self.flags), tuple(d.mirrored() for d in self.doubts)
        out = tuple(x.mirrored() for x in self.left_out)
        return replace(
            self, values=MappingProxyType(mirror(self.values)), flags=flags, doubts=doubts, left_out=out
        )


def mirror(values: Mapping[str, Floats]) -> dict[str, Floats]:
    """Flip the channels whose sign depends on the hand; the strike's toe and heel do not."""
    return {k: (0.0 - v if CHANNELS[k].mirrored else v) for k, v in values.items()}


def _examples(channel: Channel) -> list[str]:
    """Header words that are understood for a channel."""
    words = SYNONYMS.get(channel.name, channel.label).split(", ")[:3]
    return [channel.name, *(f"{w} ({channel.unit})" if channel.unit else w for w in words)]


def require(session: Session, channels: Iterable[str]) -> None:
    """Demand that a session carries channels.

    Raises
    ------
    InputError
        With every channel that is missing, what was found instead, and the words that would be understood.
    """
    found = [c.header for c in session.columns.values()]
    problems = [
        Problem(
            f"{session.source}, column for {CHANNELS[name].label}",
            f"none (the columns are {', '.join(repr(h) for h in found) or 'none'})",
            ", ".join(map(repr, _examples(CHANNELS[name]))),
            f"Add the column, or name it with --map 'Their header={name}'.",
        )
        for name in channels
        if not session.has(name)
    ]
    if problems:
        raise InputError(f"{session.source} lacks what this needs.", problems)
