"""On paper: one page, the same bytes, every character printed or shown as its code."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path
from typing import Any

import matplotlib
import numpy as np
import pytest

from fitter.sheet import render
from fitter.sheet.content import Settings, content
from fitter.sheet.markdown import literal, markdown
from fitter.sheet.render import KINDS, PAPERS, Paper
from tests.sheet.conftest import Case, renamed

MARKUP = "#1 *Ace* _u_ $x$ <b> @ref \\ [l] {c} `q` // c"
LONG = "HEAD-WITH-A-VERY-LONG-CODE-OF-SIXTY-CHARACTERS-0123456789-ABC"


def text_of(pdf: bytes, folder: Path) -> str:
    """Text of a PDF with single spaces; skips where no reader is installed."""
    if shutil.which("pdftotext") is None:
        pytest.skip("pdftotext is not installed")
    path = folder / "sheet.pdf"
    path.write_bytes(pdf)
    done = subprocess.run(["pdftotext", "-layout", path, "-"], capture_output=True, check=True)
    # Long codes carry places where they may break.
    return " ".join(done.stdout.decode().replace("\u200b", "").split())


def boxes(pdf: bytes, folder: Path) -> tuple[np.ndarray, tuple[float, float]]:
    """Boxes of the words of the first page, pt: left, top, right, bottom; and the page's size."""
    if shutil.which("pdftotext") is None:
        pytest.skip("pdftotext is not installed")
    path = folder / "sheet.pdf"
    path.write_bytes(pdf)
    done = subprocess.run(["pdftotext", "-bbox", "-l", "1", path, "-"], capture_output=True, check=True)
    page = re.search(r'<page width="([\d.]+)" height="([\d.]+)"', done.stdout.decode())
    found = re.findall(
        r'<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">', done.stdout.decode()
    )
    assert page is not None
    return np.array(found, dtype=float), (float(page[1]), float(page[2]))


def overlapping(found: np.ndarray) -> int:
    """Pairs of words of which one covers more than a third of the other."""
    low = np.maximum(found[:, None, :2], found[None, :, :2])
    high = np.minimum(found[:, None, 2:], found[None, :, 2:])
    shared = np.prod(np.clip(high - low, 0.0, None), axis=-1)
    area = np.prod(found[:, 2:] - found[:, :2], axis=-1)
    np.fill_diagonal(shared, 0.0)
    return int((shared > 0.33 * np.minimum(area[:, None], area[None, :])).sum() // 2)


def check_layout(pdf: bytes, folder: Path) -> None:
    """Every word lies within the margins, and none on another."""
    found, (wide, high) = boxes(pdf, folder)
    margin = 14.0 / 25.4 * 72.0
    assert found[:, 0].min() >= margin - 1.0
    assert found[:, 2].max() <= wide - margin + 1.0
    assert found[:, 1].min() >= 0.0
    assert found[:, 3].max() <= high - 5.0
    assert overlapping(found) == 0


def pages(pdf: bytes) -> int:
    count = re.search(rb"/Type\s*/Pages\s*/Count (\d+)", pdf)
    assert count is not None
    return int(count[1])


@pytest.mark.parametrize("code", ["P1", "P2", "P3", "P4"])
@pytest.mark.parametrize("size", PAPERS)
def test_a_demo_sheet_fits_one_page_untrimmed(
    cases: dict[str, Case], code: str, size: str, tmp_path: Path
) -> None:
    found = content(cases[code].ranking, cases[code].session)
    for kind in KINDS:
        data, points = render.fitted(found, Paper(size, kind))
        assert data == found
        assert points >= 7.0
        assert render.front_pages(data, Paper(size, kind), points) == 1
        check_layout(render.pdf(found, Paper(size, kind)), tmp_path)


def test_the_same_input_gives_the_same_bytes(cases: dict[str, Case]) -> None:
    found = content(cases["P1"].ranking, cases["P1"].session, Settings(evidence=True))
    assert render.pdf(found) == render.pdf(found)
    assert render.png(found) == render.png(found)
    assert render.pdf(found) != render.pdf(found, Paper("letter"))


def test_text_is_found(cases: dict[str, Case], tmp_path: Path) -> None:
    case = cases["P1"]
    found = content(case.ranking, case.session, Settings(evidence=True))
    text = text_of(render.pdf(found), tmp_path)
    for words in (
        found["verdict"]["text"],
        found["gain"]["text"],
        found["gain"]["more"],
        "P1, right-handed",
        "What it will not do",
        "as ordered",
        "as built",
        "How much further?",
        "When should I come back?",
        "All shots",
        "US patent 6,186,002",
    ):
        assert words in text


def test_the_evidence_comes_behind_the_page(cases: dict[str, Case], tmp_path: Path) -> None:
    case = cases["P2"]
    plain = content(case.ranking, case.session)
    more = content(case.ranking, case.session, Settings(evidence=True))
    assert more["evidence"] is not None
    assert (pages(render.pdf(plain)), pages(render.pdf(more))) == (1, 2)
    assert "Evidence" not in text_of(render.pdf(plain), tmp_path)
    assert "Assumptions that mattered" in text_of(render.pdf(more), tmp_path)


def stressed(case: Case, name: str) -> dict[str, Any]:
    """Content with long codes and a player's own words everywhere they may stand."""
    found = content(renamed(case.ranking, name), case.session, Settings(chosen="keep", why=f"{name} {name}"))
    heads = re.compile(r"\bH(\d)")

    def longer(value: Any) -> Any:
        if isinstance(value, dict):
            return {k: longer(v) for k, v in value.items()}
        if isinstance(value, list):
            return [longer(v) for v in value]
        return heads.sub(rf"{LONG}\1", value) if isinstance(value, str) else value

    return {k: v if k in render.KEPT else longer(v) for k, v in found.items()}


@pytest.mark.parametrize("size", PAPERS)
@pytest.mark.parametrize("kind", KINDS)
def test_long_codes_are_shortened_by_rule_and_fit(
    cases: dict[str, Case], size: str, kind: str, tmp_path: Path
) -> None:
    name = "Maximiliana-Wilhelmina von Hohenberg-Langenstein of the Northern Links Society"
    found = stressed(cases["P1"], name)
    paper = Paper(size, kind)
    data, points = render.fitted(found, paper)
    assert render.front_pages(data, paper, points) == 1
    assert data["build"]["title"] == found["build"]["title"]
    assert data["player"] == name
    if data != found:
        assert data["notes"][-1] == render.NOTE
    check_layout(render.pdf(found, paper), tmp_path)


def test_markup_prints_literally(cases: dict[str, Case], tmp_path: Path) -> None:
    found = stressed(cases["P1"], MARKUP)
    assert MARKUP in text_of(render.pdf(found), tmp_path)


def test_characters_without_a_glyph_stand_as_their_code(cases: dict[str, Case], tmp_path: Path) -> None:
    case = cases["P1"]
    ranking = renamed(case.ranking, "Łukasz Ёлкин Λάμπρος 山田 🙂 สมชาย")
    text = text_of(render.pdf(content(ranking, case.session)), tmp_path)
    assert "Łukasz Ёлкин Λάμπρος" in text
    for char in "山田🙂ส":
        assert f"[U+{ord(char):04X}]" in text
    assert "stand as their code" in text


def test_what_lacks_is_found_by_typst_itself() -> None:
    asked = frozenset("éЁλשم山🙂±–−×°")
    assert render.lacking_in(asked, "") == frozenset("山🙂")


def test_a_folder_of_fonts_prints_what_they_have(tmp_path: Path) -> None:
    """DejaVu Sans, which comes with matplotlib, has Tifinagh; the fonts of the typesetter have not."""
    shutil.copy(Path(matplotlib.get_data_path()) / "fonts" / "ttf" / "DejaVuSans.ttf", tmp_path)
    folder = str(tmp_path)
    assert render.lacking_in(frozenset("ⴰⴱ"), "") == frozenset("ⴰⴱ")
    assert render.lacking_in(frozenset("ⴰⴱ山"), folder) == frozenset("山")


def test_markdown_says_the_same(cases: dict[str, Case]) -> None:
    for code in cases:
        found = content(cases[code].ranking, cases[code].session, Settings(evidence=True))
        text = re.sub(r"\\(.)", r"\1", markdown(found))
        words = [
            found["verdict"]["text"],
            *(a for _, a in found["questions"]),
            *found["will_not"],
            *found["set_up"],
            *(row["option"] for row in found["tiers"]["rows"]),
            *(cell for row in found["compare"]["rows"] for cell in row),
            *found["evidence"]["assumptions"],
            found["cautions"],
            found["version"],
        ]
        assert all(w in text for w in words)


def test_markdown_prints_a_players_words_literally(cases: dict[str, Case]) -> None:
    text = markdown(stressed(cases["P1"], MARKUP))
    assert literal(MARKUP) in text
    assert not re.search(r"(?<!\\)\*Ace", text)
    assert literal("1. a").startswith("1\\.")
    assert literal("# a").startswith("\\#")
