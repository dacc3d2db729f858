"""Every shot that is set aside is named, by whichever test, in the units in force."""

from __future__ import annotations

import csv
import json
import re
from pathlib import Path

import pytest

from fitter import batch, demo
from fitter.base.units import MPH, YARD
from fitter.cli.main import main
from tests.batches import shop


@pytest.fixture
def log(tmp_path: Path) -> str:
    """P4's shots, one of them with a club speed that its ball denies."""
    rows = shop.demo_rows("P4", 14)
    rows[4]["club speed (mph)"] = f"{float(rows[4]['club speed (mph)']) * 1.12:.1f}"
    path = tmp_path / "logs" / "P4.csv"
    path.parent.mkdir()
    with path.open("w", encoding="utf-8", newline="") as file:
        out = csv.DictWriter(file, list(rows[0]))
        out.writeheader()
        out.writerows(rows)
    return str(path)


def rank_words(log: str, *more: str) -> list[str]:
    words = [log, "--kit", str(demo.folder()), "--present", "H3/S5", "--draws", "16", *more]
    return [w for w in words if w]


def test_rank_names_every_shot_that_it_sets_aside(log: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rank", *rank_words(log, "--json")]) == 0
    found = json.loads(capsys.readouterr().out)
    aside = {f["shot"] for f in found["flags"] if f["set_aside"]}
    assert len(aside) == found["session"]["set_aside"] > 0
    (flag,) = (f for f in found["flags"] if f["shot"] == 5 and f["reason"] == "contradicts the strike")
    assert flag.keys() == {"shot", "channel", "reason", "found", "expected", "set_aside"}
    # In the units of the keys: m/s.
    assert flag["channel"] == "club_speed_mps"
    assert flag["found"].endswith("m/s")
    assert flag["expected"].endswith("m/s from the other channels")


def test_read_says_what_was_found_and_expected_in_the_same_unit(
    log: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["read", log, "--player", "P4", "--json"]) == 0
    (flag,) = (f for f in json.loads(capsys.readouterr().out)["flags"] if f["shot"] == 5 and f["set_aside"])
    assert main(["read", log, "--player", "P4"]) == 0
    us = " ".join(capsys.readouterr().out.split())
    (said,) = re.findall(r"found ([\d.]+) mph, expected ([\d.]+) \+- [\d.]+ mph from the other channels", us)
    for shown, told in zip(said, (flag["found"], flag["expected"]), strict=True):
        assert float(shown) == pytest.approx(float(told.split()[0]) / MPH, rel=5e-3)
    assert main(["read", log, "--player", "P4", "--units", "metric"]) == 0
    metric = " ".join(capsys.readouterr().out.split())
    (said,) = (s for s in metric.split("; found ")[1:] if "from the other channels" in s)
    assert said.startswith(f"{flag['found']}, expected {flag['expected']}")


def test_a_batch_line_and_the_evidence_page_name_them_too(
    log: str, capsys: pytest.CaptureFixture[str]
) -> None:
    (row,) = batch([log], demo.folder(), draws=16, present="H3/S5").rows
    assert "5 club speed: contradicts the strike" in row.aside_reasons
    assert row.aside_reasons.count(";") == row.set_aside - 1
    assert main(["sheet", *rank_words(log, "--evidence", "--markdown")]) == 0
    (line,) = (
        s for s in capsys.readouterr().out.splitlines() if "contradicts the strike" in s and "shot 5" in s
    )
    assert line.count("mph") == 2
    assert line.endswith("(set aside)")


def test_a_named_option_stands_beside_the_present_club_in_print(capsys: pytest.CaptureFixture[str]) -> None:
    words = [
        str(demo.folder() / "P2.csv"),
        "--kit",
        str(demo.folder()),
        "--present",
        "H1/S1",
        "--draws",
        "32",
    ]
    assert main(["rank", *words, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    (named,) = (o for o in found["options"] if o["id"] == found["verdict"]["option"])
    assert main(["rank", *words]) == 0
    said = " ".join(capsys.readouterr().out.split())
    low, high = (named[f"carry_gain_{end}_m"] / YARD for end in ("low", "high"))
    assert f"club: carry {named['carry_gain_m'] / YARD:+.1f} ({low:+.1f} to {high:+.1f}), total" in said
    assert f"total {named['total_gain_m'] / YARD:+.1f} (" in said
    low, mid, high = found["verdict"]["balance"]["spread_m"]
    assert mid == pytest.approx(named["offline_sd_change_m"])
    assert f"spread {mid / YARD:+.1f} ({low / YARD:+.1f} to {high / YARD:+.1f}) yd" in said
    low, mid, high = found["verdict"]["balance"]["strokes"]
    assert f"strokes a hole {mid:+.3f} ({low:+.3f} to {high:+.3f})" in said
