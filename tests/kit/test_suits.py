"""Which shafts are handed to whom: windows of mass and frequency about the speed and the present shaft."""

from __future__ import annotations

import pytest

from fitter import demo
from fitter.base.units import MPH
from fitter.kit.catalogue import candidates, pairs
from fitter.kit.club import from_kit
from fitter.kit.figures import Reading
from fitter.kit.inventory import Kit
from fitter.kit.offer import Offer
from fitter.kit.parts import Shaft
from fitter.kit.suits import suits, windows

KIT = Kit.load(demo.folder())


def handed(mph: float, present: str) -> set[str]:
    wanted = windows(KIT.shaft(present), mph * MPH)
    return {s.code for s in KIT.shafts if suits(s, wanted)}


@pytest.mark.parametrize(
    ("mph", "present", "never", "always"),
    [
        # A light, soft shaft (47 g, 224 cpm) was sent to players of these speeds: no fitter hands it over.
        (119, "S7", {"S8", "S1"}, {"S2", "S7"}),
        (104, "S3", {"S8"}, {"S3", "S4", "S5"}),
        (99, "S3", {"S8"}, {"S1", "S3", "S4", "S5", "S6"}),
        (131, "S2", {"S8", "S1", "S6"}, {"S2", "S7"}),
        (75, "S1", {"S2", "S7"}, {"S1", "S8"}),
    ],
)
def test_nobody_is_handed_a_shaft_of_another_speed(
    mph: float, present: str, never: set[str], always: set[str]
) -> None:
    found = handed(mph, present)
    assert not found & never
    assert found >= always


def test_a_misfit_is_no_measure_of_what_suits() -> None:
    # 80 mph with 72 g and 266 cpm: the speed alone decides, and lighter, softer shafts are offered.
    assert handed(80, "S7") == handed(80, "S8") >= {"S1", "S8"}
    assert "S7" not in handed(80, "S7")


def test_what_nobody_measured_leaves_no_shaft_out() -> None:
    wanted = windows(Shaft("mine"), 100 * MPH)
    assert suits(Shaft("S"), wanted)
    assert suits(Shaft("S", mass_g=Reading(60.0)), wanted)
    assert not suits(Shaft("S", mass_g=Reading(40.0)), wanted)
    assert wanted == windows(Shaft("mine", mass_g=Reading(72.1), frequency_cpm=Reading(290.0)), 100 * MPH)


def test_the_window_is_counted_as_any_limit_and_opens() -> None:
    club = from_kit(KIT, "H4/S2")
    every, found = candidates(KIT, club, Offer()), candidates(KIT, club, Offer(), 119 * MPH)
    assert found.left_out.keys() == {"suit"}
    assert len(found.clubs) + found.left_out["suit"] == len(every.clubs)
    assert candidates(KIT, club, Offer(any_shaft=True), 119 * MPH) == every
    # A shaft that is not wanted counts as that, and the present one stays whatever the speed is.
    unwanted = pairs(KIT, club, Offer(without_shafts=("S8",)), 119 * MPH).left_out
    assert unwanted["shaft"] == 18
    assert "S2" in {c.club.shaft.code for c in candidates(KIT, club, Offer(), 60 * MPH).clubs}
