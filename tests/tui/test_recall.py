"""The shop's memory at the bench: kept by itself, found again, and nothing of the demo."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import msgspec
import pytest
from textual.pilot import Pilot

from fitter.cli.main import main
from fitter.history.records import Fitting, Visit
from fitter.history.store import Store, usual_path
from fitter.trial.record import VERSION, Ball, Record
from fitter.tui.app import FitterApp
from fitter.tui.bench import Work
from fitter.tui.dialogs import Page, Pick
from tests.tui.support import press, run, screen, settle, write


@pytest.fixture(autouse=True)
def _own_memory(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))


@pytest.fixture
def own(one: Work, shop: Path) -> Work:
    """A player of the shop's own, not of the demo."""
    log = shop / "P1.csv"
    log.write_text(log.read_text(encoding="utf-8").replace("P1,", "M7,"), encoding="utf-8")
    return Work((replace(one.bench, player="M7", scene="", aside=((2, "interrupted"),)),))


def test_a_session_is_remembered_when_its_sheet_is_printed(own: Work, tmp_path: Path) -> None:
    async def steps(app: FitterApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "5", "x", "1", "w")
        await write(app, pilot, str(tmp_path / "page.md"))
        with Store(read_only=True) as store:
            assert [v.player for v in store.entries(Visit)] == ["M7"]

    run(steps, work=own, file=tmp_path / "bench.json")
    with Store(read_only=True) as store:
        (visit,), (fitting,) = store.entries(Visit), store.entries(Fitting)
        # Printed and left: recorded once.
        assert fitting.visit == visit.digest
        assert fitting.chosen == (fitting.recommended or "keep")
        assert visit.reading["aside"] == ["shots=2 reason='interrupted'"]
        assert store.log("M7", visit.digest) == (tmp_path / "shop" / "P1.csv").read_bytes()


def test_a_visit_comes_back_to_the_bench_as_it_was(own: Work, tmp_path: Path) -> None:
    async def leave(app: FitterApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "4", "q")

    run(leave, work=own, file=tmp_path / "bench.json")
    (tmp_path / "shop" / "P1.csv").unlink()

    async def back(app: FitterApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "j")
        assert isinstance(app.screen, Pick)
        assert "M7" in screen(app)
        await press(app, pilot, "1")
        assert "1 visit" not in screen(app)
        await press(app, pilot, "1")
        assert isinstance(app.screen, Page)
        assert "for play" in screen(app) or "for total" in screen(app)
        await press(app, pilot, "escape", "j", "1", "3")
        await settle(app, pilot)
        bench = app.bench
        assert (bench.player, bench.present, bench.hand) == ("M7", own.bench.present, own.bench.hand)
        assert bench.aside == own.bench.aside
        assert app.view.reading is not None
        assert len(app.view.reading.session) == 18
        assert app.view.kit is not None
        await press(app, pilot, "1")
        assert "remembered: P1.csv" in screen(app)
        assert "remembered: kit" in screen(app)

    run(back, work=Work((replace(own.bench, player="M8", log=""),)), file=tmp_path / "bench2.json")


def test_what_was_chosen_and_tried_comes_back_and_pain_of_today_stays(own: Work, tmp_path: Path) -> None:
    ball = Ball(1, {"carry_m": 250.0, "spin_rpm": 2600.0}, "typed")
    tried = Record(
        version=VERSION, asked={"after_shot": 18}, log_digest="", clubs=["H4/S2 45.25in", "H1/S2 45.25in"],
        codes=["A", "B"], runs=[1, 0, 0, 1], a_run=3, seed=1, promised={}, balls=[ball], pain="the back",
    )  # fmt: skip
    work = Work((replace(own.bench, trial=tried, cautions=(("pain", "yes"),)),))

    async def steps(app: FitterApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "5", "x", "1", "w")
        await write(app, pilot, str(tmp_path / "page.md"))
        chosen = app.bench.chosen
        await press(app, pilot, "j", "1", "3")
        assert app.bench.chosen == chosen
        assert app.bench.trial == replace_pain(tried)
        assert app.bench.caution("pain") == "yes"

    def replace_pain(record: Record) -> Record:
        return msgspec.structs.replace(record, pain="")

    run(steps, work=work, file=tmp_path / "bench.json")


def test_months_are_told_at_the_bench(one: Work, tmp_path: Path) -> None:
    from fitter import demo

    assert main(["history", "import", str(demo.folder() / "year" / "Y2")]) == 0

    async def steps(app: FitterApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "d")
        assert isinstance(app.screen, Page)
        assert "Months: Y2" in screen(app)
        assert "5 visits" in screen(app)

    run(steps, work=Work((replace(one.bench, player="Y2", scene="", log=""),)), file=tmp_path / "bench.json")


def test_nothing_of_the_demo_or_of_a_bench_that_only_reads_is_kept(one: Work, own: Work) -> None:
    async def leave(app: FitterApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "4", "j")
        assert "Nobody is remembered yet" in screen(app)
        await press(app, pilot, "d")
        assert "no visit" in screen(app) or "Nobody" in screen(app)
        await press(app, pilot, "q")

    run(leave, work=one)
    run(leave, work=own)
    assert not usual_path().exists()


def test_a_history_that_cannot_be_written_is_said_and_stops_nothing(own: Work, tmp_path: Path) -> None:
    usual_path().parent.mkdir(parents=True)
    usual_path().write_bytes(b"no history at all")

    async def steps(app: FitterApp, pilot: Pilot[None]) -> None:
        await press(app, pilot, "5", "w")
        await write(app, pilot, str(tmp_path / "page.md"))
        assert (tmp_path / "page.md").exists()
        assert "not remembered" in app.view.problem("history")
        await press(app, pilot, "j")
        assert isinstance(app.screen, type(app.base))

    run(steps, work=own, file=tmp_path / "bench.json")
