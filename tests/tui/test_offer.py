"""The limits of what is offered at the bench: settings, the ranking's offer, the ladder, the saved file."""

from __future__ import annotations

from dataclasses import fields, replace
from pathlib import Path

import pytest

from fitter import demo
from fitter.advice.options import present_club
from fitter.advice.question import ask
from fitter.advice.rank import rank
from fitter.base.assumptions import Assumptions, current, using
from fitter.base.errors import InputError
from fitter.kit.figures import Reading
from fitter.kit.inventory import Kit
from fitter.kit.offer import offer
from fitter.shots.reader import intake
from fitter.tui import ladder, saved
from fitter.tui.answer import Answer, offered
from fitter.tui.bench import BESIDE, RANKED, READ, SHOTS, Bench, Work
from fitter.tui.measured import Look
from fitter.tui.settings import BY_KEY
from fitter.tui.view import View

LIMITS = ("stock", "tiers", "budget", "without_shafts", "allow_breaches", "any_shaft")


def view(bench: Bench) -> View:
    return View(work=Work((bench,)), kit=Kit.load(demo.folder()))


def typed(key: str, text: str) -> dict[str, object]:
    read = BY_KEY[key].read
    assert read is not None
    return read(view(Bench()), text)


def stepped(key: str, bench: Bench, by: int = 1) -> Bench:
    step = BY_KEY[key].step
    assert step is not None
    return replace(bench, **step(view(bench), by))


def test_every_field_of_a_bench_counts_unless_it_is_named() -> None:
    names = {f.name for f in fields(Bench)}
    assert names >= {*READ, *BESIDE}
    assert set(RANKED) == names - {*SHOTS, *BESIDE}
    assert {"objective", "conditions", "present", "stock", "sets_face", "trouble"} <= set(RANKED)


def test_usual_wishes_are_those_of_the_judged_numbers_in_force() -> None:
    there = current()["score.width_yd"]
    with using(Assumptions({**current(), there.name: replace(there, value=41.0)})):
        assert (Bench().width_yd, Work().benches[0].width_yd) == (41.0, 41.0)


def test_each_limit_is_one_setting_that_reaches_the_ranking() -> None:
    kit, bench = Kit.load(demo.folder()), Bench()
    assert offered(bench, kit) == offer()
    assert set(LIMITS) <= set(RANKED)
    bench = stepped("stock", stepped("tiers", stepped("any shaft", stepped("breaches", bench))))
    assert (bench.stock, bench.tiers, bench.allow_breaches) == (("rack", "today"), ("A",), True)
    typing = typed("without shafts", "S7, S8") | typed("budget", "400") | typed("tiers", "b a")
    bench = replace(bench, **typing)  # type: ignore[arg-type]
    assert offered(bench, kit) == offer(
        stock=("rack", "today"),
        tiers=("A", "B"),
        budget=400.0,
        without_shafts=("S7", "S8"),
        allow_breaches=True,
        any_shaft=True,
    )
    shown = {key: BY_KEY[key].show(view(bench)) for key in ("stock", "tiers", "budget", "without shafts")}
    assert shown == {"stock": "rack, today", "tiers": "AB", "budget": "400", "without shafts": "S7, S8"}


def test_a_budget_steps_down_to_no_limit() -> None:
    bench = stepped("budget", stepped("budget", Bench()))
    assert bench.budget == 50.0
    bench = stepped("budget", stepped("budget", bench, -1), -1)
    assert bench.budget is None
    assert typed("budget", "") == {"budget": None}


@pytest.mark.parametrize(("key", "text"), [("tiers", "AZ"), ("budget", "much"), ("without shafts", "S99")])
def test_what_makes_no_sense_is_refused(key: str, text: str) -> None:
    with pytest.raises(InputError):
        typed(key, text)


def test_the_limits_are_saved_with_the_bench(tmp_path: Path) -> None:
    bench = Bench(player="P1", stock=("rack",), tiers=("A", "B"), budget=250.0, without_shafts=("S1",))
    saved.save(Work((bench,)), tmp_path / "bench.json")
    found = saved.load(tmp_path / "bench.json")
    assert found.work is not None
    assert found.work.bench == bench


def test_what_breaks_a_rule_stands_below_everything_else() -> None:
    kit = Kit.load(demo.folder())
    hot = replace(kit.head("H1"), head="H9", ct_us=Reading(290.0))
    kit = Kit((*kit.heads[:1], hot), kit.shafts[:2], kit.source)
    session = intake.read(demo.folder() / "P2.csv")
    ranking = rank(ask(session, kit, "H1/S1", draws=16), flips=False)
    answer = Answer(ranking, present_club(kit, "H1/S1"), 0.0)
    found = ladder.rungs(answer, Bench())
    against = [s.option.id for s in found.against]
    assert against
    assert all("H9" in key for key in against)
    assert found.keys[-len(against) :] == against
    assert not any("H9" in s.option.id for s in (*found.top, *found.rest))
    _, rows = ladder.draw(answer, Bench(), found, Look(), 100)
    assert any("against the rules" in row.text for row in rows)
    hidden = ladder.rungs(answer, Bench(hidden=("rules broken",)))
    assert not hidden.against


def test_shafts_that_cannot_be_told_apart_are_one_rung_until_every_set_up_is_asked_for() -> None:
    kit = Kit.load(demo.folder())
    session = intake.read(demo.folder() / "P3.csv")
    ranking = rank(ask(session, kit, "H5/S4", "total", draws=32), flips=False)
    group = max(ranking.alike, key=lambda g: len(g.shafts))
    answer, bench = Answer(ranking, present_club(kit, "H5/S4"), 0.0), Bench()

    def seen(bench: Bench) -> set[str]:
        found = ladder.rungs(answer, bench)
        every = {s.option.id: s.option.club for s in ranking.options}
        clubs = [every[key] for key in found.keys if key in every]
        return {c.shaft.code for c in clubs if c.head.code == group.head} & set(group.shafts)

    assert len(seen(bench)) == 1
    assert seen(replace(bench, every_set_up=True)) == set(group.shafts)
    # What a person pins has its own line.
    pinned = replace(bench, pins=(group.options[-1],))
    assert group.shafts[-1] in seen(pinned)
    rows = ladder.draw(answer, bench, ladder.rungs(answer, bench), Look(), 100)[1]
    words = " ".join(row.text.strip() for row in rows)
    assert f"takes {group.balls} balls" in words
