"""Words of the sheet: the set-up as a player says it, fixed answers, what it will not do."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from fitter.base.units import INCH
from fitter.display.numbers import Numbers, plain
from fitter.kit.club import Club
from fitter.kit.rules import check

ACTIONS = {
    "change": "Recommendation: change",
    "keep": "Recommendation: keep the present club",
    "test": "Recommendation: test before anything is bought",
    "measure": "Recommendation: measure first, then decide",
}
CAUTIONS = (
    "Warm up before full swings and stop on pain: tired swings spoil the comparison and the body. Check "
    "clubs, nets and mats for damage; never hit a loose or cracked club. Heat and clamp as the maker says. "
    "Local rules and licensed practice come first. Training is for qualified coaches, pain for a physician."
)
SOURCES = (
    "Flight: three laws of modern balls held as rivals (Naruo, Mizota & Shimozono 2004; Ferguson, McNally & "
    "McPhee 2022; US patent 6,186,002). Ground: Biber et al. 2023. Strike: a rigid collision with the head's "
    "full inertia, two rival repairs of the spin. Players' answers to shaft, ball and tee: published trials, "
    "else judged. Every judged number with its source: fitter assumptions."
)


def set_up(ball_forward_mm: float, tee_mm: float, hand: str, metric: bool) -> list[str]:
    """Ball position and tee height in the player's words.

    Examples
    --------
    >>> set_up(20.0, -8.0, "right", True)
    ['ball 2 cm nearer the lead (left) foot', 'tee 8 mm lower']
    >>> set_up(0.0, 0.0, "left", False)
    ['ball position and tee height as they are now']
    """
    lead, trail = ("left", "right") if hand == "right" else ("right", "left")
    words = []
    if ball_forward_mm:
        foot = f"lead ({lead})" if ball_forward_mm > 0 else f"trail ({trail})"
        words.append(f"ball {_small(abs(ball_forward_mm), metric)} nearer the {foot} foot")
    if tee_mm:
        words.append(f"tee {_small(abs(tee_mm), metric)} {'higher' if tee_mm > 0 else 'lower'}")
    return words or ["ball position and tee height as they are now"]


def club_words(club: Club) -> str:
    """What a club's code stands for.

    Examples
    --------
    >>> from fitter.kit.club import Club
    >>> from fitter.kit.parts import Head, Shaft
    >>> from fitter.kit.figures import Reading
    >>> club_words(Club(Head("H2"), Shaft("S3"), Reading(45.25), loft_change_deg=-1.0, swap_g=4.0))
    'head H2, sleeve at 1 deg less loft, shaft S3, 45.25 in, weight 4 g heavier'
    """
    said = [f"head {club.head.head}"]
    if club.loft_change_deg:
        less = "more" if club.loft_change_deg > 0 else "less"
        said.append(f"sleeve at {abs(club.loft_change_deg):g} deg {less} loft")
    if club.lie_change_deg:
        flat = "upright" if club.lie_change_deg > 0 else "flat"
        said.append(f"lie {abs(club.lie_change_deg):g} deg {flat}")
    said += [f"shaft {club.shaft.shaft}", f"{club.length_in.value:.6g} in"]
    if club.place:
        said.append(f"weight at {club.place}")
    if club.swap_g:
        said.append(f"weight {abs(club.swap_g):g} g {'heavier' if club.swap_g > 0 else 'lighter'}")
    if club.grip_mass_g:
        said.append(f"grip of {club.grip_mass_g.value:g} g")
    if club.tip_cut_mm:
        said.append(f"tip cut {club.tip_cut_mm:g} mm")
    if club.tip_weight_g:
        said.append(f"weight of {club.tip_weight_g:g} g in the tip")
    return ", ".join(said)


def _small(mm: float, metric: bool) -> str:
    text = f"{mm / 10:g} cm" if mm >= 10 else f"{mm:g} mm"
    return text if metric else f"{text} ({mm / 1e3 / INCH:.1f} in)"


def will_not(present: Mapping[str, Any], option: Mapping[str, Any] | None, numbers: Numbers) -> list[str]:
    """What the recommendation does not promise.

    Parameters
    ----------
    present, option : mapping
        Entries of `Ranking.as_dict`; no option when the present club stays.
    numbers : Numbers
    """
    said = []
    if option is None:
        said.append("It adds no yards: what is on offer is too small or too unsure to pay for.")
    else:
        change = option["offline_sd_change_m"]
        if change is None:
            said.append("Nothing is promised about direction: it was not measured.")
        elif float(plain(abs(numbers.scaled(change)))) == 0.0:
            said.append("It will not straighten the ball: the side spread stays as it is.")
        elif change > 0.0:
            by = numbers.far(change, 1)
            said.append(f"It will not straighten the ball: the side spread grows by {by}.")
        else:
            said.append("It will not cure the far miss: the spread narrows, the worst balls stay.")
        speed = option["predicted"]["club_speed_mps"][1] - present["predicted"]["club_speed_mps"][1]
        stays = float(plain(abs(numbers.fast(speed)))) == 0.0
        then = "stays" if stays else f"is expected to change by {_speed(speed, numbers)} only"
        said.append(f"It will not swing faster for you: club speed {then}.")
    said.append(
        "It speaks of the mean of many balls, not of each one: bad strikes stay, and all of it holds for the "
        "swing of this session."
    )
    return said


def _speed(mps: float, numbers: Numbers) -> str:
    return f"{plain(numbers.fast(mps), 1, sign=True)} {numbers.speed_unit}"


def legal(club: Club, rules: Sequence[str], local_length_rule: bool = False) -> str:
    """Answer to 'is it legal?' from the figures that were measured."""
    if rules:
        return "No: " + "; ".join(rules) + "."
    findings = check(club.head, club.length_in.value * INCH, local_length_rule=local_length_rule)
    held = [f.name for f in findings if f.state == "conforms"]
    open_ = [f.name for f in findings if f.state == "not measured"]
    said = f"Nothing measured breaks the Equipment Rules (held against them: {', '.join(held)})."
    if open_:
        said += f" Not measured: {', '.join(open_)}."
    return (
        said + " Ask which local rules hold, such as the 46 in limit (G-10), and whether the head is listed."
    )
