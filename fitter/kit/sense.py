"""Whether parts and clubs make sense: out of the ordinary, against the Rules, or not to be built."""

from __future__ import annotations

from collections.abc import Iterator

from fitter.base.assumptions import current
from fitter.base.errors import Problem, raise_if
from fitter.base.units import DEG, INCH, open_or_closed
from fitter.kit.club import Club
from fitter.kit.inventory import Kit
from fitter.kit.mechanics import describe
from fitter.kit.parts import Head, Shaft
from fitter.kit.rules import Finding, breaches

ORDINARY = {
    "head": ("loft_deg", "lie_deg", "mass_g"),
    "shaft": ("mass_g", "length_in", "frequency_cpm", "torque_deg", "tip_ei_nm2", "grip_mass_g"),
}
"""Figures with an ordinary range, ``ordinary.<part>_<figure>_low`` and ``_high`` of the assumptions."""
UNITS = {"nm2": "N m2"}


def odd_kit(kit: Kit, *, local_length_rule: bool = False) -> tuple[Problem, ...]:
    """Everything of a kit that is out of the ordinary or breaks a rule, in the order of its files.

    Parameters
    ----------
    kit : Kit
    local_length_rule : bool
        Whether Model Local Rule G-10 (46 in) is in force.
    """
    found = [p for head in kit.heads for p in (*odd_head(head), *broken_rules(head))]
    for shaft in kit.shafts:
        found += odd_shaft(shaft)
        for inches in shaft.playing_in:
            where = f"shaft {shaft.shaft}, column 'playing_in'"
            broken = breaches(None, inches * INCH, local_length_rule=local_length_rule)
            found += [_breach(where, f) for f in broken]
            found += too_short(shaft, inches, where)
    return tuple(found)


def odd_head(head: Head) -> Iterator[Problem]:
    """What is out of the ordinary of a head."""
    yield from _outside("head", head)
    gauged, stamp = head.loft_deg, head.stamped_loft_deg
    if gauged is not None and stamp is not None:
        error = current()["head.stamp_error_deg"]
        low, high = (error.value + k * error.sd for k in (-3.0, 3.0))
        off = gauged.value - stamp.value
        if not low <= off <= high:
            yield Problem(
                f"head {head.head}, columns 'loft_deg' and 'stamped_loft_deg'",
                f"{gauged.value:g} deg gauged, {stamp.value:g} stamped: {off:+.1f} deg",
                f"{low:+.1f} to {high:+.1f} deg from the stamp",
                "Gauge the loft again, and look at the stamp.",
            )
    face = head.face_angle_deg
    if face is not None:
        yield from _crooked(f"head {head.head}, column 'face_angle_deg'", face.value)


def broken_rules(head: Head) -> Iterator[Problem]:
    """Rules that a head breaks."""
    return (_breach(f"head {head.head}", found) for found in breaches(head, None))


def odd_shaft(shaft: Shaft) -> Iterator[Problem]:
    """What is out of the ordinary of a shaft."""
    yield from _outside("shaft", shaft)


def doubtful_club(club: Club, *, local_length_rule: bool = False) -> tuple[Problem, ...]:
    """What breaks a rule, and what is out of the ordinary, of a club that is to be built.

    Parameters
    ----------
    club : Club
    local_length_rule : bool
        Whether Model Local Rule G-10 (46 in) is in force.
    """
    broken = breaches(None, club.length_in.value * INCH, local_length_rule=local_length_rule)
    long = [_breach(f"club {club.code}, length", f) for f in broken]
    return (*long, *broken_rules(club.head), *odd_club(club))


def odd_club(club: Club) -> tuple[Problem, ...]:
    """What is out of the ordinary of a club and its parts."""
    found = [*odd_head(club.head), *odd_shaft(club.shaft)]
    inches = club.length_in.value
    low, high = _range("club_length_in")
    if not low <= inches <= high:
        found.append(_odd(f"club {club.code}, length", f"{inches:g} in", f"{low:g} to {high:g} in"))
    gauged = club.head.face_angle_deg
    if gauged is None or not list(_crooked("", gauged.value)):
        # The sleeve turns a square face as well.
        face = float(describe([club], 1.0).soled_face[0, 0]) / DEG
        found += _crooked(f"head {club.code.split('/')[0]}, face as it soles", face)
    return tuple(found)


def too_short(shaft: Shaft, length_in: float, where: str, tip_cut_mm: float = 0.0) -> list[Problem]:
    """Why a shaft cannot be built to a club length; empty where it can.

    The raw shaft, two SD of what is known of its length and what a plug in the butt bears have to do.
    """
    a, raw = current(), shaft.figure("length_in")
    needed = length_in - (a.value("club.shaft_short_mm") - tip_cut_mm) / 1e3 / INCH
    if needed <= raw.value + 2.0 * raw.sd + a.value("offer.extend_in"):
        return []
    most = length_in - needed + raw.value + a.value("offer.extend_in")
    known = "" if raw.measured else ", not measured"
    return [
        Problem(
            where,
            f"{length_in:g} in out of a shaft of {raw.value:g} in ({shaft.shaft}{known})",
            f"up to {most:.2f} in with it, plug and all",
            "Take a longer shaft, or build shorter.",
        )
    ]


def check_buildable(club: Club, *, local_length_rule: bool = False) -> None:
    """Refuse a new club whose shaft is too short for it, and say which rule for the length it breaks, too.

    Raises
    ------
    InputError
    """
    where = f"club {club.code}, length"
    found = too_short(club.shaft, club.length_in.value, where, club.tip_cut_mm)
    if found:
        broken = breaches(None, club.length_in.value * INCH, local_length_rule=local_length_rule)
        found += [_breach(where, f) for f in broken]
    raise_if(found, "This club cannot be built.")


def _outside(kind: str, part: Head | Shaft) -> Iterator[Problem]:
    for name in ORDINARY[kind]:
        reading = getattr(part, name)
        low, high = _range(f"{kind}_{name}")
        if reading is not None and not low <= reading.value <= high:
            unit = name.rpartition("_")[2]
            unit = UNITS.get(unit, unit)
            where = f"{kind} {part.code}, column '{name}'"
            yield _odd(where, f"{reading.value:g} {unit}", f"{low:g} to {high:g} {unit}")


def _range(name: str) -> tuple[float, float]:
    a = current()
    return a.value(f"ordinary.{name}_low"), a.value(f"ordinary.{name}_high")


def _crooked(where: str, face_deg: float) -> Iterator[Problem]:
    most = current().value("ordinary.face_angle_deg")
    if abs(face_deg) > most:
        yield _odd(where, f"{open_or_closed(face_deg)} deg", f"square to {most:g} deg open or closed")


def _odd(where: str, found: str, ordinary: str) -> Problem:
    return Problem(
        where, found, f"ordinarily {ordinary}", "Check the figure and its unit; it is used as it is."
    )


def _breach(where: str, found: Finding) -> Problem:
    return Problem(
        where,
        f"{found.name} {found.value:g} {found.unit}",
        f"{found.limit:g} {found.unit} ({found.section})",
        "It breaks a rule: check the figure, or keep it out of competition.",
    )
