"""One player's trial: the log goes to the advisor as a user hands it over; the truth judges the answer."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np

from fitter.advice.options import Option, enumerate_options, present_club
from fitter.advice.question import ask
from fitter.advice.rank import rank
from fitter.advice.result import Ranking
from fitter.advice.scored import Scored, best_of_tiers
from fitter.base.errors import FitterError
from fitter.kit.figures import Reading
from fitter.kit.inventory import Kit
from fitter.shots.reader.intake import read
from fitter.shots.session import Session
from reference.virtual_range.players import MPH, RPM, SEED, YARD, Floats, Player, Truth
from reference.virtual_range.shop import KIT
from reference.virtual_range.worlds import DEG, WORLDS, World

COARSE, FINE = 64, 400
"""True swings that every option gets, and those that decide anything."""
SAMPLE = 40
"""Options a player whose coverage is looked at, whatever the advisor thinks of them."""
CLOSE = 12
"""Options, best by the coarse look at the truth, among which the oracle picks by the fine one."""
KEY_COARSE, KEY_FINE = 2, 3
STARTS = (("ball_speed_mps", 1.0 / MPH), ("launch_deg", 1.0), ("spin_rpm", 1.0))
"""Channels of the start that are compared, and what turns them into mph, deg and rpm."""


@dataclass(frozen=True)
class Row:
    """One option: what was promised and what is true, yd.

    Parameters
    ----------
    option, kind, tier : str
    roles : frozenset of str
        'sample' (at random), 'probe' (one thing changes), 'best A' .. 'best E', 'leader' (largest expected
        gain), 'close' (truly good), 'named'.
    mean, low, high, low95, high95 : float
        Promised gain and its 80 and 95 % intervals.
    truth, threshold : float
        True gain; what a gain has to reach to be worth it.
    start : tuple of (float, float)
        Changes of `STARTS` as promised and as they truly are.
    """

    option: str
    kind: str
    tier: str
    roles: frozenset[str]
    mean: float
    low: float
    high: float
    low95: float
    high95: float
    truth: float
    threshold: float
    start: tuple[tuple[float, float], ...] = ()

    @property
    def net(self) -> float:
        """True gain less the threshold."""
        return self.truth - self.threshold


@dataclass(frozen=True)
class Record:
    """One player in one world under one objective.

    Parameters
    ----------
    world, objective, band, action, instrument : str
        'refused' is the action when the data could not carry an answer.
    named : str or None
    oracle : float
        True net gain of the best option, 0 if keeping is best; yd.
    resolved : float
        True net gain after the test or the measurement that the verdict asks for; yd.
    rows : tuple of Row
    """

    world: str
    objective: str
    number: int
    band: str
    instrument: str
    action: str
    named: str | None
    oracle: float
    resolved: float
    rows: tuple[Row, ...] = field(default=())

    def one(self, role: str) -> Row | None:
        """Return the row of a role that one option can hold."""
        return next((r for r in self.rows if role in r.roles), None)

    @property
    def followed(self) -> float:
        """True net gain of doing what a 'change' says and keeping the present club else, yd."""
        named = self.one("named")
        return named.net if self.action == "change" and named is not None else 0.0


def kind(option: Option, present: Option) -> str:
    """What an option changes, in a few words."""
    new, old = option.club, present.club
    words = []
    if new.head.code != old.head.code:
        words.append("head" if new.head.loft_deg and old.head.loft_deg else "head by stamp")
    elif new.loft_change_deg != old.loft_change_deg:
        words.append("sleeve")
    words += ["shaft"] if new.shaft.code != old.shaft.code else []
    words += ["ball"] if option.ball_forward_mm else []
    words += ["tee"] if option.tee_mm else []
    return " + ".join(words)


def run_player(
    world: str | World, number: int, objectives: Sequence[str], draws: int, named: str | None = None
) -> list[Record]:
    """Ask the advisor about one player under each objective, and judge it.

    Parameters
    ----------
    world : str or World
    number : int
        Number of the player.
    objectives : sequence of str
        'carry', 'total'.
    draws : int
        Draws of the advisor.
    named : str, optional
        Name under which a world's records stand.
    """
    place = WORLDS[world] if isinstance(world, str) else world
    player = Player.draw(number, place)
    truth = Truth(player)
    club = present_club(KIT, player.present)
    here = Option(club.code, "-", club)
    with tempfile.TemporaryDirectory() as folder:
        log = Path(folder) / f"P{number}.csv"
        truth.write_log(log, here)
        session = read(log)
    coarse: dict[str, Floats] = {}
    # What is judged is every option, so that a good one which a first look drops would count.
    every = [o.id for o in enumerate_options(KIT, club)[1:]]
    found = []
    for objective in objectives:
        label = (named or place.name, objective, number, player.band, player.instrument)
        try:
            ranking = rank(ask(session, KIT, player.present, objective, draws=draws, named=every))
        except FitterError:
            found.append(Record(*label, "refused", None, 0.0, 0.0))
            continue
        options = [here, *(s.option for s in ranking.options)]
        if not coarse:
            finish = truth.hit(options, player.swings(COARSE, KEY_COARSE, True))[1]
            coarse.update({o.id: f.mean(axis=0) for o, f in zip(options, finish, strict=True)})
        judged = _judge(truth, ranking, here, coarse, objective)
        found.append(_record(label, ranking, judged, session, truth, objective, draws))
    return found


def _judge(
    truth: Truth, ranking: Ranking, here: Option, coarse: dict[str, Floats], objective: str
) -> tuple[Row, ...]:
    """Rows of the sampled, the named and the truly best options."""
    column = {"carry": 0, "total": 2}[objective]
    scored = list(ranking.options)
    rng = np.random.default_rng([SEED, 6, truth.player.number])
    by_id = sorted(scored, key=lambda s: s.option.id)
    picks = rng.choice(len(by_id), min(SAMPLE, len(by_id)), replace=False)
    roles: dict[str, set[str]] = {by_id[i].option.id: {"sample"} for i in picks}

    def give(s: Scored, role: str) -> None:
        roles.setdefault(s.option.id, set()).add(role)

    for s in best_of_tiers(scored):
        give(s, f"best {s.option.tier}")
    give(max(scored, key=lambda s: s.value_gain.mean), "leader")
    for s in scored:
        if "+" not in kind(s.option, here):
            give(s, "probe")
    net = [coarse[s.option.id][column] - coarse[here.id][column] - s.threshold for s in scored]
    for i in np.argsort(net)[-CLOSE:]:
        give(scored[i], "close")
    for s in scored:
        if s.option.id == ranking.verdict.option:
            give(s, "named")
    chosen = [s for s in scored if s.option.id in roles]
    swings = truth.player.swings(FINE, KEY_FINE, True)
    start, rest = truth.hit([here, *(s.option for s in chosen)], swings)
    finish = rest[..., column].mean(axis=1)
    left = start[..., [0, 1, 3]].mean(axis=1) / np.array([MPH, DEG, RPM])
    rows = []
    for i, s in enumerate(chosen, 1):
        g = s.value_gain
        true = float(finish[i] - finish[0]) / YARD
        change = tuple(
            ((s.predicted[name][1] - ranking.present.predicted[name][1]) * scale, float(d))
            for (name, scale), d in zip(STARTS, left[i] - left[0], strict=True)
        )
        what, role = kind(s.option, here), frozenset(roles[s.option.id])
        rows.append(
            Row(
                s.option.id,
                what,
                s.option.tier,
                role,
                mean=g.mean / YARD,
                low=g.low / YARD,
                high=g.high / YARD,
                low95=g.low95 / YARD,
                high95=g.high95 / YARD,
                truth=true,
                threshold=s.threshold / YARD,
                start=change,
            )
        )
    return tuple(rows)


def _record(
    label: tuple[str, str, int, str, str],
    ranking: Ranking,
    rows: tuple[Row, ...],
    session: Session,
    truth: Truth,
    objective: str,
    draws: int,
) -> Record:
    verdict = ranking.verdict
    named = next((r for r in rows if "named" in r.roles), None)
    resolved = 0.0
    if named is not None:
        resolved = named.net if verdict.action == "change" else max(named.net, 0.0)
    if verdict.action == "measure":
        resolved = _after_gauging(session, truth, objective, draws)
    oracle = max(0.0, *(r.net for r in rows))
    return Record(*label, verdict.action, verdict.option, oracle, resolved, rows)


def gauged(kit: Kit, truth: Truth) -> Kit:
    """Kit of the shop after the heads that only carry a stamp were put on a loft gauge."""
    rng = np.random.default_rng([SEED, 7, truth.player.number])
    heads = []
    for head in kit.heads:
        read_off = truth.parts.heads[head.code]["loft_deg"] + 0.3 * rng.standard_normal()
        heads.append(replace(head, loft_deg=Reading(read_off, 0.3)) if head.loft_deg is None else head)
    return replace(kit, heads=tuple(heads))


def _after_gauging(session: Session, truth: Truth, objective: str, draws: int) -> float:
    """True net gain of the verdict that stands once every stamped loft is gauged; a test is resolved."""
    ranking = rank(ask(session, gauged(KIT, truth), truth.player.present, objective, draws=draws))
    club = present_club(KIT, truth.player.present)
    here = Option(club.code, "-", club)
    for s in ranking.options:
        if s.option.id == ranking.verdict.option and ranking.verdict.action in ("change", "test"):
            column = {"carry": 0, "total": 2}[objective]
            swings = truth.player.swings(FINE, KEY_FINE, True)
            finish = truth.hit([here, s.option], swings)[1][..., column].mean(axis=1)
            net = float(finish[1] - finish[0] - s.threshold) / YARD
            return net if ranking.verdict.action == "change" else max(net, 0.0)
    return 0.0
