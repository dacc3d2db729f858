"""No batch writes over what is read, and no two batches write to one place."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from fitter import demo
from fitter.base import files
from fitter.base.errors import InputError
from fitter.batches import output
from fitter.batches.batch import batch
from fitter.batches.output import Journal
from fitter.batches.rows import OptionRow, PlayerRow
from fitter.cli.main import main
from tests.batches import shop

ROOT = demo.folder().parent
pytestmark = pytest.mark.usefixtures("remembered")
POSIX = pytest.mark.skipif(os.name != "posix", reason="links of POSIX")


def whole_shop(folder: Path) -> dict[Path, bytes]:
    """Lay out a shop in one folder; returns what every file of it holds."""
    shop.kit(folder)
    shop.log(folder / "log.csv", "G1", shots=3)
    (folder / "roster.csv").write_text("code,name\nP1,G1\n", encoding="utf-8")
    (folder / "map.csv").write_text("[columns]\n", encoding="utf-8")
    (folder / "sub").mkdir()
    return {f: f.read_bytes() for f in folder.iterdir() if f.is_file()}


def command(folder: Path, out: Path | str, *more: object) -> list[str]:
    words = ["batch", folder / "log.csv", "--kit", folder, "--roster", folder / "roster.csv", "--draws", "16"]
    return [str(w) for w in [*words, "--map-file", folder / "map.csv", "-o", out, *more]]


def by_path(file: Path) -> Path:
    return file


def by_relative(file: Path) -> Path:
    return Path("sub", "..", file.name)


def by_link(file: Path) -> Path:
    (file.parent / "link.csv").symlink_to(file)
    return file.parent / "link.csv"


def by_hard_link(file: Path) -> Path:
    os.link(file, file.parent / "hard.csv")
    return file.parent / "hard.csv"


@POSIX
@pytest.mark.parametrize("name", ["log.csv", "roster.csv", "heads.csv", "shafts.csv", "map.csv"])
@pytest.mark.parametrize("way", [by_path, by_relative, by_link, by_hard_link])
def test_no_input_is_overwritten(
    name: str,
    way: Callable[[Path], Path],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    before = whole_shop(tmp_path)
    monkeypatch.chdir(tmp_path)
    out = way(tmp_path / name)
    assert main(command(tmp_path, out)) == 2
    err = capsys.readouterr().err
    assert f"{out}, which is " in err
    assert {f: f.read_bytes() for f in before} == before
    assert not any(f.name.endswith((".part", ".options.csv")) for f in tmp_path.iterdir())


@pytest.mark.parametrize("name", ["log", "roster", "heads", "shafts", "map"])
def test_nor_by_the_file_of_the_options(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """'-o log.csv' writes log.options.csv too."""
    before = whole_shop(tmp_path)
    taken = tmp_path / "night.options.csv"
    words = command(tmp_path, tmp_path / "night.csv")
    if name in ("heads", "shafts"):
        taken = tmp_path / f"{name}.csv"
        (tmp_path / f"{name}.options.csv").hardlink_to(taken)
        words = command(tmp_path, tmp_path / f"{name}.csv")
    else:
        (tmp_path / f"{name}.csv").rename(taken)
        words = [w.replace(f"{name}.csv", "night.options.csv") for w in words]
        before[taken] = before.pop(tmp_path / f"{name}.csv")
    assert main(words) == 2
    assert "the options of -o: found" in capsys.readouterr().err
    assert {f: f.read_bytes() for f in before} == before


def test_everything_at_once_and_before_any_work(tmp_path: Path) -> None:
    whole_shop(tmp_path)
    (tmp_path / "log.options.csv").write_bytes((tmp_path / "log.csv").read_bytes())
    logs = [tmp_path / "log.csv", tmp_path / "log.options.csv"]
    with pytest.raises(InputError) as caught:
        batch(logs, tmp_path, out=tmp_path / "log.csv", workers=0, goal="luck")
    told = [p.where for p in caught.value.problems]
    assert {"-o", "the options of -o", "--workers"} <= set(told)


@pytest.mark.parametrize("suffix", [".csv", ".jsonl", ".parquet"])
def test_a_log_inside_the_folder_is_kept_and_an_earlier_output_replaced(tmp_path: Path, suffix: str) -> None:
    if suffix == ".parquet":
        pytest.importorskip("pyarrow")
    shop.kit(tmp_path / "kit")
    logs = tmp_path / "logs"
    shop.log(logs / "one.csv", "G1", shots=3)
    shop.log(logs / f"two{suffix}", "G2", shots=3)
    mine = (logs / f"two{suffix}").read_bytes()
    for paths in ([logs], [logs / "*"]):
        with pytest.raises(InputError, match=f"which is the log .*two{suffix}"):
            batch(paths, tmp_path / "kit", out=logs / f"two{suffix}", draws=16)
    assert (logs / f"two{suffix}").read_bytes() == mine
    (logs / f"two{suffix}").unlink()
    first = batch([logs], tmp_path / "kit", out=logs / f"out{suffix}", draws=16)
    again = batch([logs], tmp_path / "kit", out=logs / f"out{suffix}", draws=16)
    assert first.rows == again.rows
    assert [r.session for r in again.rows] == ["one.csv"]


@POSIX
def test_the_folder_of_sheets_is_no_place_for_links_or_logs(tmp_path: Path) -> None:
    whole_shop(tmp_path)
    (tmp_path / "sheets").mkdir()
    (tmp_path / "sheets" / "G1.pdf").symlink_to(tmp_path / "diary")
    with pytest.raises(InputError, match=r"--sheets: found .*a link to .*diary"):
        batch([tmp_path / "log.csv"], tmp_path, sheets=tmp_path / "sheets", draws=16)
    (tmp_path / "sheets" / "G1.pdf").unlink()
    (tmp_path / "log.csv").rename(tmp_path / "sheets" / "G1.pdf")
    with pytest.raises(InputError, match=r"--sheets: found .*which is the log"):
        batch([tmp_path / "sheets" / "G1.pdf"], tmp_path, sheets=tmp_path / "sheets", draws=16)


@POSIX
@pytest.mark.parametrize("name", ["night.csv", "night.options.csv", "night.csv.part"])
def test_a_link_where_a_batch_would_write_is_refused(name: str, tmp_path: Path) -> None:
    before = whole_shop(tmp_path)
    (tmp_path / "kept").mkdir()
    kept = tmp_path / "kept" / f"{'0' * 64}.json"
    kept.write_text("mine")
    target = tmp_path / "kept" if name.endswith(".part") else tmp_path / "heads.csv"
    (tmp_path / name).symlink_to(target)
    with pytest.raises(InputError, match=r"a link to|no folder"):
        batch([tmp_path / "log.csv"], tmp_path / "sub", out=tmp_path / "night.csv")
    assert {f: f.read_bytes() for f in before} == before
    assert kept.read_text() == "mine"


@POSIX
def test_names_that_could_be_guessed_are_not_written(tmp_path: Path) -> None:
    whole_shop(tmp_path)
    victim = tmp_path / "victim"
    victim.write_text("mine")
    for name in ("night.csv.writing", "night.options.csv.writing"):
        (tmp_path / name).symlink_to(victim)
    done = batch([tmp_path / "log.csv"], tmp_path, out=tmp_path / "night.csv", draws=16)
    assert len(done.rows) == 1
    assert victim.read_text() == "mine"


def test_two_batches_never_write_to_one_output(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The second says who is at it, at any moment until the first has ended; then it may."""
    whole_shop(tmp_path)
    night = tmp_path / "night.csv"
    code = (
        "import sys; from fitter.batches.batch import batch\n"
        "def wait(*_): print('ready', flush=True); sys.stdin.readline()\n"
        f"batch([{str(tmp_path / 'log.csv')!r}], {str(tmp_path)!r}, out={str(night)!r}, draws=16,"
        f" sheets={str(tmp_path / 'sheets')!r}, progress=wait)"
    )
    first = subprocess.Popen(
        [sys.executable, "-c", code], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    assert first.stdin is not None
    assert first.stdout is not None
    assert first.stdout.readline() == "ready\n"
    for words in (
        command(tmp_path, night),
        command(tmp_path, tmp_path / "night.options.csv"),
        command(tmp_path, tmp_path / "other.csv", "--sheets", tmp_path / "sheets"),
    ):
        assert main(words) == 2
        assert f"held by fitter batch, process {first.pid}, since 20" in capsys.readouterr().err
    assert main(command(tmp_path, tmp_path / "apart.csv")) == 0
    first.communicate("\n")
    assert first.returncode == 0
    whole = night.read_bytes()
    batch([tmp_path / "log.csv"], tmp_path, out=night, draws=16, sheets=tmp_path / "sheets")
    assert night.read_bytes() == whole


def test_a_disk_that_fills_up_ends_a_batch_with_a_sentence_and_the_old_files(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole_shop(tmp_path)
    night = tmp_path / "night.csv"
    night.write_text("old")

    def no_room(*_: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(files.os, "fsync", no_room)
        # The lock's own record is written in the state folder, before.
        patch.setattr("fitter.batches.batch.hold", lambda *_: patch.context())
        with pytest.raises(InputError, match="No space left"):
            batch([tmp_path / "log.csv"], tmp_path, out=night, draws=16)
    assert night.read_text() == "old"
    assert not output.options_path(night).exists()
    assert not [f for f in tmp_path.iterdir() if f.name.endswith(".fitter-part")]


@pytest.mark.parametrize("suffix", [".csv", ".jsonl", ".parquet"])
def test_a_table_that_is_broken_off_keeps_the_old_one(suffix: str, tmp_path: Path) -> None:
    if suffix == ".parquet":
        pytest.importorskip("pyarrow")
    path = tmp_path / f"a{suffix}"
    with output.table(path, PlayerRow, metric=True) as sink:
        sink.add([PlayerRow("P1", "log.csv", "ranked", carry_m=200.0)])
    whole = path.read_bytes()
    assert output.made_by_a_batch(path)
    with pytest.raises(ZeroDivisionError), output.table(path, OptionRow, metric=True):
        raise ZeroDivisionError
    assert path.read_bytes() == whole
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize(
    ("name", "text", "made"),
    [
        ("a.csv", "player,session,status,hand\n", True),
        ("a.csv", "player,session,id,tier\n", True),
        ("a.csv", "", True),
        ("a.csv", "player,session,carry\n", False),
        ("a.csv", "player\n", False),
        ("a.jsonl", '{"player": "P", "session": "s", "status": "x"}\n', True),
        ("a.jsonl", '{"player": "P", "carry": 1}\n', False),
        ("a.jsonl", "[" * 50_000, False),
        ("a.jsonl", "3\n", False),
        ("a.parquet", "no parquet", False),
    ],
)
def test_what_a_batch_wrote_is_told_by_its_first_columns(
    name: str, text: str, made: bool, tmp_path: Path
) -> None:
    (tmp_path / name).write_text(text)
    assert output.made_by_a_batch(tmp_path / name) is made
    assert not output.made_by_a_batch(tmp_path)


def test_a_journal_leaves_what_is_not_its_own(tmp_path: Path) -> None:
    journal = Journal.of(tmp_path / "out.csv")
    journal.folder.mkdir()
    (journal.folder / f"{'0' * 64}.json").write_text("{}")
    (journal.folder / f".{'0' * 64}.json.{'1' * 32}.fitter-part").write_text("{")
    (journal.folder / "mine.txt").write_text("mine")
    journal.remove()
    assert [f.name for f in journal.folder.iterdir()] == ["mine.txt"]
