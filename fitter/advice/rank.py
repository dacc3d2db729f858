"""The main job in one call: a session and a kit in, a ranking out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from fitter.advice.baseline import baseline, screened
from fitter.advice.objectives import find
from fitter.advice.options import TIERS, Option, enumerate_options, present_club
from fitter.advice.predict import DRAWS, predict
from fitter.advice.ranking import Ranking, order
from fitter.advice.response import SETS_FACE
from fitter.advice.scored import Gain, Scored, explain, gains, score
from fitter.advice.verdict import decide
from fitter.assumptions import load
from fitter.conditions import Conditions
from fitter.errors import InputError, Problem
from fitter.kit.club import Club
from fitter.kit.inventory import Kit
from fitter.kit.mechanics import describe
from fitter.shots.channels import Session
from fitter.shots.decisions import with_everything
from fitter.units import YARD

Floats = NDArray[np.float64]

SCREEN_ABOVE = 500_000
"""Flights from which a first look with few draws is worth its time."""
SCREEN_DRAWS = 64
A_TIER = 12
"""Options of each tier that always get full draws."""


def rank(
    shots: Session,
    kit: Kit,
    present: Club | str,
    objective: str = "carry",
    conditions: Conditions | None = None,
    measured_in: Conditions | None = None,
    draws: int = DRAWS,
    seed: int = 1,
    progress: Callable[[int, int], None] | None = None,
    sets_face: str = "unknown",
    with_aside: bool = False,
) -> Ranking:
    """Rank what could be changed for one player.

    Parameters
    ----------
    shots : Session
        Shots of the present club, screened.
    kit : Kit
        What the shop can build.
    present : Club or str
        The present club, or the words for it: CARD.toml, 'HEAD/SHAFT' or 'unknown'.
    objective : str
        Key of `objectives.OBJECTIVES`.
    conditions, measured_in : Conditions, optional
        Where the decision applies (standard when silent); where the shots were measured (the same).
    draws, seed : int
        Size and seed of the sample: the same seed gives the same answer.
    progress : callable, optional
        Called with options done and all options.
    sets_face : str
        How the player sets the face at address: 'soled', by 'eye', or 'unknown' when nobody asked.
    with_aside : bool
        Use every shot, set aside or not, to show what the misreads would change.

    Returns
    -------
    Ranking

    Raises
    ------
    InputError
        If something named is not there, or a needed channel was not measured.
    DataError
        If too few shots are left.
    """
    wanted = find(objective)
    if sets_face not in SETS_FACE:
        problem = Problem("--sets-face", repr(sets_face), ", ".join(SETS_FACE), "Ask the player.")
        raise InputError("There is no such way to set the face.", [problem])
    club = present_club(kit, present) if isinstance(present, str) else present
    head = present_head(club)
    shots = screened(shots, head)
    if with_aside:
        shots = with_everything(shots)
    base = baseline(shots, head)
    where = conditions or Conditions()
    there = measured_in or where
    if shots.hand == "left":
        where, there = where.mirrored(), there.mirrored()
    options = enumerate_options(kit, club)
    every = len(options)
    out: list[Scored] = []
    if every * len(base) * draws > SCREEN_ABOVE and draws > SCREEN_DRAWS:
        coarse = predict(options, club, base, where, there, SCREEN_DRAWS, seed, None, sets_face)
        options, out = screen(score(coarse, wanted))
    prediction = predict(options, club, base, where, there, draws, seed, progress, sets_face)
    scored = score(prediction, wanted)
    verdict = decide(scored, getattr(prediction, wanted.row), club, wanted, every - 1)
    scored = explain(prediction, scored, wanted, verdict.option)
    aside = int(shots.set_aside.sum())
    notes = [*shots.notices, *base.notes]
    if aside > load().value("measurement.aside_share") * len(shots):
        notes.insert(0, f"{aside} of {len(shots)} shots are set aside as misreads: look at the device first")
    if with_aside:
        notes.insert(0, "every shot is used, misreads too: for comparison only")
    if not club.known:
        notes.append("the present club is not known: no verdict can be 'change'")
    names = prediction.replay.drawn.names
    return Ranking(
        player=shots.player,
        hand=shots.hand,
        present=scored[0],
        options=order([*scored[1:], *out]),
        verdict=verdict,
        objective=wanted,
        laws=dict(zip(names, map(float, prediction.replay.law_weights), strict=True)),
        notes=tuple(notes),
        counts={
            "shots": len(shots),
            "set_aside": aside,
            "options": every - 1,
            "screened": len(out),
            "draws": draws,
        },
    )


def present_head(club: Club) -> Floats:
    """Head of a club at the centre of its figures, as the strike takes it, shape (13,)."""
    return np.asarray(describe([club], load().value("club.reference_speed_mps")).kernel_heads()[0, 0])


def screen(scored: list[Scored]) -> tuple[tuple[Option, ...], list[Scored]]:
    """Part options that can still win, in the order given, from those that cannot.

    Kept: the present club, every option within a margin of the best, and the best of each tier. The rest keep
    the numbers of the first, coarser look, and can neither be best nor tied.
    """
    margin = load().value("verdict.screen_margin") * YARD
    best = max(s.value_gain.mean for s in scored)
    kept = {s.option.id for s in scored if s.value_gain.mean >= best - margin}
    kept.add(scored[0].option.id)
    for tier in TIERS:
        inside = sorted((s for s in scored if s.option.tier == tier), key=lambda s: -s.value_gain.mean)
        kept.update(s.option.id for s in inside[:A_TIER])
    out = [replace(s, p_best=0.0, tied=False, screened=True) for s in scored if s.option.id not in kept]
    return tuple(s.option for s in scored if s.option.id in kept), out


def compare(
    shots: Session,
    present: Club,
    clubs: Sequence[Club],
    conditions: Conditions | None = None,
    draws: int = DRAWS,
    seed: int = 1,
) -> list[Gain]:
    """Carry gain of named clubs against the present one, on the player's own shots.

    Parameters
    ----------
    shots : Session
        Shots of the present club, screened.
    present : Club
    clubs : sequence of Club
    conditions : Conditions, optional
    draws, seed : int

    Returns
    -------
    list of Gain
        One for each club, m.
    """
    where = conditions or Conditions()
    if shots.hand == "left":
        where = where.mirrored()
    options = [Option(present.code, "-", present), *(Option(c.code, "D", c) for c in clubs)]
    head = present_head(present)
    found = predict(options, present, baseline(screened(shots, head), head), where, where, draws, seed)
    return gains(found.carry)[1:]
