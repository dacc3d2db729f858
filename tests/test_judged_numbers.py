"""Judged numbers of a question: they act in all that is made of it, and no other thread sees them."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path
from threading import Barrier
from typing import Any

import numpy as np
import pytest

from fitter import frames
from fitter.advice.question import Question, ask
from fitter.advice.rank import gains_of, predict_option, rank
from fitter.advice.reach import reach
from fitter.base import assumptions
from fitter.base.assumptions import Assumptions, current, using
from fitter.base.units import Units
from fitter.batches.batch import Batch, batch
from fitter.display import ranking as words
from fitter.display import reached, serialise
from fitter.sheet.content import Settings, content
from fitter.shots.infer import infer as inference
from tests.advice import virtual
from tests.batches import shop


def changed(**factors: float) -> Assumptions:
    """Usual numbers, some times a factor; an underscore pair stands for the dot of a name."""
    entries = dict(assumptions.defaults())
    for key, times in factors.items():
        name = key.replace("__", ".")
        entries[name] = replace(entries[name], value=times * entries[name].value)
    return Assumptions(entries)


TIERS = {f"verdict__tier_{tier}": 3.0 for tier in "abcde"}
STRICT = changed(**TIERS)
DULL = changed(strike__restitution=0.97, verdict__p_free=0.7, verdict__p_bought=0.7)


def question(judged: Assumptions) -> Question:
    with using(judged):
        return ask(virtual.session(112, -1, 12.5), virtual.kit(), "G/R", "total", draws=16)


def everything(q: Question) -> dict[str, Any]:
    """All that is made of a question, as plain values."""
    ranking, needed = rank(q), reach(q, 280.0)
    paper = content(ranking, ranking.shots, Settings(evidence=True, where=q.conditions))
    return {
        "json": serialise.ranking(ranking),
        "text": words.text(ranking, Units("us")),
        "sheet": paper,
        "reach": serialise.reach(needed),
        "reach text": reached.text(needed, Units("metric")),
        "frame": frames.options(ranking).to_csv(),
        "option": predict_option(q, ranking.options[0].option).threshold,
        "compared": repr(gains_of(q, [ranking.options[0].option.club])),
    }


def test_nothing_that_is_made_of_a_question_reads_other_numbers(monkeypatch: pytest.MonkeyPatch) -> None:
    q, usual = question(DULL), everything(question(assumptions.defaults()))
    # Inference in many small batches, on threads: these see no numbers but those that are handed to them.
    monkeypatch.setattr(inference, "BATCH", 1)
    monkeypatch.setenv("FITTER_THREADS", "2")

    def refuse() -> Assumptions:
        raise AssertionError("the usual numbers are read while others are in force")

    monkeypatch.setattr(assumptions, "defaults", refuse)
    found = everything(q)
    sessions = [q.session.take(np.arange(k, k + 3)) for k in (0, 3, 6)]
    with using(DULL):
        assert len(inference.infer_many(sessions)) == 3
    said = " ".join(found["sheet"]["evidence"]["assumptions"])
    wanted = (DULL.value(f"verdict.p_{kind}") for kind in ("free", "bought"))
    assert any(f"with probability {p:g}: it promises" in said for p in wanted)
    for name in ("json", "text", "sheet", "reach", "frame"):
        assert found[name] != usual[name], name


def test_two_threads_with_different_numbers_do_not_disturb_each_other() -> None:
    questions = question(DULL), question(STRICT)
    alone = [serialise.ranking(rank(q, flips=False)) for q in questions]
    assert alone[0] != alone[1]
    both = Barrier(2, timeout=600.0)

    def beside(q: Question) -> tuple[Assumptions, dict[str, Any]]:
        with using(q.assumptions):
            both.wait()
            found = serialise.ranking(rank(q, flips=False))
            both.wait()
            return current(), found

    with ThreadPoolExecutor(2) as pool:
        found = list(pool.map(beside, questions))
    assert [judged for judged, _ in found] == [DULL, STRICT]
    assert [told for _, told in found] == alone
    assert current() is assumptions.defaults()


@pytest.fixture(scope="module")
def night(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., Batch]:
    """Score two logs with judged numbers in force."""
    base = tmp_path_factory.mktemp("night")
    shop.kit(base / "kit")
    shop.night(base / "logs", 2)

    def score(judged: Assumptions, out: Path, **more: Any) -> Batch:
        with using(judged):
            return batch([base / "logs"], base / "kit", out=out, draws=shop.DRAWS, keep_options=True, **more)

    return score


def test_a_batch_takes_the_numbers_along_into_its_processes(
    night: Callable[..., Batch], tmp_path: Path
) -> None:
    usual = night(assumptions.defaults(), tmp_path / "usual.csv")
    here = night(STRICT, tmp_path / "here.csv")
    there = night(STRICT, tmp_path / "there.csv", workers=2)
    assert here.options == there.options
    assert here.rows == there.rows
    by_id = {(o.player, o.id): o.threshold for o in usual.options}
    assert len(by_id) == len(here.options) > 0
    for option in here.options:
        # Rows are rounded to four places.
        assert option.threshold == pytest.approx(3.0 * by_id[option.player, option.id], abs=5e-4)
