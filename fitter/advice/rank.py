"""The main job in one call: a session and a kit in, a ranking out."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches

import numpy as np
from numpy.typing import NDArray

from fitter.advice import flips as flipping
from fitter.advice import race
from fitter.advice.baseline import Baseline, baseline, screened
from fitter.advice.explain import explain
from fitter.advice.flips import Flip
from fitter.advice.losses import losses
from fitter.advice.next_step import steps
from fitter.advice.objectives import Wish, wish
from fitter.advice.options import Offered, Option, present_club, survey
from fitter.advice.race import LeftOut, RoughOrder
from fitter.advice.replay import DRAWS, Prediction, predict, prepare_replay, replayed
from fitter.advice.response import SETS_FACE, Response, changes
from fitter.advice.result import Ranking, order
from fitter.advice.scored import Gain, Scored, gains, score, worth
from fitter.advice.verdict import SHAFTS, Verdict, decide, opposite_ends
from fitter.base.assumptions import current
from fitter.base.conditions import Conditions
from fitter.base.errors import InputError, Problem, raise_if
from fitter.kit.club import Club
from fitter.kit.inventory import Kit
from fitter.kit.mechanics import describe
from fitter.kit.offer import Offer, said
from fitter.shots.annotations import with_everything
from fitter.shots.session import Session

Floats = NDArray[np.float64]


def rank(
    shots: Session,
    kit: Kit,
    present: Club | str,
    objective: str | Wish = "carry",
    conditions: Conditions | None = None,
    measured_in: Conditions | None = None,
    draws: int = DRAWS,
    seed: int = 1,
    progress: Callable[[int, int], None] | None = None,
    sets_face: str = "unknown",
    with_aside: bool = False,
    named: Collection[str] = (),
    first: Callable[[RoughOrder], None] | None = None,
    with_flips: bool = True,
    offer: Offer | None = None,
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
    objective : str or Wish
        Key of `objectives.OBJECTIVES`, or that with its distance, width, hole or grid (`wish.wish`).
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
    named : collection of str
        Ids of options that are computed in full whatever a first look says of them.
    first : callable, optional
        Called once with a rough order, where there are so many options that a look in few draws saves time.
    with_flips : bool
        Search for what would turn the verdict; a batch leaves it out.
    offer : Offer, optional
        What is tried besides the kit's parts, and the limits of shop and player (`offer.offer`).

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
    wanted = objective if isinstance(objective, Wish) else wish(objective)
    if sets_face not in SETS_FACE:
        problem = Problem("--sets-face", repr(sets_face), ", ".join(SETS_FACE), "Ask the player.")
        raise InputError("There is no such way to set the face.", [problem])
    club = present_club(kit, present) if isinstance(present, str) else present
    head = present_head(club)
    where = conditions or Conditions()
    there = measured_in or where
    if shots.hand == "left":
        where, there, wanted = where.mirrored(), there.mirrored(), wanted.mirrored()
    shots = screened(shots, head, there)
    if with_aside:
        shots = with_everything(shots)
    base = baseline(shots, head)
    offered = survey(kit, club, offer)
    options = offered.options
    check_named(named, (*options, *offered.barred))
    task = _Task(shots, base, club, wanted, where, there, seed, sets_face, with_aside, offered, with_flips)
    left_out = LeftOut()
    for look in race.needed(len(options), len(base), draws):
        # Only a mean can be told from a few shots.
        plain = wanted.objective in ("carry", "total")
        few = look.shots if plain else None
        seen = predict(options, club, base, where, there, look.draws, seed, None, sets_face, few, wanted)
        means = seen.gain.mean(axis=0)
        if first is not None:
            # The present club stands first and is no option.
            first(RoughOrder(tuple(options[i] for i in np.argsort(-means, kind="stable") if i)))
            first = None
        by_shot = seen.by_shot.get(seen.objective.side)
        margin = current().value("verdict.screen_margin") * worth(seen.objective)
        keep = race.survivors(options, seen.gain, margin, named, by_shot, plain)
        left_out = left_out.more(means, keep)
        options = tuple(o for o, kept in zip(options, keep, strict=True) if kept)
    prediction = predict(options, club, base, where, there, draws, seed, progress, sets_face, None, wanted)
    ranking = task.ranking(prediction, score(prediction), left_out)
    return replace(ranking, breaches=task.breaches(prediction))


@dataclass(frozen=True)
class _Task:
    """What a ranking needs besides the prediction."""

    session: Session
    baseline: Baseline
    club: Club
    wish: Wish
    where: Conditions
    there: Conditions
    seed: int
    sets_face: str
    with_aside: bool
    offered: Offered
    with_flips: bool

    @property
    def options(self) -> int:
        """How many options there are besides the present club."""
        return len(self.offered.options) - 1

    def breaches(self, p: Prediction) -> tuple[Scored, ...]:
        """What breaks a rule, by expected gain, in the same draws: shown, and no part of any choice."""
        barred = self.offered.barred
        if not barred:
            return ()
        changed = changes(
            (p.options[0], *barred),
            self.club,
            self.baseline.swing,
            Response(len(p.carry), self.seed, sets_face=self.sets_face),
        )
        found = score(replayed((p.options[0], *barred), changed, p.replay, self.wish))[1:]
        best = float(p.gain.max(axis=1).mean())
        found = [replace(s, p_best=0.0, tied=False, expected_loss=best - s.value_gain.mean) for s in found]
        return tuple(sorted(found, key=lambda s: -s.value_gain.mean))

    def ranking(self, p: Prediction, scored: list[Scored], left_out: LeftOut) -> Ranking:
        """Decide on what was computed in full."""
        verdict = self.decided(scored, p)
        scored = explain(p, scored, verdict.option)
        focus = self.focus(scored, verdict)
        laws = zip(p.replay.drawn.names, map(float, p.replay.law_weights), strict=True)
        return Ranking(
            player=self.session.player,
            hand=self.session.hand,
            shots=self.session,
            present=scored[0],
            options=order(scored[1:]),
            verdict=verdict,
            objective=p.objective,
            wish=self.wish,
            left_out=left_out,
            laws=dict(laws),
            notes=self.notes(scored),
            counts={
                "shots": len(self.session),
                "set_aside": int(self.session.set_aside.sum()),
                "options": self.options,
                "in_full": len(scored) - 1,
                "draws": len(p.carry),
                "carries": p.replay.carries,
            },
            next=steps(p, focus, self.seed) if focus else (),
            flips=self.flips(scored, verdict) if self.with_flips else (),
            losses=losses(self.baseline.delivery, self.there),
            not_offered=self.offered.left_out,
        )

    def decided(self, scored: list[Scored], p: Prediction) -> Verdict:
        """Verdict on some options."""
        return decide(scored, p.gain, self.club, p.objective, self.options, self.seed)

    def focus(self, scored: list[Scored], verdict: Verdict) -> int:
        """Place of the option that more should be known of: the one named, else the one with most to tell."""
        for i, s in enumerate(scored):
            if s.option.id == verdict.option:
                return i
        return max(range(len(scored)), key=lambda i: (scored[i].information, scored[i].value_gain.mean))

    def flips(self, scored: list[Scored], verdict: Verdict) -> tuple[Flip, ...]:
        """Look at a short list again under other circumstances."""
        options = tuple(s.option for s in flipping.shortlist(scored, verdict))

        response = Response(flipping.DRAWS, self.seed, sets_face=self.sets_face)
        changed = changes(options, self.club, self.baseline.swing, response)

        def there(where: Conditions, wish: Wish) -> Verdict:
            replay = prepare_replay(self.baseline, changed, where, self.there, flipping.DRAWS, self.seed)
            p = replayed(options, changed, replay, wish)
            return self.decided(score(p), p)

        return flipping.flips(there, self.where, self.wish, verdict)

    def notes(self, scored: list[Scored]) -> tuple[str, ...]:
        """What the reader should know before trusting a number."""
        shots = self.session
        aside = int(shots.set_aside.sum())
        notes = [*shots.notices, *self.baseline.notes]
        if aside > current().value("measurement.aside_share") * len(shots):
            words = f"{aside} of {len(shots)} shots are set aside as misreads: look at the device first"
            notes.insert(0, words)
        if self.with_aside:
            notes.insert(0, "every shot is used, misreads too: for comparison only")
        ends = opposite_ends(scored)
        if ends is not None:
            notes.append(SHAFTS.format(*ends))
        if self.offered.options[0].rules:
            notes.append(f"the present club breaks a rule: {'; '.join(self.offered.options[0].rules)}")
        if self.offered.left_out:
            notes.append(said(self.offered.left_out))
        if not self.club.known:
            notes.append("the present club is not known: no verdict can be 'change'")
        return tuple(notes)


def check_named(named: Collection[str], options: Sequence[Option]) -> None:
    """Refuse ids that no option has.

    Raises
    ------
    InputError
        With the nearest ids.
    """
    known = [o.id for o in options]
    problems = [
        Problem("--option", repr(n), ", ".join(get_close_matches(n, known, 3, 0.3)) or "an id", "Use an id.")
        for n in named
        if n not in known
    ]
    raise_if(problems, "There are no such options.")


def present_head(club: Club) -> Floats:
    """Head of a club at the centre of its figures, as the strike takes it, shape (13,)."""
    return np.asarray(describe([club], current().value("club.reference_speed_mps")).kernel_heads()[0, 0])


def compare(
    shots: Session,
    present: Club,
    clubs: Sequence[Club],
    conditions: Conditions | None = None,
    draws: int = DRAWS,
    seed: int = 1,
    measured_in: Conditions | None = None,
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
    measured_in : Conditions, optional
        Where the shots were measured (the same when silent).

    Returns
    -------
    list of Gain
        One for each club, m.
    """
    where = conditions or Conditions()
    there = measured_in or where
    if shots.hand == "left":
        where, there = where.mirrored(), there.mirrored()
    options = [Option(present.code, "-", present), *(Option(c.code, "D", c) for c in clubs)]
    head = present_head(present)
    found = predict(options, present, baseline(screened(shots, head, there), head), where, there, draws, seed)
    return gains(found.carry)[1:]
