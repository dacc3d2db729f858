"""Good logs with one fault each: it is told, or it changes nothing that counts; shares by kind of fault.

Told: refused, or a doubt, or a notice that the good log does not have. Harmless: the same action with the
same option, the gain within half of its interval.
"""

from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pytest

from fitter import demo
from fitter.advice.question import ask
from fitter.advice.rank import rank
from fitter.base.errors import FitterError
from fitter.kit.inventory import Kit
from fitter.kit.offer import offer
from fitter.shots.contradictions import contradictions
from fitter.shots.reader import intake
from fitter.simulate.strike import ordinary_head
from tests.shots.mutations import KINDS, Rows, good, written


@dataclass
class Tally:
    """Outcomes of one kind of fault, and the faults that nobody was told of."""

    kinds: Counter[str] = field(default_factory=Counter)
    silent: Counter[str] = field(default_factory=Counter)

    def share(self, *names: str) -> float:
        return sum(self.kinds[n] for n in names) / max(self.kinds.total(), 1)

    def __str__(self) -> str:
        parts = [f"{n} {self.share(n):.1%}" for n in ("told", "harmless", "silent")]
        worst = ", ".join(f"{what} ({n})" for what, n in self.silent.most_common(8))
        return f"{', '.join(parts)} of {self.kinds.total()}" + (f"; silent: {worst}" if worst else "")


class Judge:
    """What a faulty log leads to beside the good one of the same player."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.logs = good()
        self.names = list(self.logs)
        self.kit = Kit.load(demo.folder())
        self.answers: dict[str, object] = {}

    def read(self, rows: Rows):
        return intake.read(written(rows, self.folder / "log.csv"))

    def told(self, name: str, rows: Rows) -> bool:
        try:
            session = self.read(rows)
        except FitterError as error:
            return bool(error.problems)
        usual = set(self.read(self.logs[name]).notices)
        return bool(set(session.notices) - usual) or bool(contradictions(session, ordinary_head()))

    def answer(self, rows: Rows):
        asked = ask(self.read(rows), self.kit, "H4/S2", offer=offer(tiers=("A", "D")), draws=64)
        return rank(asked, flips=False)

    def harmless(self, name: str, rows: Rows) -> bool:
        if name not in self.answers:
            self.answers[name] = self.answer(self.logs[name])
        right = self.answers[name]
        try:
            wrong = self.answer(rows)
        except FitterError as error:
            return bool(error.problems)
        if (wrong.verdict.action, wrong.verdict.option) != (right.verdict.action, right.verdict.option):
            return False
        if right.named is None or wrong.named is None:
            return True
        gain = right.named.value_gain
        return abs(wrong.named.value_gain.mean - gain.mean) <= 0.25 * (gain.high - gain.low)


def tallied(judge: Judge, kind: str, n: int, seed: int, rank_silent: bool = True) -> Tally:
    rng = np.random.default_rng(seed)
    found = Tally()
    for _ in range(n):
        name = judge.names[rng.integers(len(judge.names))]
        rows, what = KINDS[kind](judge.logs[name], rng)
        outcome = "told" if judge.told(name, rows) else "silent"
        if outcome == "silent" and rank_silent and judge.harmless(name, rows):
            outcome = "harmless"
        found.kinds[outcome] += 1
        if outcome == "silent":
            found.silent[f"{name}: {what}"] += 1
    print(f"{kind}: {found}")
    return found


@pytest.mark.parametrize("kind", KINDS)
def test_most_faults_of_a_kind_are_told(kind: str, tmp_path: Path) -> None:
    found = tallied(Judge(tmp_path), kind, 12, 1, rank_silent=False)
    assert found.share("told") >= 0.75, str(found)


@pytest.mark.slow
def test_faults_are_told_or_harmless(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    judge = Judge(tmp_path)
    with capsys.disabled():
        tallies = {kind: tallied(judge, kind, 200, 7) for kind in KINDS}
    for kind, found in tallies.items():
        assert found.share("told", "harmless") >= 0.85, f"{kind}: {found}"
    assert np.mean([t.share("told", "harmless") for t in tallies.values()]) >= 0.95
