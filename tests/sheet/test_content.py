"""What the sheet says: complete, in plain words, sides mirrored once, and nothing but plain values."""

from __future__ import annotations

import csv
import json
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from fitter import demo
from fitter.advice.question import ask
from fitter.advice.rank import rank
from fitter.base.conditions import Conditions
from fitter.base.errors import InputError
from fitter.display.values import Values
from fitter.kit.inventory import Kit
from fitter.sheet import render
from fitter.sheet.content import Settings, content
from fitter.sheet.markdown import markdown
from fitter.shots.reader import intake
from tests.sheet.conftest import DRAWS, Case, renamed

PARTS = (
    "title player facts verdict gain chosen compare tiers ladder pattern reasons set_up build trial will_not "
    "questions next conditions notes cautions sources version evidence"
)


def strings(value: Any) -> list[str]:
    if isinstance(value, dict):
        return [s for v in value.values() for s in strings(v)]
    if isinstance(value, list):
        return [s for v in value for s in strings(v)]
    return [value] if isinstance(value, str) else []


@pytest.mark.parametrize("code", ["P1", "P2", "P3", "P4"])
def test_a_sheet_is_plain_and_complete(cases: dict[str, Case], code: str) -> None:
    found = content(cases[code].ranking, cases[code].session, Settings(evidence=True))
    assert json.loads(json.dumps(found, allow_nan=False)) == found
    assert set(found) == set(PARTS.split())
    assert all(text == " ".join(text.split()) for text in strings(found) if text)
    assert len(found["questions"]) == 7


def test_numbers_are_those_of_the_ranking(cases: dict[str, Case]) -> None:
    case = cases["P1"]
    found = content(case.ranking, case.session, Settings(metric=True))
    named = next(s for s in case.ranking.options if s.option.id == case.ranking.verdict.option)
    assert found["gain"]["text"] == f"{named.value_gain.mean:+.1f} m"
    rows = {row[0]: row for row in found["compare"]["rows"]}
    assert rows["total"][1:3] == [f"{case.ranking.present.total_m:.0f} m", f"{named.total_m:.0f} m"]
    parts = [float(row[2].split()[0].replace("−", "-")) for row in found["reasons"]["rows"]]
    # Shapley shares add up to the gain; each is rounded to a tenth.
    assert sum(parts) == pytest.approx(named.value_gain.mean, abs=0.05 * (len(parts) + 1))


def test_keeping_draws_and_builds_nothing_new(cases: dict[str, Case]) -> None:
    found = content(cases["P4"].ranking, cases["P4"].session)
    assert found["verdict"]["action"] == "keep"
    assert found["gain"] is None
    assert [s["name"] for s in found["pattern"]["series"]] == ["present"]
    assert found["build"]["heads"][-1] == "as checked"
    assert found["set_up"] == []


def test_chosen_stands_beside_recommended(cases: dict[str, Case]) -> None:
    case = cases["P1"]
    best_of_a = case.ranking.options[0].option.id
    found = content(case.ranking, case.session, Settings(chosen=best_of_a, why="costs nothing"))
    name = Values.of(case.ranking).name
    assert found["chosen"]["what"] == name(best_of_a)
    assert found["chosen"]["instead"] == name(case.ranking.verdict.option)
    assert found["chosen"]["why"] == "costs nothing"
    assert found["compare"]["option"] == name(best_of_a)
    standing = {r["id"]: r["standing"] for r in found["tiers"]["rows"]}
    assert "chosen" in standing[best_of_a]
    kept = content(case.ranking, case.session, Settings(chosen="keep"))
    assert kept["chosen"]["what"] == "the present club"
    assert kept["chosen"]["why"] == "no reason given"
    assert kept["compare"]["option"] == ""


def test_an_unknown_choice_is_refused_with_the_nearest(cases: dict[str, Case]) -> None:
    with pytest.raises(InputError, match=r"--chosen.*H1-1/S2"):
        content(cases["P1"].ranking, cases["P1"].session, Settings(chosen="H1-1/S2 45.2in"))


def test_a_picture_needs_a_direction(cases: dict[str, Case]) -> None:
    case = cases["P1"]
    blind = replace(case.ranking, present=replace(case.ranking.present, across=None))
    assert content(blind, case.session)["pattern"] is None
    bare = replace(case.ranking, present=replace(case.ranking.present, finish=()))
    assert [s["name"] for s in content(bare, case.session)["pattern"]["series"]] == ["a trade"]


def mirrored_log(folder: Path) -> Path:
    """P3's log as a right-hander in the mirror would have hit it."""
    rows = list(csv.reader((demo.folder() / "P3.csv").read_text(encoding="utf-8").splitlines()))
    turned = [k for k, h in enumerate(rows[0]) if re.match(r"path|face|direction|spin axis|offline", h)]
    hand = rows[0].index("hand")
    for row in rows[1:]:
        row[hand] = "right"
        for k in turned:
            row[k] = f"{-float(row[k]):g}"
    path = folder / "P3.csv"
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows(rows)
    return path


def test_a_left_hander_is_mirrored_exactly_once(cases: dict[str, Case], kit: Kit, tmp_path: Path) -> None:
    """Closed form: in the mirror every L is an R, and nothing else changes."""
    where = Conditions(wind_mps=4.0, wind_from_deg=90.0)
    left = cases["P3"].session
    right = intake.read(mirrored_log(tmp_path))
    sheets = []
    few = replace(kit, heads=(kit.head("H5"), kit.head("H4")), shafts=(kit.shaft("S4"), kit.shaft("S2")))
    for session, air in ((left, where), (right, where.mirrored())):
        ranking = rank(ask(session, few, "H5/S4", "total", conditions=air, draws=DRAWS))
        sheets.append(content(ranking, session, Settings(where=air, evidence=True)))
    swap = {"L": "R", "R": "L", "left": "right", "right": "left"}

    def turned(text: str) -> str:
        return re.sub(r"\b(L|R|left|right)\b", lambda m: swap[m[0]], text)

    ticks = [s["pattern"].pop("across") for s in sheets]
    assert {words for _, words in ticks[0]} == {turned(words) for _, words in ticks[1]}
    seen, expected = strings(sheets[0]), [turned(s) for s in strings(sheets[1])]
    assert any(re.search(r"\d [LR]\b", s) for s in seen)
    assert seen == expected
    for s, t in zip(sheets[0]["pattern"]["series"], sheets[1]["pattern"]["series"], strict=True):
        for (x, y), (u, v) in zip(s["points"], t["points"], strict=True):
            assert (x, y) == pytest.approx((1.0 - u, v), abs=2e-4)


def test_people_read_sides_as_letters(cases: dict[str, Case]) -> None:
    found = content(cases["P3"].ranking, cases["P3"].session, Settings(evidence=True))
    rows = {row[0]: row for row in found["compare"]["rows"]}
    for name in ("curve", "start line at the aim"):
        assert not re.search(r"[-+−]", rows[name][1] + rows[name][2])
    heads = found["evidence"]["shots"]["heads"]
    for head in ("path", "face", "start", "axis", "side"):
        k = heads.index(head)
        assert not any(re.search(r"[-+−]", row[k]) for row in found["evidence"]["shots"]["rows"])


def test_units_reach_every_distance(cases: dict[str, Case]) -> None:
    case = cases["P2"]
    found = content(case.ranking, case.session, Settings(metric=True))
    # What turns a verdict is told in the units of the ranking itself.
    found["questions"] = [q for q in found["questions"] if "winter" not in q[0]]
    assert not [s for s in strings(found) if re.search(r"\d (yd|mph)\b|°F", s)]


def test_a_kit_with_nothing_else_still_has_a_sheet(cases: dict[str, Case]) -> None:
    case = cases["P4"]
    alone = replace(case.ranking, options=(), losses=(), flips=(), next=(), laws={})
    found = content(alone, case.session, Settings(evidence=True))
    assert found["tiers"]["rows"] == []
    assert render.pdf(found).startswith(b"%PDF")
    assert markdown(found)


def test_a_trial_has_its_place(cases: dict[str, Case]) -> None:
    case = cases["P1"]
    told = ("10 balls each: +5 yd.",)
    assert content(case.ranking, case.session, Settings(trial=told))["trial"] == list(told)


def test_hidden_characters_are_shown(cases: dict[str, Case]) -> None:
    case = cases["P1"]
    ranking = renamed(case.ranking, "a\u202eb\x07c\nd")
    assert content(ranking, case.session)["player"] == "a[U+202E]b[U+0007]c d"
