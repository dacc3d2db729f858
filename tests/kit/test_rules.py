"""Limits of the Equipment Rules, R: Part 2, 1c, 4b(i), 4c; Model Local Rule G-10."""

import pytest

from fitter.base.errors import InputError
from fitter.kit import rules
from fitter.kit.figures import Reading
from fitter.kit.parts import Head

INCH = 0.0254


def head(**figures: float) -> Head:
    return Head("H", loft_deg=Reading(9.0), **{k: Reading(v) for k, v in figures.items()})


@pytest.mark.parametrize(
    ("name", "inside", "outside", "section"),
    [
        ("width_mm", 127.0, 127.5, "4b(i)"),
        ("height_mm", 71.12, 71.5, "4b(i)"),
        ("volume_cm3", 470.0, 471.0, "4b(i)"),
        ("moi_vertical_gcm2", 6000.0, 6001.0, "4b(i)"),
        ("ct_us", 257.0, 258.0, "4c"),
    ],
)
def test_limits_of_the_head(name: str, inside: float, outside: float, section: str) -> None:
    assert rules.breaches(head(**{name: inside}), 45 * INCH) == ()
    (found,) = rules.breaches(head(**{name: outside}), 45 * INCH)
    assert (found.state, found.value) == ("breach", outside)
    assert section in found.section


@pytest.mark.parametrize(
    ("inches", "local", "sections"),
    [
        (48.0, False, []),
        (48.01, False, ["1c"]),
        (46.0, True, []),
        (46.1, True, ["G-10"]),
        (48.5, True, ["1c", "G-10"]),
        (17.9, False, ["1c"]),
    ],
)
def test_limits_of_length(inches: float, local: bool, sections: list[str]) -> None:
    found = rules.breaches(head(), inches * INCH, local_length_rule=local)
    assert len(found) == len(sections)
    assert all(s in f.section for s, f in zip(sections, found, strict=True))


def test_what_nobody_measured_is_said() -> None:
    found = rules.check(head(ct_us=250.0), None)
    states = {f.name: f.state for f in found}
    assert states["spring effect (characteristic time)"] == "conforms"
    assert list(states.values()).count("not measured") == 5
    assert all(f.value is None for f in found if f.state == "not measured")


def test_length_must_be_a_length() -> None:
    with pytest.raises(InputError, match="positive"):
        rules.check(None, float("nan"))
