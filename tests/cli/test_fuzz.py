"""Commands and files at random, in one process: no traceback, no NaN, no inverted interval."""

from __future__ import annotations

import json
import math
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from fitter import demo
from fitter.cli.main import main
from tests.shots import mutations

CODES = {0, 2, 3}
VALUES = (
    "", "0", "-1", "1e9", "nan", "inf", "-inf", "abc", "12", "100mph", "45in", "-5mm", "60g", "0.5", "1e-9",
    "9" * 40, "٣", "12,5", "--", "H1/S1", "H4/S2", "unknown", "total", "carry", "score", "\x1b[31m", "'",
    "200yd", "3000",
)  # fmt: skip
OPTIONS = {
    "fly": "ball-speed launch spin direction axis wind altitude temperature humidity turf law slope-along "
    "landing-height",
    "strike": "club-speed attack loft path face toe high",
    "shaft": "length mass head-mass frequency stiffness club-speed",
    "build": "length sleeve club-speed hit",
    "read": "player hand map set aside club day measured-in units",
    "rank": "for baseline draws seed tiers stock budget width map present",
    "reach": "as count grid draws tiers present",
}
USUAL = {
    "fly": ("--ball-speed", "160mph", "--launch", "12", "--spin", "2600"),
    "strike": ("--club-speed", "110mph", "--attack", "2", "--loft", "14"),
    "shaft": ("--length", "45in", "--mass", "60", "--head-mass", "200", "--frequency", "250"),
}
SPECIFIC = {
    "map": ("launch (deg)=dynamic_loft_deg", "carry (yd)=carry (m)", "toe (mm)=-strike_toe_mm", "=", "x=y"),
    "set": ("build=H1/S1 shots=1-5", "tee=45mm", "shots=3", "intent=full", "build=H4/S2", "ball="),
    "aside": ("shots=3 reason=interrupted", "shots=1-99 reason=slipped", "reason=bad"),
    "hand": ("left", "right", "both"),
    "day": ("2026-05-01", "yesterday"),
    "units": ("us", "metric", "si"),
    "tiers": ("A", "AB", "Z"),
    "stock": ("rack", "moon"),
    "turf": ("soft", "green", "sand"),
    "as": ("carry", "total"),
    "count": ("typical", "best-of-6", "best-of-0"),
    "grid": ("60ydx50yd", "x"),
    "measured-in": ("altitude=1600m temperature=2C", "altitude=9e9", "wind=5mph"),
    "draws": ("16", "32", "1", "1e3"),
}
NAMES = ("read", "rank", "reach", "fly", "strike", "shaft", "build", "kit", "assumptions")


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    for name in ("heads.csv", "shafts.csv"):
        lines = (demo.folder() / name).read_text(encoding="utf-8").splitlines(keepends=True)
        (tmp_path / name).write_text("".join(lines[:4]), encoding="utf-8")
    shutil.copy(demo.folder() / "card.toml", tmp_path)
    return tmp_path


def bytes_of(rng: np.random.Generator, logs: list[mutations.Rows]) -> bytes:
    """A log: good, with a fault of some kind, or with bytes changed."""
    rows = logs[rng.integers(len(logs))]
    kinds: list[Callable[..., tuple[mutations.Rows, str]]] = list(mutations.KINDS.values())
    for _ in range(int(rng.integers(3))):
        try:
            rows, _ = kinds[rng.integers(len(kinds))](rows, rng)
        except (ValueError, IndexError):
            break
    data = bytearray("\n".join(",".join(r) for r in rows).encode() + b"\n")
    if rng.random() < 0.5:
        for _ in range(int(rng.integers(1, 40))):
            at = int(rng.integers(len(data)))
            new = rng.integers(256, size=int(rng.integers(3)), dtype=np.uint8)
            data[at : at + int(rng.integers(3))] = bytes(new)
    if rng.random() < 0.1:
        data = data[: int(rng.integers(len(data) + 1))]
    return bytes(data)


def commands(rng: np.random.Generator, shop: Path, heavy: float) -> list[str]:
    """Words of one command."""
    shares = [0.45, heavy, heavy / 2, 0.15, 0.12, 0.1, 0.08, 0.05 - heavy, 0.05 - heavy / 2]
    name = str(rng.choice(NAMES, p=shares))
    words = [name, *USUAL.get(name, ())]
    log = str(shop / "log.csv")
    if name == "read":
        words.append(log)
    elif name == "rank":
        words += [log, "--kit", str(shop), "--present", "H1/S1", "--draws", "16"]
    elif name == "reach":
        words += ["250yd", "--from", log, "--present", "unknown", "--draws", "16"]
    elif name == "build":
        words += ["H1/S1", "--kit", str(shop)]
    elif name == "kit":
        words += ["check", str(shop)]
    elif name == "assumptions" and rng.random() < 0.7:
        words.append(str(rng.choice(["limit", "strike", "zzz", "contradiction"])))
    for _ in range(int(rng.integers(0, 4))):
        option = str(rng.choice(OPTIONS.get(name, "zzz").split()))
        usual = SPECIFIC.get(option, VALUES) if rng.random() < 0.8 else VALUES
        words += [f"--{option}", str(rng.choice(usual))]
    if rng.random() < 0.7:
        words.append("--json")
    return words


def pairs(value: Any, path: str = "") -> Iterator[tuple[str, float, float]]:
    """Intervals of a JSON value: keys that differ in low and high alone, and lists [low, mid, high]."""
    if isinstance(value, dict):
        for key, low in value.items():
            if "low" in key.split("_") and isinstance(low, int | float):
                high = value.get(key.replace("low", "high"))
                if isinstance(high, int | float):
                    yield f"{path}.{key}", low, high
            yield from pairs(low, f"{path}.{key}")
            if key == "predicted" and isinstance(low, dict):
                for name, three in low.items():
                    yield f"{path}.{name}", three[0], three[2]
    elif isinstance(value, list):
        for i, item in enumerate(value):
            yield from pairs(item, f"{path}[{i}]")


def no_number(word: str) -> None:
    raise AssertionError(f"{word} is no number of JSON")


def run(n: int, seed: int, shop: Path, capsys: pytest.CaptureFixture[str], heavy: float) -> dict[int, int]:
    rng = np.random.default_rng(seed)
    logs = list(mutations.good().values())
    seen: dict[int, int] = {}
    for _ in range(n):
        (shop / "log.csv").write_bytes(bytes_of(rng, logs))
        words = commands(rng, shop, heavy)
        code = main(words)
        out, err = capsys.readouterr()
        told = f"{words} -> {code}\n{err[-500:]}"
        assert code in CODES, told
        assert "Traceback" not in err, told
        assert "fault of fitter" not in err, told
        assert code == 0 or err.strip() or out.strip(), told
        seen[code] = seen.get(code, 0) + 1
        if "--json" in words and code == 0:
            found = json.loads(out, parse_constant=no_number)
            for where, low, high in pairs(found):
                assert not math.isnan(low), told
                assert low <= high + 1e-9, f"{where}: {low} over {high}: {told}"
    return seen


def test_some_commands_and_files(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    seen = run(250, 3, shop, capsys, heavy=0.01)
    assert seen.keys() <= CODES
    assert seen[0] > 20
    assert seen[2] > 20


@pytest.mark.slow
def test_five_thousand_commands_and_files(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    seen = run(5000, 11, shop, capsys, heavy=0.02)
    assert seen.keys() == CODES
