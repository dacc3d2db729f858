"""A sheet from the bench is written over nothing that the bench reads."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitter.base.errors import InputError
from fitter.tui.bench import Bench, Work
from fitter.tui.screens import sheet
from fitter.tui.view import View


@pytest.mark.parametrize("name", ["log", "card.toml", "heads.csv", "shafts.csv"])
@pytest.mark.parametrize("suffix", [".pdf", ".png", ".md", ".txt"])
def test_what_the_bench_reads_is_kept(name: str, suffix: str, shop: Path) -> None:
    """A log may have any name; the others only meet a sheet's by a hard link."""
    (shop / "card.toml").write_text("mine")
    (shop / f"log{suffix}").write_text("mine")
    asked = shop / f"{name}{suffix}"
    if name != "log":
        asked.hardlink_to(shop / name)
    before = {f: f.read_bytes() for f in shop.iterdir()}
    bench = Bench(log=f"log{suffix}", kit=str(shop), present="card.toml")
    with pytest.raises(InputError, match=f"found {asked}, which is the "):
        sheet.write(View(Work((bench,))), str(asked))
    assert {f: f.read_bytes() for f in shop.iterdir()} == before


def test_a_link_is_not_followed(shop: Path) -> None:
    (shop / "diary").write_text("mine")
    (shop / "sheet.pdf").symlink_to(shop / "diary")
    bench = Bench(log="P1.csv", kit=str(shop))
    with pytest.raises(InputError, match="a link to"):
        sheet.write(View(Work((bench,))), "sheet.pdf")
    assert (shop / "diary").read_text() == "mine"
