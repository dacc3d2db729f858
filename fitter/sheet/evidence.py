"""The evidence behind a sheet: every shot, every flag, the assumptions that mattered."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from fitter.advice.objectives import OBJECTIVES
from fitter.advice.result import Ranking
from fitter.advice.scored import Scored
from fitter.base.assumptions import current
from fitter.base.units import Units, probability
from fitter.display import levers
from fitter.display import verdict as sentences
from fitter.display.shots import columns, label
from fitter.display.values import Values
from fitter.kit.club import Club
from fitter.shots.session import Session
from fitter.shots.vocabulary import CHANNELS

HEAD_FIGURES = ("loft_deg", "mass_g", "cg_depth_mm", "cg_up_mm", "moi_vertical_gcm2")
SHAFT_FIGURES = ("mass_g", "balance_pct", "frequency_cpm", "tip_ei_nm2")
"""Figures of the parts that move the answer most."""


def evidence(
    ranking: Ranking, session: Session, option: Scored | None, values: Values, flags: Sequence[str]
) -> dict[str, Any]:
    """Everything a second reader asks for.

    Parameters
    ----------
    ranking : Ranking
    session : Session
        As the ranking used it: screened against the present head.
    option : Scored or None
        What the sheet speaks of.
    values : Values
    flags : sequence of str
    """
    units = values.units
    beside = []
    for name, (_, g) in (option.others if option is not None else {}).items():
        by = Values(OBJECTIVES[name], units)
        beside.append(f"{by.objective.label}: {by.full(g.mean, True)} (80 %: {by.ends(g.low, g.high)})")
    return {
        "title": "Evidence",
        "beside": beside,
        "losses": [
            f"{x.cause}: {units.distance(x.carry_m)} of carry (by law "
            f"{units.quantity(x.low_m, 'm', 1, unit=False)} to "
            f"{units.quantity(x.high_m, 'm', 1, unit=False)}), {levers.remedy(x)}"
            for x in ranking.losses
        ],
        "shots": _shots(session, units),
        "flags": list(flags) or ["No shot is flagged."],
        "columns": [
            f"{c.header}: {label(c.channel) if c.channel in CHANNELS else c.how}"
            + (f", {c.unit}" if c.unit else "")
            for c in session.columns.values()
        ],
        "assumptions": _mattered(ranking, option, values),
        "flips": [
            *(sentences.flips(ranking.flips or (), values) or ["Nothing that was tried turns it."]),
            *filter(None, [sentences.sturdy(ranking)]),
        ],
    }


def _shots(session: Session, units: Units) -> dict[str, Any]:
    seen = session.mirrored() if session.hand == "left" else session
    kept = columns(session)
    rows = [
        [f"{shot}{' ×' if seen.set_aside[i] else ''}"]
        # Tenths of every speed and angle: paper has the room.
        + [c.cell(float(seen.value(c.channel)[i]), units, int(c.about.unit in ("m/s", "deg"))) for c in kept]
        for i, shot in enumerate(seen.shot)
    ]
    return {
        "heads": ["shot", *(c.label for c in kept)],
        "units": ["", *(c.unit(units) for c in kept)],
        "rows": rows,
        "note": "× set aside: a misread, on measurement grounds alone, or by hand. A letter names the side.",
    }


def _mattered(ranking: Ranking, option: Scored | None, values: Values) -> list[str]:
    lines = []
    clubs = [("present club", ranking.present.option.club)]
    if option is not None:
        g, id_ = option.value_gain, values.name(option.option.id)
        kind = "free" if option.option.tier == "A" else "bought"
        clubs.append((id_, option.option.club))
        lines += [
            f"{id_} has to promise {values.full(option.threshold)} to be worth it (judged by tier, in "
            "proportion to carry), and to gain at all with probability "
            f"{current().value(f'verdict.p_{kind}'):g}: it promises {values.number(g.mean, sign=True)} "
            f"(95 %: {values.ends(g.low95, g.high95)}) {values.unit} and gains with "
            f"probability {probability(option.p_better)}.",
            f"Probability that it is the best of {sentences.compared(ranking)} {probability(option.p_best)}, "
            f"that it is worthwhile {probability(option.p_worthwhile)}. If it is a mistake, the mean loss is "
            f"{values.full(option.loss_if_wrong)}.",
        ]
    if ranking.left_out.count or ranking.left_out.unsearched:
        lines.append(sentences.left_out(ranking, values))
    tie = 100.0 * current().value("verdict.tie")
    lines.append(f"Options count as level with the best while they beat it in {tie:g} % of the draws.")
    weights = ", ".join(f"{name} {100 * w:.0f} %" for name, w in ranking.laws.items())
    carries = ranking.counts.get("carries", 0)
    learnt = f" after {carries} measured carries" if carries else ", no measured carry told them apart"
    lines.append(f"Weights of the ball laws{learnt}: {weights}.")
    if option is not None and option.law_gains:
        by_law = ", ".join(f"{name} {values.number(v, sign=True)}" for name, v in option.law_gains.items())
        lines.append(f"Gain under each law alone: {by_law} {values.unit}.")
    for name, club in clubs:
        if filled := _filled(club):
            lines.append(f"Not measured on {name}, taken from judged numbers with their spread: {filled}.")
    return lines


def _filled(club: Club) -> str:
    found = []
    for part, code, names in (
        (club.head, f"head {club.head.code}", HEAD_FIGURES),
        (club.shaft, f"shaft {club.shaft.code}", SHAFT_FIGURES),
    ):
        lacks = []
        for name in names:
            figure = part.figure(name)
            if not figure.measured:
                words, _, unit = name.rpartition("_")
                lacks.append(f"{words.replace('_', ' ')} {figure.value:.4g} ± {figure.sd:.2g} {unit}")
        if lacks:
            found.append(f"{code}: {', '.join(lacks)}")
    return "; ".join(found)
