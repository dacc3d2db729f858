"""What is remembered of players: plain records, typed, each known by a digest of its content."""

from __future__ import annotations

import hashlib
from typing import Any

import msgspec


class _Record(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Fields of every record of a player."""


class Player(_Record, frozen=True, kw_only=True):
    """A player.

    Parameters
    ----------
    code : str
        Short name under which the shop knows the player; capital letters make no difference.
    hand : str
        'right' or 'left', '' where nobody said.
    note : str
        The shop's words.
    health : dict of str to str
        What the player chose to tell, by question: kept here alone, and erased with the player.
    """

    code: str
    hand: str = ""
    note: str = ""
    health: dict[str, str] = {}


class Visit(_Record, frozen=True, kw_only=True):
    """Shots of one player on one day, as they came, with what was decided about them.

    Parameters
    ----------
    player, digest : str
    day : str
        ISO date.
    log_name : str
        Name of the log's file, without its folder.
    reading : dict
        How the log is read: hand, player, map, set, aside, club, day, sheet, units.
    measured_in : dict
        Fields of `base.conditions.Conditions`.
    club : str
        Club that hit the shots, in words: HEAD/SHAFT, the name of its card, or unknown.
    card : str
        TOML of its card, '' without one.
    kit : str
        Digest of the kit as it was, '' without one; see `Kit`.
    device : str
        Code of the device, '' where nothing is said.
    shots, set_aside : int
    club_speed_mps : float or None
        Mean over the shots that count.
    flags : list of str
        What was doubtful, in sentences.
    anchor : str
        Anchor club in words, and the label of its shots in the log; '' without one.
    anchor_card : str
    """

    player: str
    digest: str
    day: str
    log_name: str
    reading: dict[str, Any] = {}
    measured_in: dict[str, Any] = {}
    club: str = "unknown"
    card: str = ""
    kit: str = ""
    device: str = ""
    shots: int = 0
    set_aside: int = 0
    club_speed_mps: float | None = None
    flags: list[str] = []
    anchor: str = ""
    anchor_card: str = ""


class Promise(_Record, frozen=True, kw_only=True):
    """What was predicted of one option against the present club.

    Parameters
    ----------
    option : str
        Id.
    words : str
        The option as people read it.
    kind : str
        Kind of the change: see `calibration.KINDS`.
    carry_m, total_m : list of float
        Gain: low, mean, high (80 %).
    value : list of float
        The same in the unit of the goal.
    """

    option: str
    words: str
    kind: str
    carry_m: list[float]
    total_m: list[float]
    value: list[float]


class Fitting(_Record, frozen=True, kw_only=True):
    """A decision: what was asked, recommended and chosen.

    Parameters
    ----------
    player, digest, day : str
    visit : str
        Digest of the visit.
    goal, unit : str
        What it was for, and the unit of its values.
    asked : dict
        Draws, seed and conditions of the question.
    action, text : str
        Verdict, and its sentence.
    recommended : str
        Id of the named option, '' where the present club stays.
    promises : list of Promise
        Of the named option first, then of those shown.
    pick : str
        The fitter's own, before the ladder was seen; '' if none.
    chosen, why : str
        What the player decided for, and the reason; '' until it is said.
    """

    player: str
    digest: str
    day: str
    visit: str
    goal: str
    unit: str
    asked: dict[str, Any] = {}
    action: str
    text: str
    recommended: str = ""
    promises: list[Promise] = []
    pick: str = ""
    chosen: str = ""
    why: str = ""

    def promise(self, option: str) -> Promise | None:
        """What was predicted of an option, None where nothing is kept of it."""
        return next((p for p in self.promises if p.option == option), None)


class Lesson(_Record, frozen=True, kw_only=True):
    """A measured number beside what was expected of it, and how both hang on what is not known.

    ``measured = expected + sum(slopes x (theta - at)) + noise``: whoever holds priors of the thetas can
    learn from it, see `learning`.

    Parameters
    ----------
    what : str
        Channel, such as 'carry_m'.
    measured, noise : float
        Value, and the SD of its error.
    expected, sd : float
        Mean and SD of what was predicted; the SD without the noise.
    slopes : dict of str to float
        Change of the expectation for one unit of a judged number, by its name.
    at : dict of str to float
        Values of these numbers at which ``expected`` holds.
    """

    what: str
    measured: float
    noise: float
    expected: float
    sd: float
    slopes: dict[str, float] = {}
    at: dict[str, float] = {}


class Outcome(_Record, frozen=True, kw_only=True):
    """What came of a promise: measured against predicted.

    Parameters
    ----------
    player, digest, day : str
    fitting : str
        Digest of the fitting whose promise it is, '' where there was none.
    option, kind : str
        As in `Promise`.
    how : str
        'trial', 'compare' (both clubs hit on one day), 'follow-up' or 'told'.
    balls : int
        With the new club.
    picked : str
        'advisor', 'fitter' or 'both': whose choice the option was; '' neither.
    lessons : list of Lesson
        By channel, the carry among them where it was measured.
    tried : str
        Digest of the balls, '' where they are not kept.
    """

    player: str
    digest: str
    day: str
    fitting: str = ""
    option: str
    kind: str
    how: str
    balls: int = 0
    picked: str = ""
    lessons: list[Lesson] = []
    tried: str = ""

    def lesson(self, what: str = "carry_m") -> Lesson | None:
        """Lesson of a channel, None where it was not measured."""
        return next((x for x in self.lessons if x.what == what), None)


class Trial(_Record, frozen=True, kw_only=True):
    """A fair trial: its file as it is written, whole.

    Parameters
    ----------
    player, digest, day : str
    visit : str
        Digest of the visit from which it was planned, '' where that is not kept.
    record : dict
        As `fitter.trial.record` writes it.
    finished : bool
    """

    player: str
    digest: str
    day: str
    visit: str = ""
    record: dict[str, Any]
    finished: bool = False


class Tried(_Record, frozen=True, kw_only=True):
    """Balls hit with several clubs, those that count: what they told once, they tell again.

    Parameters
    ----------
    player, digest, day : str
    clubs : list of str
        Codes.
    club : list of int
        Place of each ball's club among them.
    stretch, order : list of int
        Stretch in which each ball was hit, from 0, and its number there.
    values : dict of str to list of float or None
        Channels, right-handed frame, in the unit of their name; None where not measured.
    """

    player: str
    digest: str
    day: str
    clubs: list[str]
    club: list[int]
    stretch: list[int]
    order: list[int]
    values: dict[str, list[float | None]]


class Card(_Record, frozen=True, kw_only=True):
    """A club of the player.

    Parameters
    ----------
    player, digest, day : str
    name, text : str
        Name of the card's file, and its TOML.
    """

    player: str
    digest: str
    day: str
    name: str
    text: str


class Kit(_Record, frozen=True, kw_only=True):
    """The shop's kit as it was on some day: the bytes of its files by name."""

    digest: str
    files: dict[str, bytes]


Entry = Visit | Fitting | Trial | Outcome | Tried | Card
KINDS: dict[str, type[Entry]] = {
    "visit": Visit, "fitting": Fitting, "trial": Trial, "outcome": Outcome,
    "tried": Tried, "card": Card,
}  # fmt: skip
"""Entries of a player by kind."""


def kind_of(entry: Entry) -> str:
    """Kind of an entry, a key of `KINDS`."""
    return type(entry).__name__.casefold()


def digest(*parts: str | bytes) -> str:
    """Digest of contents, the same everywhere: 32 hex digits.

    Examples
    --------
    >>> digest("P1", b"carry") == digest("P1", "carry"), digest("P1c", "arry") == digest("P1", "carry")
    (True, False)
    """
    found = hashlib.blake2b(digest_size=16)
    for part in parts:
        raw = part.encode("utf-8", "surrogateescape") if isinstance(part, str) else part
        found.update(len(raw).to_bytes(8, "little") + raw)
    return found.hexdigest()
