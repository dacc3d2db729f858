"""Where to look: at every option of an ordinary kit; of a large one at heads first, then at their shafts.

Looks order the work and nothing else. What can win by them goes into full draws; the rest is counted.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fitter.advice import race
from fitter.advice.baseline import Baseline
from fitter.advice.objectives import OBJECTIVES
from fitter.advice.options import Offered, Option, counted, of_pairs
from fitter.advice.prediction import predict
from fitter.advice.question import Question
from fitter.advice.race import LeftOut, Look, RoughOrder
from fitter.base.assumptions import current
from fitter.base.errors import Problem, raise_if
from fitter.kit.catalogue import Pair, Pairs, of_pair, pairs
from fitter.kit.club import Club
from fitter.kit.inventory import Kit
from fitter.kit.suits import WINDOWS

Floats = NDArray[np.float64]

ALL = 10_000
"""Options up to which all are looked at."""
MOST = 40_000
"""Most options of a first look, and most pairs of a head and a shaft: beyond them a kit is refused."""
HEADS = 12
"""Most heads that are searched with other shafts than the one they were looked at with."""
SHAFTS = 12
"""Most shafts that are searched with each of these heads in every set-up."""


def search(question: Question, baseline: Baseline, progress: Callable[[int, int], None] | None) -> Offered:
    """Options worth a look.

    Parameters
    ----------
    question : Question
        In the frame of its shots (`Question.right_handed`).
    baseline : Baseline
    progress : callable or None
        Called before each look, with 0 and the options of that look.

    Returns
    -------
    Offered
        All of them up to `ALL`. Of a larger kit every head with one shaft; the heads that can win, and the
        present one, with each shaft in their best sleeve position; what can win of those in every set-up.

    Raises
    ------
    InputError
        If the kit lacks a part that is not wanted, a card's code is also one of the kit, or the kit is too
        large.
    """
    q = question
    kit = q.kit or Kit((), ())
    asked_for = {s.code for s in kit.shafts if any(f"/{s.code} " in name for name in q.named)}
    shop = pairs(kit, q.present, q.offer, baseline.swing.speed, asked_for)
    # What breaks a rule is predicted too.
    size = sum(counted(shop.offered, q.present, replace(q.offer, allow_breaches=True)).values())
    if size <= ALL:
        return of_pairs(shop, shop.offered, q.present, q.offer)
    return _HeadsFirst(q, baseline, shop, progress).offered()


@dataclass(frozen=True)
class _HeadsFirst:
    question: Question
    baseline: Baseline
    shop: Pairs
    progress: Callable[[int, int], None] | None

    def offered(self) -> Offered:
        q = self.question
        by_head: dict[str, list[Pair]] = defaultdict(list)
        for pair in self.shop.offered:
            by_head[pair.head.code].append(pair)
        probes = [self.probe(found) for found in by_head.values()]
        size = sum(counted(probes, q.present, q.offer).values())
        raise_if(self.too_large(size), "The kit is too large to be searched.")
        look = self.look(of_pairs(self.shop, probes, q.present, q.offer).options)
        heads = dict.fromkeys([q.present.head.code, *look.heads()[:HEADS]])
        trials = [
            Option(c.club.code, pair.tier, c.club)
            for head in heads
            for pair in by_head.get(head, ())
            for c in of_pair(pair, q.present, q.offer)
            if _setting(c.club) == look.settings.get(head, _setting(c.club))
        ]
        best = self.look((look.options[0], *trials)).shafts(SHAFTS)
        chosen = [*probes, *self.named()]
        chosen += [p for head in heads for p in by_head.get(head, ()) if p.shaft.code in best.get(head, ())]
        unique = {(p.head.code, p.shaft.code): p for p in chosen}
        return of_pairs(self.shop, unique.values(), q.present, q.offer)

    def too_large(self, size: int) -> list[Problem]:
        found = len(self.shop.offered)
        if size <= MOST and found <= MOST:
            return []
        what = f"{found} pairs of a head and a shaft, {size} options of its heads with one shaft each"
        do = "Offer less: --stock, --tiers, --budget, --without-head, --without-shaft, --ball-steps none."
        where = self.question.kit.source if self.question.kit else ""
        return [Problem(where or "the kit", what, f"{MOST} of each", do)]

    def probe(self, found: Sequence[Pair]) -> Pair:
        """The shaft with which a head is looked at: the present one, or the one most like it that fits."""
        a, mine = current(), self.question.present.shaft

        def unlike(pair: Pair) -> tuple[float, str]:
            steps = (
                abs(pair.shaft.figure(name).value - mine.figure(name).value) / a.value(f"{window}_step")
                for name, window in WINDOWS.items()
            )
            return (0.0 if pair.shaft is mine else sum(steps), "" if pair.shaft is mine else pair.shaft.code)

        return min(found, key=unlike)

    def named(self) -> list[Pair]:
        """Pairs of the options that somebody named."""
        ids = self.question.named
        return [
            pair
            for pair in self.shop.offered
            if any(i.startswith(pair.head.code) and f"/{pair.shaft.code} " in i for i in ids)
        ]

    def look(self, options: tuple[Option, ...]) -> _Seen:
        q = self.question
        looks = [look for look in race.LOOKS if look.draws < q.draws] or [
            Look(q.draws, {}, race.LOOKS[0].most)
        ]
        for look in looks:
            if self.progress is not None:
                self.progress(0, len(options))
            gains, keep = _looked(options, q, self.baseline, look)
            options = tuple(o for o, kept in zip(options, keep, strict=True) if kept)
        return _Seen(options, gains[keep])


@dataclass(frozen=True)
class _Seen:
    """What a look kept, the present club first, and its expected gains, (options,)."""

    options: tuple[Option, ...]
    gains: Floats

    @property
    def ranked(self) -> list[Option]:
        """Best first; equals by id, so that the order of the kit's files does not count."""
        places = sorted(range(1, len(self.options)), key=lambda i: (-self.gains[i], self.options[i].id))
        return [self.options[i] for i in places]

    def heads(self) -> list[str]:
        """Codes of heads by their best option."""
        return list(dict.fromkeys(o.club.head.code for o in self.ranked if o.tier in "DE"))

    @property
    def settings(self) -> dict[str, tuple[object, ...]]:
        """Sleeve and weights of each head in its best option, bench work aside."""
        bought = [o for o in reversed(self.ranked) if o.tier in "CDE"]
        return {o.club.head.code: _setting(o.club) for o in bought}

    def shafts(self, most: int) -> dict[str, set[str]]:
        """Codes of the best shafts of each head."""
        found: dict[str, dict[str, None]] = defaultdict(dict)
        for o in self.ranked:
            mine = found[o.club.head.code]
            if len(mine) < most:
                mine.setdefault(o.club.shaft.code)
        return {head: set(codes) for head, codes in found.items()}


def _setting(club: Club) -> tuple[object, ...]:
    return club.loft_change_deg, club.lie_change_deg, club.place, club.swap_g


def narrowed(
    options: tuple[Option, ...],
    question: Question,
    baseline: Baseline,
    first: Callable[[RoughOrder], None] | None = None,
) -> tuple[tuple[Option, ...], LeftOut]:
    """Options that can still win after looks with few draws, where those save time, and what they left out.

    Parameters
    ----------
    options : tuple of Option
        The present club first.
    question : Question
        In the frame of its shots.
    baseline : Baseline
    first : callable, optional
        Called once with a rough order.
    """
    left_out, kind = LeftOut(), race.kind(OBJECTIVES[question.goal.objective])
    for look in race.needed(len(options), len(baseline), question.draws, kind):
        gains, keep = _looked(options, question, baseline, look)
        if first is not None:
            # The present club stands first and is no option.
            first(RoughOrder(tuple(options[i] for i in np.argsort(-gains, kind="stable") if i)))
            first = None
        left_out = left_out.more(gains, keep)
        options = tuple(o for o, kept in zip(options, keep, strict=True) if kept)
    return options, left_out


def _looked(
    options: tuple[Option, ...], q: Question, baseline: Baseline, look: Look
) -> tuple[Floats, NDArray[np.bool_]]:
    """Expected gains in one look, and what can still win, (options,) each."""
    # Only a mean can be told from a few shots.
    kind = race.kind(OBJECTIVES[q.goal.objective])
    seen = predict(options, q, baseline, draws=look.draws, shots=look.shots.get(kind))
    means = np.asarray(seen.gain.mean(axis=0))
    margin = current().value("verdict.screen_margin") * seen.yard
    keep = race.survivors(options, seen.gain, margin, q.named, seen.by_shot, kind, look.most)
    return means, keep | race.beside_the_best(options, means)
