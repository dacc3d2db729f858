"""The vocabulary of a shot: channels, flags and the session that holds them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fitter.base.assumptions import current
from fitter.base.errors import InputError, Problem
from fitter.base.units import UNITS
from fitter.shots.reader.synonyms import SYNONYMS

Floats = NDArray[np.float64]
Limits = tuple[float, float]


@dataclass(frozen=True)
class Channel:
    """One column of a session.

    Parameters
    ----------
    name : str
        Name with its unit, such as 'club_speed_mps'.
    group : str
        'who', 'swing', 'strike', 'start', 'finish' or 'setup'.
    label : str
        What people read.
    quantity : str or None
        Quantity of `fitter.base.units`; None for words.
    unit : str or None
        Unit of the values, a key of `fitter.base.units.UNITS`.
    mirrored : bool
        Whether the sign flips between right- and left-handers.
    """

    name: str
    group: str
    label: str
    quantity: str | None = None
    unit: str | None = None
    mirrored: bool = False

    @property
    def stem(self) -> str:
        """Name without its unit, such as 'club_speed'."""
        return self.name.rpartition("_")[0] if self.unit else self.name

    @property
    def limits(self) -> Limits | None:
        """Outside these a value is a misread, in ``unit``; None where nothing is judged."""
        return _limits(self.stem, self.unit)

    @property
    def warn(self) -> Limits | None:
        """Outside these a value is unusual, in ``unit``; None where nothing is judged."""
        return _limits(f"{self.stem}_warn", self.unit)


def _limits(stem: str, unit: str | None) -> Limits | None:
    """Judged numbers ``limit.<stem>_low`` and ``_high`` in a unit; None where there are none."""
    a = current()
    names = [f"limit.{stem}_{end}" for end in ("low", "high")]
    if names[0] not in a:
        return None
    low, high = (
        a.value(n)
        if unit is None or a[n].unit == unit
        else a.value(n) * (UNITS[a[n].unit].factor / UNITS[unit].factor)
        for n in names
    )
    return low, high


def ratio_limits() -> tuple[Limits, Limits]:
    """Ball speed over club speed: impossible outside the first limits, unusual outside the second."""
    anything = (0.0, float("inf"))
    return _limits("ratio", None) or anything, _limits("ratio_warn", None) or anything


def _words(*names: str) -> list[Channel]:
    return [Channel(name, "who", name.replace("_", " ")) for name in names]


_ALL = [
    *_words("player", "hand", "club", "build", "ball", "shot", "time", "intent", "place", "note"),
    Channel("club_speed_mps", "swing", "club speed", "speed", "m/s"),
    Channel("speed_point", "swing", "speed point"),
    Channel("face_point", "swing", "face point"),
    Channel("attack_deg", "swing", "attack", "angle", "deg"),
    Channel("path_deg", "swing", "path", "angle", "deg", mirrored=True),
    Channel("face_deg", "swing", "face", "angle", "deg", mirrored=True),
    Channel("dynamic_loft_deg", "swing", "delivered loft", "angle", "deg"),
    Channel("strike_toe_mm", "strike", "strike toe", "length", "mm"),
    Channel("strike_high_mm", "strike", "strike high", "length", "mm"),
    Channel("strike_source", "strike", "strike source"),
    Channel("ball_speed_mps", "start", "ball speed", "speed", "m/s"),
    Channel("launch_deg", "start", "launch", "angle", "deg"),
    Channel("direction_deg", "start", "direction", "angle", "deg", mirrored=True),
    Channel("spin_rpm", "start", "spin", "spin", "rpm"),
    Channel("spin_axis_deg", "start", "spin axis", "angle", "deg", mirrored=True),
    Channel("carry_m", "finish", "carry", "length", "m"),
    Channel("total_m", "finish", "total", "length", "m"),
    Channel("offline_m", "finish", "offline", "length", "m", mirrored=True),
    Channel("apex_m", "finish", "apex", "length", "m"),
    Channel("descent_deg", "finish", "descent", "angle", "deg"),
    Channel("tee_mm", "setup", "tee height", "length", "mm"),
    Channel("ball_forward_mm", "setup", "ball forward", "length", "mm"),
]
CHANNELS: dict[str, Channel] = {channel.name: channel for channel in _ALL}
"""Every channel by name, in the order of tables."""
NUMBERS = tuple(c.name for c in _ALL if c.unit)
"""Channels that hold numbers."""
WORDS = tuple(c.name for c in _ALL if not c.unit and c.name not in ("player", "hand", "shot"))
"""Channels that hold words, shot by shot."""


POINTS = {
    "face_point": {"centre": ("cent", "middle"), "strike": ("strike", "impact", "contact", "struck")},
    "speed_point": {"face": ("face", "cent(er|re)$"), "mass": ("mass", "gravity", "cg$", "com$")},
}
"""Points to which a device's numbers may belong, and words that name them; any other word leaves it open."""
OPEN_POINT = "unknown"


def point(channel: str, words: str) -> int | None:
    """Place in `POINTS` that words name, None where they leave it open.

    Examples
    --------
    >>> point("face_point", "point of impact"), point("speed_point", "CG"), point("face_point", "unknown")
    (1, 1, None)
    """
    said = words.casefold()
    for place, known in enumerate(POINTS[channel].values()):
        if any(re.search(rf"\b{word}", said) for word in known):
            return place
    return None


@dataclass(frozen=True)
class Estimate:
    """What the other channels of a shot say of one: value and SD, in the channel's unit."""

    value: float
    sd: float


@dataclass(frozen=True)
class Flag:
    """What is doubtful in one shot, and whether that sets the shot aside.

    Parameters
    ----------
    shot : int
        Order of the shot in its session, from 1.
    channel, reason : str
        The channel, '' for the whole shot, and why it is flagged.
    found : float or str
        What stands there: a number in ``unit``, or words.
    expected : tuple of float, Estimate or str
        What was expected: limits, what the other channels say, or words.
    set_aside : bool
        True for a misread; False for a warning, which changes nothing.
    unit : str
        Unit of the numbers, '' for a ratio and for words.
    """

    shot: int
    channel: str
    reason: str
    found: float | str
    expected: Limits | Estimate | str
    set_aside: bool
    unit: str = ""

    def mirrored(self) -> Flag:
        """Return the same flag in the mirror: numbers of a side flip, words stay."""
        if self.channel not in CHANNELS or not CHANNELS[self.channel].mirrored:
            return self
        found, expected = self.found, self.expected
        if isinstance(expected, tuple):
            expected = (0.0 - expected[1], 0.0 - expected[0])
        elif isinstance(expected, Estimate):
            expected = replace(expected, value=0.0 - expected.value)
        return replace(self, found=found if isinstance(found, str) else 0.0 - found, expected=expected)


@dataclass(frozen=True)
class Doubt:
    """What a whole log contradicts, or leaves open: no verdict may be 'change' while it stands.

    Parameters
    ----------
    code : str
        'exchanged' (two columns), 'sign' (turned), 'unit' (mistaken), 'disagrees' (a relation without a
        cure), 'two clubs', 'shifted' (rows).
    channels : tuple of str
        Those that are doubted.
    cure : tuple of (str, str)
        Corrections of headers that would mend it, as ``--map`` takes them.
    unit : str
        Unit in which the cells seem to be written, for 'unit'.
    about : str
        Channel whose values show it.
    shots, of : int
        Shots that show it, of those that could.
    found, expected : float
        Middle of what stands there and of what the others say, in the unit of ``about``.
    """

    code: str
    channels: tuple[str, ...]
    cure: tuple[tuple[str, str], ...] = ()
    unit: str = ""
    about: str = ""
    shots: int = 0
    of: int = 0
    found: float = float("nan")
    expected: float = float("nan")

    def mirrored(self) -> Doubt:
        """Return the same doubt in the mirror."""
        if self.about not in CHANNELS or not CHANNELS[self.about].mirrored:
            return self
        return replace(self, found=0.0 - self.found, expected=0.0 - self.expected)


@dataclass(frozen=True)
class LeftOut:
    """A channel that contradicts all others of its session: left out, so that no shot is lost by it.

    Parameters
    ----------
    channel : str
    found, expected : float
        Mean of what stands there, and of what the other channels say, in ``unit``.
    apart : float
        Root mean square of their difference, in ``unit``.
    unit : str
    """

    channel: str
    found: float
    expected: float
    apart: float
    unit: str

    def mirrored(self) -> LeftOut:
        """Return the same in the mirror."""
        if not CHANNELS[self.channel].mirrored:
            return self
        return replace(self, found=0.0 - self.found, expected=0.0 - self.expected)


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
