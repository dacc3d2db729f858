"""What is offered, on the command line: each limit, its faults, and every command that takes it."""

from __future__ import annotations

import argparse
from dataclasses import fields
from pathlib import Path

import pytest

from fitter.base.errors import InputError
from fitter.cli import session
from fitter.cli.arguments import option
from fitter.kit.offer import Offer, offer
from tests.batches import shop
from tests.cli.test_cli import Capture, result, run


def read(*words: str, units: str = "us") -> Offer:
    parser = argparse.ArgumentParser()
    session.add_offer(parser)
    args = parser.parse_args([*words])
    args.units = units
    return session.offer(args)


@pytest.mark.parametrize(
    ("words", "given"),
    [
        ((), {}),
        (("--stock", "rack, Today"), {"stock": ("rack", "today")}),
        (("--tiers", "ab"), {"tiers": ("A", "B")}),
        (("--budget", "400"), {"budget": 400.0}),
        (("--without-shaft", "S1", "--without-shaft", "S2"), {"without_shafts": ("S1", "S2")}),
        (("--without-head", "H1"), {"without_heads": ("H1",)}),
        (("--length-steps=-0.5,12.7mm",), {"length_steps_in": (-0.5, 0.5)}),
        (("--length-steps", "none"), {"length_steps_in": ()}),
        (("--lengths", "44.5in"), {"lengths_in": (44.5,)}),
        (("--head-weights=-2,2g",), {"added_g": (-2.0, 2.0)}),
        (("--grips", "60"), {"grips_g": (60.0,)}),
        (("--tip-weights", "2,4"), {"tips_g": (2.0, 4.0)}),
        (("--ball-steps=-10,10mm",), {"ball_mm": (-10.0, 10.0)}),
        (("--tee-steps", "5"), {"tee_mm": (5.0,)}),
        (("--allow-breaches",), {"allow_breaches": True}),
        (("--local-length-rule",), {"local_length_rule": True}),
    ],
)
def test_each_flag_reads(words: tuple[str, ...], given: dict[str, object]) -> None:
    assert read(*words) == offer(**given)


def test_every_kind_of_change_has_its_flag() -> None:
    told = {f.name: f.metadata["option"] for f in fields(Offer) if f.metadata}
    assert {field: option(name) for name, (field, *_) in session.OFFERS.items()} == told


def test_every_fault_is_said_at_once() -> None:
    with pytest.raises(InputError) as found:
        read(
            "--stock",
            "shelf",
            "--tiers",
            "AX",
            "--budget",
            "much",
            "--grips",
            "60parsec",
            "--tee-steps",
            "500",
        )
    assert {p.where for p in found.value.problems} == {
        "--stock",
        "--tiers",
        "--budget",
        "--grips",
        "--tee-steps",
    }


def test_rank_batch_sheet_and_reach_take_the_limits(tmp_path: Path, capsys: Capture) -> None:
    kit, log = shop.kit(tmp_path / "kit"), shop.log(tmp_path / "log.csv", "G1", shots=8)
    common = ["--kit", kit, "--present", "H1/S1", "--draws", "16"]
    limits = ["--tiers", "AB", "--length-steps", "-0.75,0.25", "--without-head", "H2"]
    ranked = result(["rank", log, *common, *limits], capsys)
    assert {o["tier"] for o in ranked["options"]} == {"A", "B"}
    lengths = {round(o["length_m"] / 0.0254, 2) for o in ranked["options"]}
    assert lengths == {44.5, 45.25, 45.5}
    assert ranked["not_offered"] == {"tier": 2}
    code, out, _ = run(["rank", log, *common, *limits], capsys)
    assert code == 0
    assert "left out by the limits: 2 clubs in a tier that is not asked for" in " ".join(out.split())
    page = result(["sheet", log, *common, *limits], capsys)
    assert any("eft out by the limits" in note for note in page["notes"])
    assert {row["tier"] for row in page["tiers"]["rows"]} == {"A", "B"}
    far = result(["reach", "230yd", "--from", log, *common, *limits], capsys)
    assert any("eft out by the limits" in note for note in far["notes"])
    out_file = tmp_path / "night.jsonl"
    result(["batch", log, *common, *limits, "-o", out_file], capsys)
    assert "eft out by the limits" in out_file.read_text(encoding="utf-8")
    options = (tmp_path / "night.options.jsonl").read_text(encoding="utf-8")
    assert "44.5in" in options
    assert "H2" not in options
    # Everything is checked before any work.
    code, _, err = run(["batch", log, *common, "--without-shaft", "S9", "-o", tmp_path / "n.csv"], capsys)
    assert code == 2
    assert "--without-shaft" in err
    assert not (tmp_path / "n.csv").exists()


def test_what_breaks_a_rule_stands_in_sheet_and_batch_with_its_rule(tmp_path: Path, capsys: Capture) -> None:
    kit, log = shop.kit(tmp_path / "kit"), shop.log(tmp_path / "log.csv", "G1", shots=8)
    heads = shop.HEADS.replace("settings,stock", "settings,stock,ct_us").replace("rack\n", "rack,240\n")
    (kit / "heads.csv").write_text(f"{heads}H3,12,13.1,0.3,0,rack,290\n", encoding="utf-8")
    common = ["--kit", kit, "--present", "H1/S1", "--draws", "16"]
    page = result(["sheet", log, *common], capsys)
    rows = [row for row in page["tiers"]["rows"] if row["rules"]]
    assert [(row["option"], row["id"]) for row in rows] == [("H3", "H3/S1 45.25in")]
    assert "not recommended" in rows[0]["standing"]
    assert "H3" not in (page["verdict"]["text"])
    asked = result(["sheet", log, *common, "--chosen", "H3/S1 45.25in", "--why", "wanted"], capsys)
    legal = next(answer for question, answer in asked["questions"] if question == "Is it legal?")
    assert legal.startswith("No: spring effect")
    result(["batch", log, *common, "-o", tmp_path / "night.jsonl"], capsys)
    rows_of = (tmp_path / "night.options.jsonl").read_text(encoding="utf-8").splitlines()
    against = [row for row in rows_of if "H3/S1" in row]
    assert len(against) == 1
    assert "spring effect" in against[0]
    assert "H3" not in (tmp_path / "night.jsonl").read_text(encoding="utf-8")
    ranked = result(["rank", log, *common, "--allow-breaches"], capsys)
    assert any(o["rules"] for o in ranked["options"])
    assert ranked["breaches"] == []
