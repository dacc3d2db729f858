"""Invented logs of every shape: what each holds was written down by hand in the .toml beside it.

Factors of units are exact by definition (NIST SP 811, appendix B.8), so values must agree to rounding.
"""

import tomllib
from pathlib import Path

import numpy as np
import pytest

from fitter.base import errors
from fitter.shots.reader import intake
from fitter.shots.vocabulary import CHANNELS

LOGS = Path(__file__).parents[2] / "logs"
GOOD = sorted(p for p in LOGS.glob("*.*") if p.suffix != ".toml" and p.name[0] != ".")
BROKEN = sorted(p for p in (LOGS / "broken").glob("*.*") if p.suffix != ".toml" and p.name[0] != ".")
IN_SI = {"mph": 0.44704, "km/h": 1000 / 3600, "m/s": 1.0, "yd": 0.9144, "ft": 0.3048, "m": 1.0, "mm": 1.0}
IN_SI |= {"in": 25.4, "deg": 1.0, "rpm": 1.0}
EXACT = 1e-9
SPECIAL = {"hand"}


def beside(path):
    return tomllib.loads(Path(f"{path}.toml").read_text(encoding="utf-8"))


def numbers(spec):
    """Read '100.2 - 99.8 mph', or several of them after one another."""
    out = []
    for part in [spec] if isinstance(spec, str) else spec:
        *cells, unit = part.split()
        out += [np.nan if c == "-" else float(c) * IN_SI[unit] for c in cells]
    return np.array(out)


def check(session, expected):
    for name, spec in expected.items():
        if name not in SPECIAL:
            np.testing.assert_allclose(
                session.value(name), numbers(spec), rtol=EXACT, atol=EXACT, err_msg=name
            )


def test_there_are_enough_logs():
    assert len(GOOD) >= 40
    assert len(BROKEN) >= 15


@pytest.mark.parametrize("path", GOOD, ids=lambda p: p.name)
def test_log_is_read_right(path):
    told = beside(path)
    options = told.get("options", {})
    if "players" in told:
        sessions = {s.player: s for s in intake.read_all(path, **options)}
        assert sessions.keys() == told["players"].keys()
        for name, expected in told["players"].items():
            check(sessions[name], expected)
            assert sessions[name].hand == expected.get("hand", "right")
        return
    s = intake.read(path, **options)
    check(s, told["values"])
    assert s.player == told.get("player", "player")
    assert s.hand == told.get("hand", "right")
    assert set(s.values) <= {c for c in CHANNELS if CHANNELS[c].unit}
    unexpected = {k for k in s.values if k not in told["values"]} - {
        "carry_m",
        "ball_speed_mps",
        "launch_deg",
    }
    assert not unexpected
    if "rows" in told:
        assert s.row.tolist() == told["rows"]
    for name, words in told.get("words", {}).items():
        assert list(s.word(name)) == words
    for name, marks in told.get("estimated", {}).items():
        assert s.estimated[name].tolist() == marks
    assert s.not_read == told.get("not_read", 0)
    assert s.shot[s.set_aside].tolist() == told.get("set_aside", [])
    for part in told.get("notices", []):
        assert any(part in n for n in s.notices), s.notices


@pytest.mark.parametrize("path", BROKEN, ids=lambda p: p.name)
def test_broken_log_is_refused_in_words_that_help(path):
    told = beside(path)
    with pytest.raises(errors.FitterError) as caught:
        intake.read(path, **told.get("options", {}))
    assert type(caught.value).__name__ == told["error"]
    for part in told["says"]:
        assert part in str(caught.value), str(caught.value)
    assert caught.value.problems
    for p in caught.value.problems:
        assert all((p.where, p.found, p.allowed, p.do))
        assert p.do.endswith(".")
