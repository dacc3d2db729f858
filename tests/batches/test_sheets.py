"""Sheets of a batch: whatever the players are called, they land in the folder, each in a file of its own."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from fitter.base.errors import InputError
from fitter.batches import batch as call
from fitter.batches import job
from fitter.batches.batch import batch
from tests.batches import shop

pytestmark = pytest.mark.usefixtures("remembered")
CODES = ("../../up", "CON", "P 1", "p_1", "/etc/x", "a" * 200, "..", "=cmd")


@pytest.fixture
def printer(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Stand in for the room of sheets: its words are the player's code; returns codes that it fails for."""
    fails: list[str] = []

    def content(ranking: Any, session: Any, settings: Any) -> dict[str, str]:
        assert ranking.player == session.player
        if ranking.player in fails:
            raise ValueError("too much to say")
        return {"player": ranking.player}

    monkeypatch.setattr(job, "content", content)
    monkeypatch.setattr(job.render, "pdf", lambda c: f"%PDF {c['player']}".encode())
    return fails


def roster(folder: Path, codes: tuple[str, ...]) -> Path:
    path = folder / "roster.csv"
    lines = ["code;name", *(f"{code};G{k}" for k, code in enumerate(codes))]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


@pytest.mark.usefixtures("printer")
def test_no_code_leads_out_of_the_folder(tmp_path: Path) -> None:
    log = shop.log(tmp_path / "log.csv", *(f"G{k}" for k in range(len(CODES))), shots=6)
    out, folder = tmp_path / "out.csv", tmp_path / "deep" / "sheets"
    before = {p for p in tmp_path.rglob("*") if p.is_file()} | {tmp_path / "roster.csv"}
    done = batch(
        [log], shop.kit(tmp_path / "kit"), roster(tmp_path, CODES), out=out, draws=shop.DRAWS, sheets=folder
    )
    before |= set((tmp_path / "kit").iterdir())
    made = {p for p in tmp_path.rglob("*") if p.is_file()} - before - {out, tmp_path / "out.options.csv"}
    assert {p.parent for p in made} == {folder}
    assert len({p.name.casefold() for p in made}) == len(CODES) == len(made)
    for code, row in zip(CODES, done.rows, strict=True):
        assert (folder / row.sheet).read_text(encoding="utf-8") == f"%PDF {code}"
    assert done.rows[1].sheet == "_CON.pdf"
    assert {done.rows[2].sheet, done.rows[3].sheet} == {"P_1.pdf", "p_1-2.pdf"}
    # The table shows the codes, and none of them runs.
    assert "'=cmd" in out.read_text(encoding="utf-8")


def test_a_sheet_that_cannot_be_printed_costs_the_sheet_alone(tmp_path: Path, printer: list[str]) -> None:
    printer.append("B")
    log = shop.log(tmp_path / "log.csv", "G0", "G1", shots=6)
    done = batch(
        [log],
        shop.kit(tmp_path / "kit"),
        roster(tmp_path, ("A", "B")),
        draws=shop.DRAWS,
        sheets=tmp_path / "s",
    )
    assert [r.status for r in done.rows] == ["ranked", "ranked"]
    assert [r.sheet for r in done.rows] == ["A.pdf", ""]
    assert "no sheet could be printed" in done.rows[1].notes


@pytest.mark.usefixtures("printer")
def test_a_missing_sheet_is_printed_again_when_resumed(tmp_path: Path) -> None:
    log = shop.log(tmp_path / "log.csv", "A", "B", shots=6)
    kit, folder = shop.kit(tmp_path / "kit"), tmp_path / "s"

    def stop(done: int, expected: float) -> None:
        if done == 2:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        batch([log], kit, out=tmp_path / "o.csv", draws=shop.DRAWS, sheets=folder, progress=stop)
    (folder / "A.pdf").unlink()
    assert batch([log], kit, out=tmp_path / "o.csv", draws=shop.DRAWS, sheets=folder).resumed == 1
    assert sorted(p.name for p in folder.iterdir()) == ["A.pdf", "B.pdf"]


def test_no_printer_is_said_before_any_work(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def missing(name: str) -> Any:
        raise ImportError(f"No module named {name!r}")

    monkeypatch.setattr(call, "import_module", missing)
    log = shop.log(tmp_path / "log.csv", "A", shots=6)
    with pytest.raises(InputError, match="no printer of sheets"):
        batch([log], shop.kit(tmp_path / "kit"), sheets=tmp_path / "s")
    assert not (tmp_path / "s").exists()


def test_the_real_printer_gives_the_same_bytes_in_other_processes(tmp_path: Path) -> None:
    pytest.importorskip("typst")
    log = shop.log(tmp_path / "log.csv", "A", shots=6)
    kit = shop.kit(tmp_path / "kit")
    made = []
    for workers in (1, 2):
        folder = tmp_path / f"s{workers}"
        batch([log], kit, draws=shop.DRAWS, sheets=folder, workers=workers)
        made.append({p.name: p.read_bytes() for p in folder.iterdir()})
    assert set(made[0]) == {"A.pdf"}
    assert all(data.startswith(b"%PDF") for data in made[0].values())
    assert made[0] == made[1]
