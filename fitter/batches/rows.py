"""Text cells that no spreadsheet runs, and numbers in the units in force."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable
from dataclasses import dataclass, fields
from typing import Any, get_type_hints

from fitter.base.units import MPH, YARD

_RUNS = re.compile(r"(^\s*|[;|\t]\s*)(?=[=+\-@＝＋－＠'\t\r\n])")


def safe_text(words: str) -> str:
    """Text that a spreadsheet takes as text.

    A cell that begins with one of ``= + - @`` (of any width), a tab, a line end or an apostrophe gets an
    apostrophe before it, and so does what begins like that after a semicolon, a bar or a tab, where a
    spreadsheet of another country would begin a new cell. To undo it, take the apostrophe away from in
    front of such a character. Numbers are never changed: a negative one stays a number.

    Examples
    --------
    >>> safe_text("=1+1"), safe_text("P1"), safe_text("a;@b"), safe_text("-"), safe_text("1-2")
    ("'=1+1", 'P1', "a;'@b", "'-", '1-2')
    """
    return _RUNS.sub(r"\g<1>'", words)


def cell(value: Any) -> str:
    """One CSV cell."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return safe_text(value) if isinstance(value, str) else repr(value)


@dataclass(frozen=True)
class Column:
    """One column of a result: its header, its type, and how its value is taken from a row."""

    header: str
    kind: type
    take: Callable[[Any], Any]


_US = {"m": (YARD, "yd"), "mps": (MPH, "mph")}


def columns(cls: type, metric: bool) -> list[Column]:
    """Columns of a class of rows in the units in force; each header carries its unit.

    Yards and mph in place of metres and m/s, unless ``metric``; the verdict's sentence is the one in those
    units, under 'text'.
    """
    hints = get_type_hints(cls)
    out = []
    for field in fields(cls):
        name, kind = field.name, next(t for t in (str, bool, int, float) if t in _types(hints[field.name]))
        stem, _, unit = name.rpartition("_")
        if name == "text_metric":
            continue
        if name == "text" and metric:
            out.append(Column("text", str, lambda row: row.text_metric))
        elif unit in _US and not metric:
            factor, shown = _US[unit]
            out.append(Column(f"{stem}_{shown}", float, _scaled(name, factor)))
        elif name == "gain_unit" and not metric:
            out.append(Column(name, str, lambda row: "yd" if row.gain_unit == "m" else row.gain_unit))
        elif (name in GAINS or name == "threshold") and not metric:
            out.append(Column(name, float, _gain(name)))
        else:
            out.append(Column(name, kind, _plain(name)))
    return out


GAINS = {f"{stem}{end}" for stem in ("gain", "best_gain", "best_a_gain") for end in ("", "_low", "_high")}
"""Columns in the unit of 'gain_unit'."""


def _types(hint: Any) -> tuple[type, ...]:
    return getattr(hint, "__args__", None) or (hint,)


def _plain(name: str) -> Callable[[Any], Any]:
    return lambda row: getattr(row, name)


def _scaled(name: str, factor: float) -> Callable[[Any], Any]:
    def take(row: Any) -> Any:
        value = getattr(row, name)
        return None if value is None else round(value / factor, 3) + 0.0

    return take


def _gain(name: str) -> Callable[[Any], Any]:
    in_yards, as_it_is = _scaled(name, YARD), _plain(name)
    return lambda row: in_yards(row) if row.gain_unit == "m" else as_it_is(row)


RANKED = "ranked"
FEW = "too few to rank"
UNRANKED = "not ranked"
BROKEN = "broken file"
FAILED = "failed"
STATUSES = {
    RANKED: "everything that the log can carry",
    FEW: "fewer shots than a ranking needs: carry and losses alone",
    UNRANKED: "the log lacks what a ranking needs: carry and losses where they can be told",
    BROKEN: "the file could not be read",
    FAILED: "a fault of the program, not of the file",
}
"""What may stand under 'status', and what it means."""


@dataclass(frozen=True)
class PlayerRow:
    """One session of one player in one line; None, or '', where nothing can be said.

    Distances in m and speeds in m/s; gains in ``gain_unit``, with the ends of their 80 % intervals.

    Parameters
    ----------
    player, session, hand, present, club, ball : str
        Code of the roster, else the name in the log; the file; hand; present club as the roster has it, and
        under its id in the options; ball.
    status : str
        Key of `STATUSES`.
    shots, used, set_aside : int
        Shots in the log, kept, set aside as misreads.
    aside_reasons : str
        Number of each shot set aside, and why.
    carry_m, weak_carry_m : float or None
        Mean and 20th percentile with the present club.
    carry_from : str
        'replay' (the model through the measured shots), 'measured' (of the log) or 'flight' (of the starts).
    club_speed_mps : float or None
        Mean of the kept shots.
    loss_cause, loss_remedy : str
        What costs the most carry, and the change that was tried.
    loss_m : float or None
        Carry that it costs.
    objective, gain_unit : str
        What the gains are gains of.
    best_a, best, best_tier : str
        Best option of tier A and of all, by expected gain.
    worth : str
        Worth a fitting: 'yes', 'perhaps', 'no', or '' without a ranking; see `score.worth`.
    p_worth : float or None
        The probability behind ``worth``.
    measure_first : str
        The step that saves most doubt a minute.
    action, option, text, text_metric : str
        The verdict: change, keep, test or measure; its option; its sentence in yards and in metres.
    reason, notes : str
        Why it is not ranked; what to know before trusting a number.
    sheet : str
        File of the sheet in the folder of sheets.
    """

    player: str
    session: str
    status: str
    hand: str = ""
    present: str = ""
    club: str = ""
    ball: str = ""
    shots: int = 0
    used: int = 0
    set_aside: int = 0
    aside_reasons: str = ""
    carry_m: float | None = None
    weak_carry_m: float | None = None
    carry_from: str = ""
    club_speed_mps: float | None = None
    loss_cause: str = ""
    loss_m: float | None = None
    loss_remedy: str = ""
    objective: str = ""
    gain_unit: str = ""
    best_a: str = ""
    best_a_gain: float | None = None
    best_a_gain_low: float | None = None
    best_a_gain_high: float | None = None
    best: str = ""
    best_tier: str = ""
    best_gain: float | None = None
    best_gain_low: float | None = None
    best_gain_high: float | None = None
    worth: str = ""
    p_worth: float | None = None
    measure_first: str = ""
    action: str = ""
    option: str = ""
    text: str = ""
    text_metric: str = ""
    reason: str = ""
    notes: str = ""
    sheet: str = ""

    @property
    def scored(self) -> bool:
        """Whether the line says anything of the player's ball."""
        return self.status == RANKED or self.carry_m is not None


@dataclass(frozen=True)
class OptionRow:
    """One possible change of one player, computed in full; distances in m.

    The present club stands first, with tier 'present'. `p_best` and `tied` hold among a session's rows.
    """

    player: str
    session: str
    id: str
    tier: str
    head: str
    setting: float
    loft_deg: float
    face_angle_deg: float
    lie_deg: float
    shaft: str
    length_in: float
    ball_forward_mm: float
    tee_mm: float
    swing_weight: str
    total_mass_g: float
    club_speed_mps: float
    ball_speed_mps: float
    launch_deg: float
    spin_rpm: float
    apex_m: float
    carry_m: float
    carry_gain_m: float
    carry_gain_low_m: float
    carry_gain_high_m: float
    total_gain_m: float
    weak_carry_m: float
    offline_sd_m: float | None
    offline_sd_change_m: float | None
    gain: float
    gain_low: float
    gain_high: float
    gain_unit: str
    threshold: float
    p_better: float
    p_best: float
    p_worthwhile: float
    tied: bool
    availability: str
    price: float | None
    rules: str


@dataclass(frozen=True)
class Outcome:
    """What one job gives back: plain values only, so that it can travel and be kept."""

    row: PlayerRow
    options: tuple[OptionRow, ...] = ()
    sheet: bytes = b""


def clean(words: str) -> str:
    """Words of a file without control characters, line ends and marks that turn the direction of reading.

    Examples
    --------
    >>> clean("P1\\tof\\nthe  day\\x00 \\u202e")
    'P1 of the day?'
    """
    spaced = " ".join(words.split())
    marks = "\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufeff"
    kept = (c for c in spaced if c not in marks)
    return "".join("?" if unicodedata.category(c) in ("Cc", "Cs", "Zl", "Zp") else c for c in kept).strip()


def sentence(words: Iterable[str]) -> str:
    """Several remarks as one line."""
    return clean("; ".join(w.strip().rstrip(".") for w in words if w.strip()))
