"""What is said of a device, and where its points are set."""

from dataclasses import replace
from types import MappingProxyType, SimpleNamespace

import numpy as np
import pytest

from fitter.advice import device as asked
from fitter.advice.baseline import Note, notices
from fitter.advice.objectives import OBJECTIVES
from fitter.base.errors import InputError
from fitter.base.units import METRIC, US, YARD
from fitter.display import device
from fitter.display.notes import note
from fitter.shots import annotations
from fitter.shots.findings import LeftOut
from fitter.shots.infer import infer
from fitter.shots.vocabulary import point
from fitter.tui.bench import Bench
from fitter.tui.reading import assemble
from fitter.tui.settings import BY_KEY
from tests.shots.infer import independent


@pytest.fixture(scope="module")
def found():
    truth = independent.sessions(1, 14, world=independent.World(face_point="strike"), seed=3)
    return infer.infer(truth.sessions[0])


def test_the_points_are_said_with_their_probability(found):
    lines = device.device(found.session, found, US)
    assert any("face and loft" in x and "where the ball was struck with more than 99 %" in x for x in lines)
    told = found.session.saying({"face_point": "strike", "speed_point": "face"})
    assert "as told" in device.points(infer.infer(told))[0]


def test_a_noisy_channel_and_a_left_out_one_are_said(found):
    loud = replace(found, noise=MappingProxyType({"club_speed_mps": 1.72, "spin_rpm": 1.1}))
    (line,) = device.noise(loud)
    assert "club speed 1.7" in line
    assert "spin" not in line.replace("noisier", "")
    out = LeftOut("direction_deg", 2.0, -3.0, 5.6, "deg")
    said = device.left_out(out, METRIC)
    assert "direction contradicts all other channels" in said
    assert "2 deg R" in said
    assert "3 L" in said
    session = replace(found.session, left_out=(out,))
    assert notices(session)[-1] == Note("channel left out", (out,))
    assert said.split(":")[0] in note(notices(session)[-1])


@pytest.mark.parametrize(
    ("channel", "words", "place"),
    [
        ("face_point", "centre", 0), ("face_point", "Face center", 0), ("face_point", "impact", 1),
        ("face_point", "unknown", None), ("speed_point", "face", 0), ("speed_point", "centre of mass", 1),
        ("speed_point", "centre of gravity", 1), ("speed_point", "CG", 1), ("speed_point", "", None),
    ],
)  # fmt: skip
def test_words_name_points(channel, words, place):
    assert point(channel, words) == place


def test_a_setting_that_names_no_point_is_refused():
    setting = annotations.parse(["face_point=strike speed_point=unknown"])[0]
    assert setting.values == {"face_point": "strike", "speed_point": "unknown"}
    with pytest.raises(InputError) as error:
        annotations.parse(["face_point=toe"])
    assert "centre, strike, unknown" in str(error.value)


def test_the_bench_says_it_of_shots_that_do_not(found):
    bench = Bench(player="P", face_point="strike")
    session, _ = assemble(bench, found.session)
    assert session.told_point("face_point") == 1
    assert session.told_point("speed_point") is None
    told = found.session.saying({"face_point": "centre"})
    assert assemble(bench, told)[0].told_point("face_point") == 0
    view = SimpleNamespace(bench=bench)
    assert BY_KEY["face_point"].show(view) == "where the ball was struck"
    assert BY_KEY["face_point"].step(view, 1) == {"face_point": "unknown"}


def prediction(first, second, share):
    """Gains of two options in 400 draws, of which a share believes in the second point."""
    rng = np.random.default_rng(1)
    place = (np.arange(400) < 400 * share).astype(np.int64)
    gain = np.where(place[:, None] == 0, [0.0, *first], [0.0, *second]) + 0.5 * rng.normal(size=(400, 3))
    base = SimpleNamespace(
        points=lambda n, seed: {"face_point": place},
        delivery=SimpleNamespace(points={"face_point": share}),
    )
    options = tuple(SimpleNamespace(id=name, tier="A") for name in ("", "one", "two"))
    return SimpleNamespace(
        gain=gain, carry=np.full((400, 3), 210.0), options=options, objective=OBJECTIVES["carry"],
        yard=YARD, replay=SimpleNamespace(baseline=base),
    )  # fmt: skip


def test_a_point_is_asked_about_where_the_choice_hangs_on_it():
    (found,) = asked.open_points(prediction((6.0, 2.0), (2.0, 7.0), 0.4), 1)
    assert found == Note("point", ("face_point", 0.4, "one", "two"))
    said = note(found)
    assert "--set face_point=centre or face_point=strike" in said
    assert "one or two" in said


@pytest.mark.parametrize(
    ("first", "second", "share"),
    [((6.0, 2.0), (7.0, 2.0), 0.4), ((6.0, 5.9), (5.9, 6.0), 0.4), ((6.0, 2.0), (2.0, 7.0), 0.01)],
)
def test_a_point_that_turns_nothing_is_not_asked_about(first, second, share):
    assert asked.open_points(prediction(first, second, share), 1) == ()
