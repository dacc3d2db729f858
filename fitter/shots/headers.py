"""Header words: which channel a column holds, and in which unit."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache

from fitter.shots.channels import CHANNELS
from fitter.units import Unit, find_unit

SYNONYMS: dict[str, tuple[str, ...]] = {
    "player": ("player", "player name", "player code", "golfer", "name", "participant"),
    "hand": ("hand", "handed", "handedness", "player hand"),
    "club": ("club", "club name", "club type"),
    "build": ("build", "combination", "head shaft", "configuration"),
    "ball": ("ball", "ball type", "ball model", "ball name"),
    "shot": ("shot", "shot number", "shot no", "shot nr", "shot id", "no", "nr", "number", "#", "shot #"),
    "time": ("time", "date", "date time", "datetime", "timestamp", "date and time", "shot time"),
    "intent": ("intent", "effort", "swing type", "intention"),
    "place": ("place", "location", "environment", "where", "indoor outdoor"),
    "note": ("note", "notes", "comment", "comments", "remark", "remarks"),
    "club_speed_mps": (
        "club speed",
        "clubhead speed",
        "club head speed",
        "head speed",
        "swing speed",
        "clubspeed",
        "club velocity",
        "clubhead velocity",
    ),
    "speed_point": ("speed point", "club speed point", "speed reference"),
    "attack_deg": ("attack", "attack angle", "angle of attack", "aoa", "angle attack"),
    "path_deg": ("path", "club path", "swing path", "path angle", "club path angle"),
    "face_deg": ("face", "face angle", "club face", "face to target", "clubface angle", "club face angle"),
    "dynamic_loft_deg": ("dynamic loft", "delivered loft", "loft at impact", "impact loft", "effective loft"),
    "strike_toe_mm": (
        "strike toe",
        "toe",
        "impact toe",
        "toe strike",
        "horizontal impact",
        "impact horizontal",
        "strike horizontal",
        "horizontal strike",
        "strike across",
        "impact location horizontal",
    ),
    "strike_high_mm": (
        "strike high",
        "high",
        "impact high",
        "strike height",
        "impact height",
        "vertical impact",
        "impact vertical",
        "strike vertical",
        "vertical strike",
        "impact location vertical",
    ),
    "strike_source": ("strike source", "impact source"),
    "ball_speed_mps": ("ball speed", "ballspeed", "ball velocity", "initial ball speed", "initial velocity"),
    "launch_deg": (
        "launch",
        "launch angle",
        "vertical launch",
        "vertical launch angle",
        "launch vertical",
        "launch angle vertical",
        "take off angle",
        "takeoff angle",
        "vertical angle",
    ),
    "direction_deg": (
        "direction",
        "launch direction",
        "start direction",
        "horizontal launch",
        "horizontal launch angle",
        "launch horizontal",
        "launch angle horizontal",
        "azimuth",
        "horizontal angle",
        "starting direction",
        "start line",
        "side angle",
        "launch azimuth",
    ),
    "spin_rpm": ("spin", "spin rate", "total spin", "ball spin", "spin total", "spinrate"),
    "spin_axis_deg": (
        "spin axis",
        "axis",
        "axis tilt",
        "spin tilt",
        "spin axis tilt",
        "tilt",
        "spin axis angle",
    ),
    "carry_m": ("carry", "carry distance", "carry length", "distance carry", "carry flat"),
    "total_m": ("total", "total distance", "total length", "distance total", "overall distance", "distance"),
    "offline_m": (
        "offline",
        "side",
        "total side",
        "side total",
        "side distance",
        "lateral",
        "lateral deviation",
        "deviation",
        "offline distance",
        "offline total",
        "total offline",
        "distance offline",
    ),
    "apex_m": ("apex", "apex height", "max height", "maximum height", "peak height", "height", "ball height"),
    "descent_deg": (
        "descent",
        "descent angle",
        "angle of descent",
        "landing angle",
        "land angle",
        "impact angle ground",
    ),
    "tee_mm": ("tee", "tee height"),
    "ball_forward_mm": ("ball forward", "ball position", "ball position forward"),
}
"""General words of the trade for each channel; the first ones are shown in messages."""

ESTIMATED_WORDS = frozenset({"est", "estimated", "calc", "calculated", "computed", "modelled", "modeled"})
_PLAIN_WORDS = ESTIMATED_WORDS | {"measured", "meas", "actual", "raw", "avg", "value"}
_BRACKET = re.compile(r"[(\[{]([^)\]}]*)[)\]}]")
_CAMEL = re.compile(r"(?<=[a-z])(?=[A-Z])")


@dataclass(frozen=True)
class Match:
    """What a header says.

    Parameters
    ----------
    channel : str
        Channel name, or '' if the words are not known.
    unit_text : str
        The unit as written, '' if there is none.
    unit : Unit or None
        The unit, None if it is absent or unknown.
    estimated : bool
        Whether the header says that the device computed the values.
    """

    channel: str
    unit_text: str
    unit: Unit | None
    estimated: bool


def plain(text: str) -> str:
    """Lower-case words without accents, punctuation or case changes inside words."""
    text = unicodedata.normalize("NFKD", _CAMEL.sub(" ", text))
    text = "".join(c for c in text if not unicodedata.combining(c)).casefold()
    return " ".join(re.sub(r"[^a-z0-9#]+", " ", text).split())


@lru_cache(maxsize=1)
def _lexicon() -> dict[str, str]:
    entries = {plain(word): name for name, words in SYNONYMS.items() for word in words}
    entries.update({plain(name): name for name in CHANNELS})
    entries.update({plain(c.stem): name for name, c in CHANNELS.items() if plain(c.stem) not in entries})
    return entries


def examples(channel: str) -> list[str]:
    """Header words that are understood for a channel."""
    c = CHANNELS[channel]
    words = list(SYNONYMS[channel][:3])
    return [channel, *(f"{w} ({c.unit})" if c.unit else w for w in words)]


def understand(header: str) -> Match:
    """Read a header such as 'Club Speed (mph)', 'launch [deg]', 'carry, yd' or 'club_speed_mps'.

    Parameters
    ----------
    header : str
        The words in the file.

    Returns
    -------
    Match
        Channel '' if unknown; ``unit_text`` with ``unit`` None if the unit does not exist.
    """
    lexicon = _lexicon()
    canonical = header.strip()
    if canonical in CHANNELS:
        unit_name = CHANNELS[canonical].unit or ""
        return Match(canonical, unit_name, find_unit(unit_name) if unit_name else None, False)
    brackets = [b.strip() for b in _BRACKET.findall(header)]
    bare = plain(_BRACKET.sub(" ", header))
    units = [b for b in brackets if b and not set(plain(b).split()) & _PLAIN_WORDS]
    estimated = bool((set(bare.split()) | {w for b in brackets for w in plain(b).split()}) & ESTIMATED_WORDS)
    words = " ".join(w for w in bare.split() if w not in _PLAIN_WORDS)
    unit_text = units[-1] if units else ""
    if words in lexicon:
        return Match(lexicon[words], unit_text, find_unit(unit_text) if unit_text else None, estimated)
    if not unit_text:
        trimmed, unit_text = _trailing_unit(header)
        if unit_text:
            words = " ".join(w for w in plain(trimmed).split() if w not in _PLAIN_WORDS)
            if words in lexicon:
                return Match(lexicon[words], unit_text, find_unit(unit_text), estimated)
    return Match("", unit_text, find_unit(unit_text) if unit_text else None, estimated)


def _trailing_unit(header: str) -> tuple[str, str]:
    """Split 'carry, yd', 'club_speed_mps' or 'Ball speed km/h' into its words and its unit."""
    parts = re.split(r"[\s_,;:]+", header.strip())
    if len(parts) > 1 and find_unit(parts[-1]):
        return " ".join(parts[:-1]), parts[-1]
    return header, ""
