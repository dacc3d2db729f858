"""Header words: which channel a column holds, and in which unit."""

from __future__ import annotations

import difflib
import re
import unicodedata
from dataclasses import dataclass, replace
from functools import lru_cache

from fitter.base.assumptions import current
from fitter.base.units import Unit, find_unit
from fitter.shots.reader.synonyms import (
    ABBREVIATIONS,
    ABROAD,
    AMBIGUOUS,
    GROUPS,
    INGREDIENTS,
    OTHERS,
    SYNONYMS,
    UNIT_WORDS,
    by_word,
)
from fitter.shots.vocabulary import CHANNELS, Channel

SERVING = {
    c.name: c
    for c in (
        Channel("back_spin_rpm", "start", "back spin", "spin", "rpm"),
        Channel("side_spin_rpm", "start", "side spin", "spin", "rpm", mirrored=True),
        Channel("face_to_path_deg", "swing", "face to path", "angle", "deg", mirrored=True),
        Channel("carry_side_m", "finish", "carry side", "length", "m", mirrored=True),
        Channel("heel_mm", "strike", "heel", "length", "mm"),
        Channel("low_mm", "strike", "low", "length", "mm"),
        Channel("ball_club_ratio", "start", "ball/club ratio", "ratio", ""),
        Channel("spin_source", "start", "spin source"),
    )
}
"""Columns that are no channel of a session but serve to make or to check one."""
_SHORT, _UNITS = by_word(ABBREVIATIONS), by_word(UNIT_WORDS)
ESTIMATED_WORDS = frozenset(
    {"estimated", "calculated", "computed", "modelled", "modeled", "predicted", "derived"}
)
_QUALIFIERS = ESTIMATED_WORDS | {"measured", "meas"}
_STOP_WORDS = frozenset({"actual", "raw", "value", "the", "of", "at", "your", "de"})
_BRACKET = re.compile(r"[(\[{<]([^)\]}>]*)[)\]}>]")
_CAMEL = re.compile(r"(?<=[a-z])(?=[A-Z])|(?<=[A-Z])(?=[A-Z][a-z])|(?<=\w)(?=[°º])")
# Letters that take turns in case, or have points between them, are no words of their own.
_DOTTED = re.compile(r"\ba\.?o\.?a\b\.?", re.IGNORECASE)
_SIGN = re.compile(
    r"^(?P<side>r|right|up|u|toe|t|high|h|open|in to out|l|left|down|d|dn|heel|low|closed|out to in)"
    r"( is| =)? ?(?P<sign>\+|-|pos(itive)?|neg(ative)?|plus|minus)$"
)
_NEUTRAL = frozenset(
    {"l r", "r l", "left right", "right left", "in out", "open closed", "up down", "toe heel", "high low"}
)
_FORWARD = frozenset({"r", "right", "up", "u", "toe", "t", "high", "h", "open", "in to out"})


@dataclass(frozen=True)
class Match:
    """What a header says.

    Parameters
    ----------
    channel : str
        Name of a channel or of one that serves others, or '' if the words are not known.
    unit_text : str
        The unit as written, '' if there is none.
    unit : Unit or None
        The unit, None if it is absent or unknown.
    estimated : bool
        Whether the header says that the device computed the values.
    sign : float
        -1 where the header says that the other side counts positive.
    near : str
        The synonym that misspelt words were taken for, else ''.
    could_be : tuple of str
        Channels that ambiguous words could be.
    sign_said : bool
        Whether the header says which side counts positive.
    """

    channel: str
    unit_text: str = ""
    unit: Unit | None = None
    estimated: bool = False
    sign: float = 1.0
    near: str = ""
    could_be: tuple[str, ...] = ()
    sign_said: bool = False


@lru_cache(maxsize=4096)
def plain(text: str) -> str:
    """Return lower-case words without accents, punctuation or case changes inside words."""
    text = _DOTTED.sub("aoa", text)
    text = unicodedata.normalize("NFKD", _CAMEL.sub(" ", text).replace("ß", "ss"))
    text = "".join(c for c in text if not unicodedata.combining(c)).casefold()
    return " ".join(re.sub(r"[^\w#]+|_", " ", text).split())


def channel_of(name: str) -> Channel:
    """Channel of a session, or one that serves others, of this name."""
    return CHANNELS[name] if name in CHANNELS else SERVING[name]


def unit_of(text: str) -> tuple[str, Unit] | None:
    """Name and value of a unit in any spelling, None if it is no unit."""
    text = " ".join(text.strip().strip(".[](){}").split())
    name = _UNITS.get(text.casefold(), text)
    unit = find_unit(name) if name else None
    return (name, unit) if unit else None


def _key(words: str, drop: frozenset[str] = _STOP_WORDS) -> str:
    """Order-free key of plain words with short forms written out."""
    full = " ".join(_SHORT.get(w, w) for w in words.split()).split()
    return " ".join(sorted([w for w in full if w not in drop] or full))


@lru_cache(maxsize=1)
def _lexicon() -> dict[str, str]:
    entries: dict[str, str] = {}
    for name in OTHERS.split(", "):
        entries[_key(plain(name))] = ""
    for table in (ABROAD, SYNONYMS, INGREDIENTS):
        for name, words in table.items():
            entries.update({_key(plain(w)): name for w in words.split(", ")})
    for name, channel in CHANNELS.items():
        entries.setdefault(_key(plain(channel.stem)), name)
    return entries


@lru_cache(maxsize=1)
def _ambiguous() -> dict[str, tuple[str, ...]]:
    return {_key(words): names for words, names in AMBIGUOUS.items()}


def understand(header: str, fuzzy: bool = True) -> Match:
    """Read a header such as 'Club Speed (mph)', 'launch [deg]', 'carry, yd' or 'club_speed_mps'.

    Parameters
    ----------
    header : str
        The words in the file.
    fuzzy : bool
        Whether misspelt words may be matched, which takes a hundred times longer.

    Returns
    -------
    Match
        Channel '' if unknown; ``unit_text`` with ``unit`` None if the unit does not exist.

    Examples
    --------
    >>> understand("Ball Speed [km/h]").channel
    'ball_speed_mps'
    >>> understand("Launch Angel (deg)").near
    'angle launch'
    """
    a = current()
    return _understood(header, (a.value("intake.close"), a.value("intake.clear")) if fuzzy else None)


@lru_cache(maxsize=4096)
def _understood(header: str, likeness: tuple[float, float] | None) -> Match:
    """`understand`; likeness is how like a synonym misspelt words must be, and by how much the most like."""
    header = " ".join(re.sub(r"(?<=\w)([°º])", r" \1", header).split())
    if header in CHANNELS:
        unit_name = CHANNELS[header].unit or ""
        return Match(header, unit_name, find_unit(unit_name) if unit_name else None)
    inside = [part.strip() for b in _BRACKET.findall(header) for part in re.split(r"[,;]", b)]
    rest = _BRACKET.sub(" ", header)
    estimated, sign, said = _says_estimated(rest), 1.0, False
    units, remarks = [], []
    for text in inside:
        words = plain(text)
        if sign_note := _sign_note(text):
            sign, said = sign_note, True
        elif words in _NEUTRAL:
            continue
        elif unit_of(text):
            units.append(text)
        elif set(_key(words).split()) & ESTIMATED_WORDS or set(words.split()) <= _STOP_WORDS | _QUALIFIERS:
            estimated |= _says_estimated(text)
        elif text:
            remarks.append(text)
    found = Match("", estimated=estimated, sign=sign, sign_said=said)
    if units:
        found = replace(found, unit_text=units[-1], unit=(unit_of(units[-1]) or ("", None))[1])
    # Bracketed words may belong to the name, 'Launch (vertical)', or be a unit that does not exist.
    if remarks:
        whole = _named(rest + " " + " ".join(remarks), found, None)
        if whole.channel or whole.could_be:
            return whole
        found = found if found.unit else replace(found, unit_text=remarks[-1])
    return _named(rest, found, likeness)


def _says_estimated(text: str) -> bool:
    return bool({_SHORT.get(w, w) for w in plain(text).split()} & ESTIMATED_WORDS)


def _sign_note(text: str) -> float | None:
    """Sign of a note such as 'R+', 'left is negative' or '+ = left', None if it is no such note."""
    words = text.casefold().replace("_", " ").replace("-to-", " to ").strip()
    # '+R/-L' and 'R+ / L-' say the same thing twice.
    first = words.split("/")[0].strip()
    match = _SIGN.match(first) or _SIGN.match(_turned(first))
    if not match:
        return None
    return 1.0 if (match["side"] in _FORWARD) == (match["sign"] in ("+", "pos", "positive", "plus")) else -1.0


def _turned(words: str) -> str:
    """Turn '+ = left' or '+ left' into 'left +'."""
    match = re.match(r"^(\+|-|pos(?:itive)?|neg(?:ative)?)( is| =)? ?(.+)$", words)
    return f"{match[3]} {match[1]}" if match else ""


def _named(words: str, found: Match, likeness: tuple[float, float] | None) -> Match:
    """Find the channel of the words, with or without a unit at their end."""
    lexicon = _lexicon()
    tries: list[tuple[str, Match]] = [(plain(words), found)]
    if not found.unit_text:
        split = [(w, replace(found, unit_text=text, unit=unit)) for w, text, unit in _trailing_units(words)]
        # A longer reading of the unit goes first, and the bare words last: 'ball speed m s-1', 'launch °'.
        tries = split[::-1] + tries
    for text, this in tries:
        # 'Spin measured' may be a column of yes and no, so qualifiers are dropped only at the second look.
        for key in (_key(text), _key(text, _STOP_WORDS | _QUALIFIERS)):
            if key in lexicon:
                return replace(this, channel=lexicon[key])
            if key in _ambiguous():
                return replace(this, could_be=_ambiguous()[key])
    first, _, rest = words.strip().partition(" ")
    if not rest and "_" in first:
        first, _, rest = first.partition("_")
    if plain(first) in GROUPS and rest:
        inner = _named(rest, found, likeness)
        if inner.channel or inner.could_be:
            return inner
    if likeness is not None:
        for text, this in tries:
            channel, near = _nearest(_key(text, _STOP_WORDS | _QUALIFIERS), *likeness)
            if channel:
                return replace(this, channel=channel, near=near)
    return found


def _trailing_units(words: str) -> list[tuple[str, str, Unit]]:
    """Split 'carry, yd', 'club_speed_mps', 'clubSpeedMph' or 'Ball speed km/h' into words and unit."""
    out = []
    for parts in (re.split(r"[\s_,;:|]+", words.strip().strip(",;:|")), plain(words).split()):
        for take in (1, 2, 3):
            tail = " ".join(parts[-take:])
            if len(parts) > take and (unit := unit_of(tail)):
                rest = parts[: -take - 1] if parts[-take - 1].casefold() == "in" else parts[:-take]
                out.append((plain(" ".join(rest)), tail, unit[1]))
    return out


def _nearest(key: str, close: float, clear: float) -> tuple[str, str]:
    """Channel whose synonym looks most like misspelt words, if it is clearly nearer than all others."""
    if len(key) < 5:
        return "", ""
    lexicon = _lexicon()
    scores: dict[str, tuple[float, str]] = {}
    for word in difflib.get_close_matches(key, lexicon, n=6, cutoff=close - clear):
        score = difflib.SequenceMatcher(None, key, word).ratio()
        scores[lexicon[word]] = max(scores.get(lexicon[word], (0.0, "")), (score, word))
    ranked = sorted(((s, w, c) for c, (s, w) in scores.items()), reverse=True)
    if not ranked or ranked[0][0] < close or not ranked[0][2]:
        return "", ""
    if len(ranked) > 1 and ranked[0][0] - ranked[1][0] < clear:
        return "", ""
    return ranked[0][2], ranked[0][1]


_DRIVER = re.compile(r"^(driver|drv|dr|d|1 ?w|1 ?wood|wood ?1|w1|big stick|driver \w{1,8}|\w{1,8} driver)$")
_OTHER = re.compile(
    r"^(\d{1,2} ?(i|iron|irons|w|wood|h|hy|hyb|hybrid|u|ut)|(i|iron|w|wood|h|hybrid) ?\d{1,2}"
    r"|[pgaslu] ?w|([\w ]+ )?(wedge|putter|iron|hybrid|wood|chipper)|putt|pt|\d{2} ?(deg|degree)"
    r"|eisen ?\d|\d ?eisen|holz ?\d|\d ?holz)$"
)


def is_driver(words: str) -> bool:
    """Whether words name a driver."""
    return bool(_DRIVER.match(plain(words)))


def is_other(words: str) -> bool:
    """Whether words name a club that is no driver."""
    return not is_driver(words) and bool(_OTHER.match(plain(words)))


def is_club(words: str) -> bool:
    """Whether words name some club."""
    return is_driver(words) or is_other(words)
