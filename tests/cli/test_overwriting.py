"""No command writes over a file that it reads, however the file is named."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from fitter import demo
from fitter.cli.main import main

DATA = demo.folder()
POSIX = pytest.mark.skipif(os.name != "posix", reason="links of POSIX")


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    for name in ("P1.csv", "heads.csv", "shafts.csv", "card.toml"):
        shutil.copy(DATA / name, tmp_path)
    (tmp_path / "map.toml").write_text('# ours\n[columns]\n"Xx" = ""\n')
    (tmp_path / "fonts").mkdir()
    (tmp_path / "fonts" / "own.ttf").write_bytes(b"a font")
    (tmp_path / "sub").mkdir()
    monkeypatch.chdir(tmp_path)
    return tmp_path


def held(folder: Path) -> dict[Path, bytes]:
    return {f: f.read_bytes() for f in folder.rglob("*") if f.is_file()}


def by_link(file: Path, suffix: str) -> Path:
    (file.parent / f"link{suffix}").symlink_to(file)
    return file.parent / f"link{suffix}"


def by_hard_link(file: Path, suffix: str) -> Path:
    os.link(file, file.parent / f"hard{suffix}")
    return file.parent / f"hard{suffix}"


def by_relative_link(file: Path, suffix: str) -> Path:
    return Path("sub", "..") / by_link(file, suffix).relative_to(Path.cwd())


@POSIX
@pytest.mark.parametrize("suffix", [".pdf", ".png", ".md"])
@pytest.mark.parametrize("way", [by_link, by_hard_link, by_relative_link])
@pytest.mark.parametrize(
    "name", ["P1.csv", "heads.csv", "shafts.csv", "card.toml", "map.toml", "fonts/own.ttf"]
)
def test_a_sheet(
    name: str,
    way: Callable[[Path, str], Path],
    suffix: str,
    shop: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    out = way(shop / name, suffix)
    before = held(shop)
    words = ["sheet", "P1.csv", "--kit", ".", "--present", "card.toml", "--map-file", "map.toml"]
    assert main([*words, "--fonts", "fonts", "-o", str(out)]) == 2
    assert f"-o: found {out}, which is " in capsys.readouterr().err
    assert held(shop) == before


def test_a_sheet_over_a_log_in_markdown(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    shutil.copy(DATA.parent / "tests" / "logs" / "47_bars.md", shop / "log.md")
    before = held(shop)
    assert main(["sheet", "log.md", "--kit", ".", "--present", "unknown", "-o", "./sub/../log.md"]) == 2
    assert "-o: found sub/../log.md, which is the log log.md" in capsys.readouterr().err
    assert held(shop) == before


@pytest.mark.parametrize("name", ["P1.csv", "heads.csv", "shafts.csv", "card.toml"])
@pytest.mark.parametrize("way", [None, by_hard_link])
@pytest.mark.parametrize("command", ["rank", "sheet", "reach"])
def test_saved_corrections(
    name: str,
    way: Callable[[Path, str], Path] | None,
    command: str,
    shop: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    out = way(shop / name, ".toml") if way is not None else shop / name
    before = held(shop)
    words = {
        "rank": ["rank", "P1.csv", "--kit", "."],
        "sheet": ["sheet", "P1.csv", "--kit", ".", "-o", "new.pdf"],
        "reach": ["reach", "290yd", "--from", "P1.csv", "--kit", "."],
    }[command]
    more = ["--present", "card.toml", "--map", "Xx=", "--map-file", str(out)]
    assert main([*words, *more]) == 2
    assert f"--map-file: found {out}, which is " in capsys.readouterr().err
    assert held(shop) == before


def test_corrections_and_a_log_read_alone(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = held(shop)
    assert main(["read", "P1.csv", "--map", "Xx=", "--map-file", "P1.csv"]) == 2
    assert "--map-file: found P1.csv, which is the log P1.csv" in capsys.readouterr().err
    # A card is TOML too, but of other tables: it is no file of corrections, whatever it is named for.
    assert main(["read", "P1.csv", "--map", "Xx=", "--map-file", "card.toml"]) == 2
    assert "a table [columns] and nothing else" in capsys.readouterr().err
    assert held(shop) == before


def test_corrections_keep_the_remarks_of_the_shop(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["read", "P1.csv", "--map", "Yy=", "--map-file", "map.toml"]) == 0
    capsys.readouterr()
    assert (shop / "map.toml").read_text() == '# ours\n\n[columns]\n"Xx" = ""\n"Yy" = ""\n'


@POSIX
def test_what_is_protected_or_a_link_is_refused_before_any_work(
    shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (shop / "old.pdf").write_text("mine")
    (shop / "old.pdf").chmod(0o444)
    (shop / "link.pdf").symlink_to(shop / "elsewhere.pdf")
    before = held(shop)
    words = ["sheet", "P1.csv", "--kit", ".", "--present", "card.toml", "-o"]
    for name, told in (("old.pdf", "write-protected"), ("link.pdf", f"a link to {shop / 'elsewhere.pdf'}")):
        assert main([*words, name]) == 2
        assert told in capsys.readouterr().err
    assert held(shop) == before
