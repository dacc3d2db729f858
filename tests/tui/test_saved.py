"""Nothing is lost: the bench on disk, undo, what arrives in the meantime."""

from __future__ import annotations

import json
import os
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from fitter.base import sources
from fitter.base.conditions import Conditions
from fitter.base.errors import InputError
from fitter.tui import bench as benches
from fitter.tui import saved
from fitter.tui.app import FitterApp
from fitter.tui.bench import Bench, Choice, Steps, Typed, Work
from fitter.tui.saved import begin
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
    saved.save(work, tmp_path / "deep" / "bench.json")
    assert saved.load(tmp_path / "deep" / "bench.json") == saved.Found(work)


UNREADABLE = (
    "", "{", "null", "7", "\x00\xff", "[" * 100_000, '{"version": 1}',
    '{"version": 1, "at": 0, "benches": []}', '{"version": 0, "at": 0, "benches": [{}]}',
    *(f'{{"version": 1, "at": 0, "benches": [{bench}]}}' for bench in (
        "5", '{"player": 5}', '{"hand": "both"}', '{"conditions": {"turf": "sand"}}',
        '{"typed": [{"values": [["carry_m", "far"]]}]}',
    )),
    *(f'{{"version": 1, "at": {at}, "benches": [{{}}]}}' for at in ("Infinity", "1e999", '"0"')),
)  # fmt: skip


def test_files_that_cannot_be_read_are_told_and_kept_under_numbered_names(tmp_path: Path) -> None:
    file = tmp_path / "bench.json"
    assert saved.load(file) == saved.Found()
    for number, text in enumerate(UNREADABLE, 1):
        file.write_text(text, encoding="utf-8")
        found = saved.load(file)
        kept = tmp_path / f"bench.json.unread-{number}"
        assert (found.work, found.writable) == (None, True)
        assert f"It is kept as {kept}." in found.told
        assert not file.exists()
    for number, text in enumerate(UNREADABLE, 1):
        assert (tmp_path / f"bench.json.unread-{number}").read_text(encoding="utf-8") == text


def test_what_a_newer_version_wrote_is_shown_and_left_alone(tmp_path: Path) -> None:
    file = tmp_path / "bench.json"
    saved.save(Work((FULL,)), file)
    now = json.loads(file.read_text(encoding="utf-8"))
    more = {**now, "benches": [{**now["benches"][0], "gloves": 2, "steps": {"head": "H1", "paint": "red"}}]}
    for data, work, words in (
        (more, Work((replace(FULL, steps=Steps(head="H1")),)), "benches.steps.paint, benches.gloves"),
        ({**now, "version": 2}, Work((FULL,)), "a newer version"),
        ({"version": 2, "players": []}, None, "a newer version"),
    ):
        text = json.dumps(data)
        file.write_text(text, encoding="utf-8")
        found = saved.load(file)
        assert found.work == work
        assert not found.writable
        assert words in found.told
        assert list(tmp_path.glob("*bench*")) == [file]
        assert file.read_text(encoding="utf-8") == text


def test_a_file_that_cannot_be_opened_stays_and_is_not_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = saved.path("work")
    saved.save(Work((FULL,)), file)
    before = file.read_bytes()

    def refuse(*_: object) -> bytes:
        raise OSError(5, "Input/output error")

    with monkeypatch.context() as patched:
        patched.setattr(sources, "take", refuse)
        with begin("work", Work()) as begun:
            assert begun.file is None
            assert "nothing is saved" in begun.told
            assert "Input/output error" in begun.told
    assert file.read_bytes() == before
    with begin("work", Work()) as begun:
        assert begun.work.bench == FULL


def test_saved_work_is_read_within_the_limits(tmp_path: Path) -> None:
    large, pipe, link = (tmp_path / name for name in ("large.json", "pipe.json", "link.json"))
    with large.open("wb") as file:
        file.truncate(10**12)
    os.mkfifo(pipe)
    link.symlink_to(tmp_path / "gone.json")
    for path, words in ((large, "1000000 MB"), (pipe, "a named pipe"), (link, "no such file")):
        found = saved.load(path)
        assert (found.work, found.writable) == (None, False)
        assert words in found.told
        assert "left as it is" in found.told


def test_what_was_found_is_told_on_the_screen(one: Work) -> None:
    file = saved.path("work")
    file.parent.mkdir(parents=True)
    file.write_text('{"version": 1, "at": 0, "benches": [5]}', encoding="utf-8")

    async def play(app: FitterApp, pilot: Any) -> None:
        assert "The saved work could not be read" in screen(app)
        await press(app, pilot, "down", "plus")
        assert "The saved work could not be read" in screen(app)

    with begin("work", Work((replace(one.bench, kit=""),))) as begun:
        run(play, work=begun.work, file=begun.file, told=begun.told)
    assert (file.parent / "bench-work.json.unread-1").exists()
    assert saved.load(file).work is not None


def test_a_second_bench_opens_to_read_only_and_says_who_holds_the_work(one: Work) -> None:
    saved.save(Work((replace(one.bench, kit="", pins=("H1/S2",)),)), saved.path("work"))

    async def play(app: FitterApp, pilot: Any) -> None:
        assert app.bench.pins == ("H1/S2",)
        for key in "12345":
            await press(app, pilot, key)
            assert "Opened to read only: nothing is saved." in screen(app)
        assert f"process {os.getpid()}" in app.view.problem("save")
        await press(app, pilot, "4", "s")
        assert app.bench.every_set_up
        assert "Opened to read only: nothing is saved." in screen(app)

    with begin("work", Work()) as first:
        assert first.file is not None
        assert first.told == ""
        with begin("work", Work()) as second:
            assert second.file is None
            run(play, work=second.work, file=second.file, restored=True, told=second.told)
        assert saved.load(first.file).work == replace(first.work, past=())
    with begin("work", Work()) as third:
        assert third.file is not None


def test_a_bench_held_by_another_moves_nothing_away() -> None:
    file = saved.path("work")
    with begin("work", Work()):
        file.write_text("{", encoding="utf-8")
        with begin("work", Work()) as second:
            assert "cannot be read" in second.told
        assert file.read_text(encoding="utf-8") == "{"


def test_what_a_killed_writer_left_is_swept() -> None:
    file = saved.path("work")
    saved.save(Work((FULL,)), file)
    for k in range(3):
        (file.parent / f".{file.name}.{k:032x}.fitter-part").write_text("half", encoding="utf-8")
    with begin("work", Work()):
        assert [p.name for p in file.parent.glob(".*")] == []


def test_a_write_that_fails_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "bench.json"
    saved.save(Work((FULL,)), file)
    before = file.read_bytes()

    def refuse(*_: object) -> None:
        raise OSError("full")

    monkeypatch.setattr(os, "replace", refuse)
    with pytest.raises(InputError, match="full"):
        saved.save(Work(), file)
    assert file.read_bytes() == before
    assert list(tmp_path.glob("*bench*")) == [file]


def test_quitting_and_opening_again_restores_the_work(one: Work) -> None:
    async def first(app: FitterApp, pilot: Any) -> None:
        await press(app, pilot, "4", "p", "b", "2", "t")
        await write(app, pilot, "club 131 ball 188 launch 14 spin 2400 carry 310 side 5L")
        await press(app, pilot, "q")

    with begin("demo", one) as begun:
        assert not begun.restored
        run(first, work=begun.work, file=begun.file)

    async def again(app: FitterApp, pilot: Any) -> None:
        assert "Everything is as it was left" in screen(app)
        assert app.bench.pins == ("H1-1/S2 45.25in",)
        assert app.bench.typed[0].build == app.bench.in_hand == "H1-1/S2 45.25in"
        await press(app, pilot, "4")
        assert "measured" in screen(app)

    with begin("demo", one) as begun:
        assert begun.restored
        run(again, work=begun.work, file=begun.file, restored=True)


def test_a_disk_that_is_full_is_said(one: Work, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    async def play(app: FitterApp, pilot: Any) -> None:
        def refuse(*_: object) -> None:
            raise OSError(28, "No space left on device")

        monkeypatch.setattr(saved, "save", refuse)
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


def test_typed_shots_of_no_player_stay_apart_from_the_next_log() -> None:
    typed = Typed((("carry_m", 250.0),))
    alone = Bench(typed=(typed,), aside=((1, "slipped"),), log="night.csv")
    first, other, apart = benches.seated(Work((alone,)), ["P1", "P2"]).benches
    assert [(b.player, b.log) for b in (first, other, apart)] == [
        ("P1", "night.csv"),
        ("P2", "night.csv"),
        ("", ""),
    ]
    assert (first.typed, first.aside, other.typed, other.aside) == ((), (), (), ())
    assert (apart.typed, apart.aside) == ((typed,), ((1, "slipped"),))


def test_decisions_follow_their_shots_to_another_log() -> None:
    typed = Typed((("carry_m", 250.0),))
    bench = Bench(
        log="a.csv",
        seen=10,
        typed=(typed,),
        aside=((3, "slipped"), (11, "slipped")),
        strikes=((2, 1.0, 1.0),),
    )
    bench = replace(bench, **benches.other_log(bench, "b.csv"))
    assert (bench.log, bench.seen, bench.aside, bench.strikes) == ("b.csv", 0, ((1, "slipped"),), ())
    bench = replace(bench, **benches.arrived(bench, 6))
    assert (bench.aside, bench.builds) == (((7, "slipped"),), ())
