"""The evidence behind a sheet: every shot, every flag, the assumptions that mattered."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from fitter.advice.objectives import OBJECTIVES
from fitter.advice.result import Ranking
from fitter.advice.scored import TIE, Scored
from fitter.base.assumptions import current
from fitter.base.units import probability
from fitter.display.numbers import Numbers, plain, side
from fitter.kit.club import Club
from fitter.shots.session import CHANNELS, Session

COLUMNS: tuple[tuple[str, str, int], ...] = (
    ("club_speed_mps", "club", 1),
    ("attack_deg", "attack", 1),
    ("path_deg", "path", 1),
    ("face_deg", "face", 1),
    ("dynamic_loft_deg", "loft", 1),
    ("strike_toe_mm", "toe +", 0),
    ("strike_high_mm", "high +", 0),
    ("ball_speed_mps", "ball", 1),
    ("launch_deg", "launch", 1),
    ("direction_deg", "start", 1),
    ("spin_rpm", "spin", 0),
    ("spin_axis_deg", "axis", 1),
    ("carry_m", "carry", 0),
    ("total_m", "total", 0),
    ("offline_m", "side", 0),
)
"""Channels of the table of shots with their heads and digits."""
HEAD_FIGURES = ("loft_deg", "mass_g", "cg_depth_mm", "cg_up_mm", "moi_vertical_gcm2")
SHAFT_FIGURES = ("mass_g", "balance_pct", "frequency_cpm", "tip_ei_nm2")
"""Figures of the parts that move the answer most."""


def evidence(
    ranking: Ranking, session: Session, focus: Scored | None, n: Numbers, flags: Sequence[str]
) -> dict[str, Any]:
    """Everything a second reader asks for.

    Parameters
    ----------
    ranking : Ranking
    session : Session
        As the ranking used it: screened against the present head.
    focus : Scored or None
        The option that the sheet speaks of.
    n : Numbers
    flags : sequence of str
    """
    beside = [
        f"{OBJECTIVES[name].label}: {said.plain(gain.mean, True)} {said.noun} (80 %: "
        f"{said.plain(gain.low, True)} to {said.plain(gain.high, True)})"
        for name, (_, gain) in (focus.others if focus is not None else {}).items()
        for said in [n.say(OBJECTIVES[name])]
    ]
    return {
        "title": "Evidence",
        "beside": beside,
        "losses": [
            f"{x.cause}: {n.far(x.carry_m, 1)} of carry (by law {plain(n.scaled(x.low_m), 1)} to "
            f"{plain(n.scaled(x.high_m), 1)}), {x.remedy}"
            for x in ranking.losses
        ],
        "shots": _shots(session, n),
        "flags": list(flags) or ["No shot is flagged."],
        "columns": [
            f"{c.header}: {CHANNELS[c.channel].label if c.channel in CHANNELS else c.how}"
            + (f", {c.unit}" if c.unit else "")
            for c in session.columns.values()
        ],
        "assumptions": _mattered(ranking, focus, n),
        "flips": [f.said(n.metric) for f in ranking.flips] or ["Nothing that was tried turns the verdict."],
    }


def _shots(session: Session, n: Numbers) -> dict[str, Any]:
    shown = session.mirrored() if session.hand == "left" else session
    kept = [c for c in COLUMNS if session.has(c[0])]
    rows = []
    for i, shot in enumerate(shown.shot):
        row = [f"{shot}{' ×' if shown.set_aside[i] else ''}"]
        for name, _, digits in kept:
            row.append(_cell(name, float(shown.value(name)[i]), digits, n))
        rows.append(row)
    return {
        "heads": ["shot", *(head for _, head, _ in kept)],
        "units": ["", *(_unit(name, n) for name, _, _ in kept)],
        "rows": rows,
        "note": "× set aside: a misread, on measurement grounds alone, or by hand. A letter names the side.",
    }


def _unit(name: str, n: Numbers) -> str:
    quantity = CHANNELS[name].quantity
    if name.endswith("_mm"):
        return "mm"
    return {"speed": n.speed_unit, "length": n.length}.get(quantity or "", CHANNELS[name].unit or "")


def _cell(name: str, value: float, digits: int, n: Numbers) -> str:
    if not np.isfinite(value):
        return "–"
    channel = CHANNELS[name]
    if channel.quantity == "speed":
        value = n.fast(value)
    elif name.endswith("_m"):
        value = n.scaled(value)
    if channel.mirrored:
        return side(value, "", digits).replace("  ", " ").strip()
    return plain(value, digits)


def _mattered(ranking: Ranking, focus: Scored | None, n: Numbers) -> list[str]:
    a, say = current(), n.say(ranking.objective)
    lines = []
    if focus is not None:
        g = focus.value_gain
        lines += [
            f"{focus.option.id} has to promise {say.far(focus.threshold)} to be worth it (judged by tier, in "
            "proportion to carry), and to gain at all with probability "
            f"{a.value('verdict.probability'):g}: it promises {say.plain(g.mean, True)} (95 %: "
            f"{say.plain(g.low95, True)} to {say.plain(g.high95, True)}) {say.noun} and gains with "
            f"probability {probability(focus.p_better)}.",
            f"Probability that it is the best of {ranking.compared()} {probability(focus.p_best)}, "
            f"that it is worthwhile {probability(focus.p_worthwhile)}. If it is a mistake, the mean loss is "
            f"{say.far(focus.loss_if_wrong)}.",
        ]
    if ranking.left_out.count:
        lines.append(ranking.left_out_words(say))
    lines.append(f"Options count as level with the best while they beat it in {100 * TIE:g} % of the draws.")
    weights = ", ".join(f"{name} {plain(100 * w)} %" for name, w in ranking.laws.items())
    carries = ranking.counts.get("carries", 0)
    learnt = f" after {carries} measured carries" if carries else ", no measured carry told them apart"
    lines.append(f"Weights of the ball laws{learnt}: {weights}.")
    if focus is not None and focus.law_gains:
        by_law = ", ".join(f"{name} {say.plain(v, True)}" for name, v in focus.law_gains.items())
        lines.append(f"Gain under each law alone: {by_law} {say.noun}.")
    clubs = [("present club", ranking.present.option.club)]
    if focus is not None:
        clubs.append((focus.option.id, focus.option.club))
    for name, club in clubs:
        filled = _filled(club)
        if filled:
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
