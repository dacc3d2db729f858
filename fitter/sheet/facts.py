"""Who hit what, when and in which air: the facts above and below a sheet."""

from __future__ import annotations

from pathlib import PurePath

from fitter.advice.ranking import Ranking
from fitter.conditions import Conditions
from fitter.sheet.numbers import Numbers, counted, plain
from fitter.shots.channels import CHANNELS, Session

WINDS = (
    "in the face", "in the face from the right", "from the right", "from behind on the right", "from behind",
    "from behind on the left", "from the left", "in the face from the left",
)  # fmt: skip
"""Where a wind comes from, every 45 deg."""


def conditions(where: Conditions, there: Conditions | None, n: Numbers) -> str:
    """Air, wind and ground that the numbers hold for."""
    said = f"The numbers hold for {_air(where, n)}, {where.turf} turf"
    if where.law:
        said += f", ball law {where.law} alone"
    if there is None or there == where:
        return said + "; measured in the same air."
    return f"{said}; measured in {_air(there, n)}."


def _air(c: Conditions, n: Numbers) -> str:
    wind = "no wind"
    if c.wind_mps:
        wind = f"wind {n.speed(c.wind_mps)} {WINDS[round(c.wind_from_deg / 45.0) % 8]}"
    slope = ""
    if c.landing_height_m:
        up = "above" if c.landing_height_m > 0 else "below"
        slope = f", landing {n.far(abs(c.landing_height_m))} {up} the tee"
    return (
        f"{n.temperature(c.temperature_c)}, {plain(c.pressure_pa / 100)} hPa, "
        f"{plain(100 * c.humidity)} % humidity, {wind}{slope}"
    )


def facts(ranking: Ranking, session: Session, n: Numbers) -> list[list[str]]:
    """Rows of [label, value]; the player first."""
    counts = ranking.counts
    used = counts["shots"] - counts["set_aside"]
    wish = ranking.wish.mirrored() if ranking.hand == "left" else ranking.wish
    measured_by = wish.words(n.length)
    found = [
        ["Player", f"{ranking.player or 'not named'}, {ranking.hand}-handed"],
        ["Present club", ranking.present.option.id if ranking.present.option.club.known else "not known"],
        ["Asked for", ranking.objective.label + (f": {measured_by}" if measured_by else "")],
        ["Shots", f"{used} of {counts['shots']} used, {counts['set_aside']} set aside"],
        ["Session", PurePath(session.source).name],
    ]
    date = next((w for w in session.word("time") if len(w) >= 10), "")[:10]
    if date:
        found.insert(1, ["Date", date])
    for channel, label in (("ball", "Ball"), ("place", "Place")):
        seen = list(dict.fromkeys(w for w in session.word(channel) if w))
        if seen:
            found.append([label, ", ".join(seen[:2])])
    if session.not_read:
        found.append(["Not read", counted(session.not_read, "ball")])
    return found


def sentence(words: str) -> str:
    """A note as a sentence, channels by the words that people read."""
    start, colon, rest = words.partition(":")
    if colon and start in CHANNELS:
        start = CHANNELS[start].label
    return start[:1].upper() + start[1:] + colon + rest
