"""Logs as they come, with their values written before the reader met them: none is read wrong in silence.

Each is read right, refused with help, or told as doubtful, as the .toml beside it says; the numbers come from
the logs of the invented shop.
"""

import tomllib
from pathlib import Path

import pytest

from fitter.base.errors import FitterError
from fitter.shots.annotations import counted, days, labels
from fitter.shots.contradictions import contradictions
from fitter.shots.freshness import freshness
from fitter.shots.infer.infer import infer
from fitter.shots.mixture import two_clubs
from fitter.shots.reader import intake
from fitter.simulate.strike import ordinary_head
from tests.shots.reader.test_logs import check

LOGS = Path(__file__).parents[2] / "logs" / "odd"
EVERY = sorted(p for p in LOGS.glob("*.*") if p.suffix != ".toml")
HAND = "The hand is not given: right-handed is assumed."


def doubts(session):
    mixed = two_clubs(session)
    found = contradictions(session, ordinary_head())
    return found if mixed is None else (*found, mixed)


def read(path, options):
    try:
        return intake.read(path, **options), None
    except FitterError as error:
        return None, error


def test_there_are_enough_logs():
    assert len(EVERY) >= 60


@pytest.mark.parametrize("path", EVERY, ids=lambda p: p.stem)
def test_no_log_is_read_wrong_in_silence(path):
    told = tomllib.loads(Path(f"{path}.toml").read_text(encoding="utf-8"))
    outcome, options = told["outcome"], told.get("options", {})
    session, error = read(path, options)
    if session is None:
        assert "refused" in outcome, str(error)
        assert error.problems
        assert all(part in str(error) for part in told.get("says", [])), str(error)
        return
    assert outcome != "refused"
    notices = [n for n in session.notices if n != HAND]
    if "values" in told:
        check(session, told["values"])
        assert session.player == told.get("player", session.player)
        assert all(any(part in n for n in notices) for part in told.get("notices", [])), notices
    elif outcome == "doubtful":
        channel = told["channel"]
        found = [c for d in doubts(session) for c in (*d.channels, d.about, "club" * (d.code == "two clubs"))]
        turned = any("sign was turned" in n for n in notices)
        thousands = channel == "spin_rpm" and 2000 < session.value(channel).mean() < 4000
        assert channel in found or turned or thousands
    elif outcome in ("told", "refused_or_told"):
        assert notices
        assert not set(told["rows_apart"]) & set(session.row.tolist())
    if outcome == "read":
        assert not doubts(session)
        assert not session.set_aside.any()
    if outcome == "groups":
        words = labels(session) if any(labels(session)) else days(session)
        assert counted(words).replace(" (", ": ").replace(")", "").split(", ") == told["groups"]
    if outcome == "told_warm":
        assert session.shot[freshness(session).warm_up].tolist() == told["warm"]
    if outcome == "told_tired":
        spent = freshness(session, infer(session)).spent
        assert spent[-5:].all()
        assert not spent[:20].any()
