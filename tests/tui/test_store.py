"""Nothing is lost: the bench on disk, undo, what arrives in the meantime."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import pytest

from fitter.conditions import Conditions
from fitter.tui import bench as benches
from fitter.tui import store
from fitter.tui.app import FitterApp
from fitter.tui.bench import Bench, Choice, Steps, Typed, Work
from fitter.tui.start import begin
from tests.tui.support import press, run, screen, write

FULL = Bench(
    player="P1",
    log="a.csv",
    conditions=Conditions(wind_mps=3.0, turf="firm"),
    cautions=(("pain", "no"),),
    typed=(Typed((("carry_m", 250.0),), "H2/S2"),),
    builds=((3, "H2/S2"),),
    aside=((2, "slipped"),),
    strikes=((1, -3.0, 4.0),),
    pins=("a", "b"),
    steps=Steps(length_in=-0.25),
    chosen=Choice("a", "b", "change", "looks"),
)


def test_the_bench_comes_back_as_it_was(tmp_path: Path) -> None:
    work = Work((FULL, Bench(player="P2")), 1, light=True)
    store.save(work, tmp_path / "deep" / "bench.json")
    assert store.load(tmp_path / "deep" / "bench.json") == work


def test_a_file_that_cannot_be_read_is_kept_beside(tmp_path: Path) -> None:
    file = tmp_path / "bench.json"
    assert store.load(file) is None
    for text in ("", "{", '{"version": 1}', '{"version": 99, "at": 0, "benches": []}'):
        file.write_text(text, encoding="utf-8")
        assert store.load(file) is None
        assert file.with_suffix(".unread").read_text(encoding="utf-8") == text


def test_a_write_that_fails_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "bench.json"
    store.save(Work((FULL,)), file)
    before = file.read_bytes()

    def refuse(*_: object) -> None:
        raise OSError("full")

    monkeypatch.setattr(os, "replace", refuse)
    with pytest.raises(OSError, match="full"):
        store.save(Work(), file)
    assert file.read_bytes() == before
    assert list(tmp_path.glob("bench*")) == [file]


def test_quitting_and_opening_again_restores_the_work(one: Work) -> None:
    work, file, restored = begin("demo", one)
    assert not restored

    async def first(app: FitterApp, pilot: Any) -> None:
        await press(app, pilot, "4", "p", "b", "2", "t")
        await write(app, pilot, "club 131 ball 188 launch 14 spin 2400 carry 310 side 5L")
        await press(app, pilot, "q")

    run(first, work=work, file=file)
    work, file, restored = begin("demo", one)
    assert restored

    async def again(app: FitterApp, pilot: Any) -> None:
        assert "Everything is as it was left" in screen(app)
        assert app.bench.pins == ("H1-1/S2 45.25in",)
        assert app.bench.typed[0].build == app.bench.in_hand == "H1-1/S2 45.25in"
        await press(app, pilot, "4")
        assert "measured" in screen(app)

    run(again, work=work, file=file, restored=True)


def test_a_disk_that_is_full_is_said(one: Work, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    async def play(app: FitterApp, pilot: Any) -> None:
        def refuse(*_: object) -> None:
            raise OSError(28, "No space left on device")

        monkeypatch.setattr(store, "save", refuse)
        await press(app, pilot, "4", "p")
        assert "No space left on device" in app.view.problem("save")
        assert app.bench.pins

    run(play, work=one, file=tmp_path / "bench.json")


def test_undo_keeps_what_arrived_since() -> None:
    work = benches.change(Work((Bench(seen=10),)), "build in hand", in_hand="H2/S2")
    work = benches.change(work, "", **benches.arrived(work.bench, 12))
    assert work.bench.builds == ((11, "H2/S2"), (12, "H2/S2"))
    work, label = benches.undo(work)
    assert (label, work.bench.in_hand, work.bench.seen) == ("build in hand", "", 12)
    assert work.bench.builds == ((11, "H2/S2"), (12, "H2/S2"))
    assert benches.undo(work) == (work, "")


def test_decisions_on_typed_shots_move_with_them() -> None:
    typed = Typed((("carry_m", 250.0),))
    work = Work((Bench(seen=10, typed=(typed,), aside=((11, "slipped"), (3, "slipped")), restored=(11,)),))
    work = benches.change(work, "", **benches.arrived(work.bench, 12))
    assert work.bench.aside == ((13, "slipped"), (3, "slipped"))
    assert work.bench.restored == (13,)
