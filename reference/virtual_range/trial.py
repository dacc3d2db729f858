"""One player in several worlds: his log goes to the advisor as a user hands it over, the truth judges."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

import numpy as np

from fitter.advice.options import Option, enumerate_options, present_club
from fitter.advice.question import ask
from fitter.advice.rank import rank
from fitter.advice.result import Ranking
from fitter.base.errors import FitterError, InputError
from fitter.kit.inventory import Kit
from fitter.shots.infer.infer import infer
from fitter.shots.reader.intake import read
from fitter.shots.session import Session
from reference.virtual_range import course
from reference.virtual_range.course import Pattern
from reference.virtual_range.device import Log, write_log
from reference.virtual_range.engine import ATTACK, HIGH, LOFT, TOE, Floats
from reference.virtual_range.players import YARD, Player, stream
from reference.virtual_range.shop import KIT
from reference.virtual_range.strategies import STRATEGIES, Choice, plain
from reference.virtual_range.truth import Truth
from reference.virtual_range.worlds import DEG, WORLDS

COARSE, FINE = 64, 4000
"""True swings that every option gets, and those that decide anything."""
SAMPLE, CLOSE = 60, 6
"""Options a player drawn without the advisor; those, best by the coarse look, that perfect knowledge picks
from."""
KINDS = ("tee", "ball", "sleeve", "fitting", "shaft", "head", "stamped head", "several")
INFERRED = {
    "attack_deg": (ATTACK, 1 / DEG), "dynamic_loft_deg": (LOFT, 1 / DEG),
    "strike_toe_mm": (TOE, 1e3), "strike_high_mm": (HIGH, 1e3),
}  # fmt: skip
"""Channels whose inferred values are compared where no device measured them."""
Record = dict[str, Any]


def kind(option: Option, present: Option) -> str:
    """What an option changes, one of `KINDS`; 'fitting' is bench work: length, weights, grip."""
    new, old = option.club, present.club
    words = []
    if new.head.code != old.head.code:
        words.append("head" if new.head.loft_deg and old.head.loft_deg else "stamped head")
    elif new.loft_change_deg != old.loft_change_deg:
        words.append("sleeve")
    words += ["shaft"] if new.shaft.code != old.shaft.code else []
    words += ["ball"] if option.ball_forward_mm else []
    words += ["tee"] if option.tee_mm else []
    if not words:
        return "fitting"
    return words[0] if len(words) == 1 else "several"


class Judge:
    """True patterns of a player's options, each looked at once."""

    def __init__(self, truth: Truth, options: Mapping[str, Option]) -> None:
        self.truth, self.options = truth, options
        self.here = next(iter(options.values()))
        self.swings = truth.player.swings(FINE, "truth", even=True)
        self.fine: dict[str, Pattern] = {}
        present = truth.hit([self.here], self.swings)[1][0]
        self.fine[self.here.id] = course.pattern(present)
        self.per_yard = (course.pattern(present, 10.0).strokes - self.fine[self.here.id].strokes) / 10.0
        few = truth.player.swings(COARSE, "coarse", even=True)
        self.coarse = {i: course.pattern(truth.hit([self.here, o], few)[1][1]) for i, o in options.items()}

    def of(self, option: str) -> Pattern:
        """Pattern of an option by `FINE` paired shots."""
        if option not in self.fine:
            self.fine[option] = course.pattern(
                self.truth.hit([self.here, self.options[option]], self.swings)[1][1]
            )
        return self.fine[option]

    def net(self, option: str, goal: str, coarse: bool = False) -> float:
        """True gain less its tier's cost: yd, or strokes for 'play'."""
        new = self.coarse[option] if coarse else self.of(option)
        old = self.coarse[self.here.id] if coarse else self.of(self.here.id)
        cost = course.cost(self.options[option].tier, self.of(self.here.id).carry)
        if goal == "play":
            return old.strokes - new.strokes - cost * self.per_yard
        return getattr(new, goal) - getattr(old, goal) - cost  # type: ignore[no-any-return]


def sample(player: Player, options: Mapping[str, Option], present: Option) -> list[str]:
    """Ids of options drawn without the advisor: the kinds in turn, so that none is missing."""
    rng = stream(player.number, "sample")
    by_kind: dict[str, list[str]] = {k: [] for k in KINDS}
    for i, o in list(options.items())[1:]:
        by_kind[kind(o, present)].append(i)
    piles = [list(rng.permutation(ids)) for ids in by_kind.values() if ids]
    found: list[str] = []
    while len(found) < min(SAMPLE, len(options) - 1):
        found += [str(p.pop()) for p in piles if p]
        piles = [p for p in piles if p]
    return found[:SAMPLE]


def run_player(
    number: int, worlds: Sequence[str], goals: Mapping[str, Sequence[str]], draws: int = 128
) -> list[Record]:
    """Ask the advisor about one player in several worlds, and judge it.

    Parameters
    ----------
    number : int
        Number of the player.
    worlds : sequence of str
        Keys of `worlds.WORLDS`; those that differ in the log alone share the truth.
    goals : mapping of str to sequence of str
        Goals by world: 'carry', 'total', 'play', 'fairway'; the first decides whose options are sampled.
    draws : int
        Draws of the advisor.

    Returns
    -------
    list of dict
        Plain records, a world and goal each.
    """
    judges: dict[tuple[str, ...], Judge] = {}
    out: list[Record] = []
    for name in worlds:
        world = WORLDS[name]
        heads, shafts = tuple(h.code for h in KIT.heads), tuple(s.code for s in KIT.shafts)
        player = Player.draw(number, world, heads, shafts)
        truth = Truth(player)
        kit, club = truth.parts.kit, present_club(truth.parts.kit, player.present)
        options = {o.id: o for o in enumerate_options(kit, club)}
        if world.truth_key not in judges:
            judges[world.truth_key] = Judge(truth, options)
        judge = judges[world.truth_key]
        with tempfile.TemporaryDirectory() as folder:
            log = write_log(truth, judge.here, Path(folder) / f"P{number}.csv")
            session = read(log.path)
        named = sample(player, options, judge.here)
        told = {**_log_facts(log, session), "world": name, "number": number, "band": player.band}
        for goal in goals[name]:
            answer = _rank(session, kit, player.present, goal, draws, named)
            ranking = None if isinstance(answer, str) else answer
            out.append({**told, "goal": goal, **_judged(judge, ranking, goal, named)})
            out[-1]["refused"] = answer if isinstance(answer, str) else ""
            if ranking is not None:
                out[-1]["aside"] = _aside(log, ranking.shots)
    return out


def _rank(session: Session, kit: Kit, present: str, goal: str, draws: int, named: list[str]) -> Ranking | str:
    """Ask as a user asks; strokes go by the name that the advisor has for them; the sentence of a refusal."""
    try:
        return rank(ask(session, kit, present, goal, draws=draws, named=named), flips=False)
    except FitterError as error:
        if isinstance(error, InputError) and goal == "play":
            return _rank(session, kit, present, "score", draws, named)
        return str(error)


def _judged(judge: Judge, ranking: Ranking | None, goal: str, named: list[str]) -> Record:
    """What was promised and what is true of the options that matter, and what each strategy ends with."""
    scale = {"play": 1.0, "fairway": 1.0}.get(goal, 1.0 / YARD)
    ends: Record = {}
    aim = "play" if goal == "fairway" else goal
    choice = Choice(judge.truth, dict(judge.options), aim, ranking)
    picks: dict[str, str | None] = {}
    for name, strategy in STRATEGIES.items():
        picked = strategy(choice)
        picks[name] = None if picked in (None, judge.here.id) else picked
    close = sorted(judge.options, key=lambda o: judge.net(o, aim, coarse=True))[-CLOSE:]
    seen = dict.fromkeys([*named, *(p for p in picks.values() if p), *close])
    old = judge.of(judge.here.id)
    for name, pick in picks.items():
        ends[name] = {g: judge.net(pick, g) if pick else 0.0 for g in ("carry", "total", "play")}
    best = max((judge.net(o, aim) for o in seen), default=0.0)
    rows, scored = [], {} if ranking is None else {s.option.id: s for s in ranking.options}
    for option in seen:
        s, true = scored.get(option), judge.of(option)
        if s is None:
            continue
        g = s.value_gain
        rows.append({
            "kind": kind(judge.options[option], judge.here), "tier": judge.options[option].tier,
            "sampled": option in named,
            "named": ranking is not None and ranking.verdict.option == option,
            "promised": [g.mean * scale, g.low * scale, g.high * scale], "p": s.p_better, "p_best": s.p_best,
            "value": s.value * scale, "true_value": true.fairway if goal == "fairway" else None,
            "true": (old.strokes - true.strokes) if goal == "play" else (true.fairway - old.fairway)
            if goal == "fairway" else getattr(true, goal) - getattr(old, goal),
            "spread": None if s.offline_sd_change_m is None
            else [s.offline_sd_change_m / YARD, true.side - old.side],
            "best": option == close[-1],
        })  # fmt: skip
    return {
        "action": "refused" if ranking is None else ranking.verdict.action,
        "verdict": None if ranking is None else ranking.verdict.option,
        "present": asdict(old), "per_yard": judge.per_yard,
        "present_value": None if ranking is None else ranking.present.value * scale,
        "perfect": max(best, 0.0), "ends": ends, "rows": rows,
    }  # fmt: skip


def _aside(log: Log, shots: Session) -> list[int]:
    """Good shots, good ones that were set aside, misreads, misreads that were found."""
    gone = np.zeros(len(log.good), dtype=bool)
    gone[shots.shot[shots.set_aside] - 1] = True
    good = log.good
    return [int(good.sum()), int((good & gone).sum()), int((~good).sum()), int((~good & gone).sum())]


def _log_facts(log: Log, session: Session) -> Record:
    """Inferred values of channels that no device measured: whether the stated 80 % hold, shots and mean."""
    inside: dict[str, list[float]] = {}
    try:
        delivery = infer(session)
    except FitterError:
        return {"inferred": inside, "device": sorted(log.columns)}
    mirror = log.deliveries
    kept = ~session.set_aside
    mean, cov = delivery.of_mean()
    for channel, (k, scale) in INFERRED.items():
        if session.has(channel):
            continue
        true: Floats = mirror[session.shot - 1, k]
        error = (delivery.mean[:, k] - true)[kept] * scale
        sd = delivery.sd[kept, k] * scale
        middle = (mean[k] - true[kept].mean()) * scale
        inside[channel] = [
            int(kept.sum()), int((np.abs(error) <= 1.2816 * sd).sum()), float(error.mean()),
            float(abs(middle) <= 1.2816 * np.sqrt(cov[k, k]) * scale),
        ]  # fmt: skip
    return {"inferred": inside, "device": sorted(log.columns)}


__all__ = ["KINDS", "Record", "kind", "plain", "run_player", "sample"]
