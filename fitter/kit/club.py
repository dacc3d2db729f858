"""A whole club: a head on a shaft at a length, built of the kit's parts."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from fitter.base.errors import InputError, Problem, raise_if
from fitter.kit.figures import Figure, Reading, fill
from fitter.kit.inventory import Kit
from fitter.kit.parts import Head, Shaft

UNKNOWN = "unknown"
_SLEEVE = re.compile(r"(?P<head>.+?)(?P<sleeve>[+-]\d+(?:\.\d+)?)")


@dataclass(frozen=True)
class Club:
    """A head on a shaft, as built or as it can be built.

    Parameters
    ----------
    head : Head
    shaft : Shaft
    length_in : Reading
        Whole club by the 60 degree method.
    loft_change_deg, lie_change_deg : float
        Position of the sleeve, one of ``head.positions``.
    place : str
        Where the movable weight sits, one of ``head.weights``; '' for the first.
    swap_g : float
        Change of the head's mass by another weight, one of ``head.swaps_g`` or 0.
    grip_mass_g : Reading or None
        None keeps the shaft's grip.
    tip_cut_mm : float
        Cut off at the tip, mm.
    tip_weight_g : float
        In the tip of the shaft, on its axis inside the hosel, besides what is there now.
    cut_from : Reading or None
        Length before the bench cut or extended the club: the step is exact, so its reading error is shared.
    frequency_cpm, clamp_mm : Reading or None
        Measured on the whole club.
    known : bool
        False for a club that nobody could look at: it can end only in keep, test or measure.
    whole : tuple of (str, Figure)
        Whole-club figures as measured, for the build sheet.
    """

    head: Head
    shaft: Shaft
    length_in: Reading
    loft_change_deg: float = 0.0
    lie_change_deg: float = 0.0
    place: str = ""
    swap_g: float = 0.0
    grip_mass_g: Reading | None = None
    tip_cut_mm: float = 0.0
    tip_weight_g: float = 0.0
    cut_from: Reading | None = None
    frequency_cpm: Reading | None = None
    clamp_mm: Reading | None = None
    known: bool = True
    whole: tuple[tuple[str, Figure], ...] = ()

    @property
    def code(self) -> str:
        """Stable name, such as 'H2+1/S3 45.25in'.

        Examples
        --------
        >>> Club(Head("H2"), Shaft("S3"), Reading(45.25), loft_change_deg=1.0, swap_g=-2.0).code
        'H2+1/S3 45.25in -2g'
        """
        sleeve = f"{self.loft_change_deg:+g}" if self.loft_change_deg or self.lie_change_deg else ""
        sleeve += f"lie{self.lie_change_deg:+g}" if self.lie_change_deg else ""
        words = [f"{self.head.head}{sleeve}/{self.shaft.shaft}", f"{self.length_in.value:.6g}in"]
        words += [self.place] if self.place else []
        words += [f"{self.swap_g:+g}g"] if self.swap_g else []
        words += [f"grip{self.grip_mass_g.value:g}g"] if self.grip_mass_g else []
        words += [f"tip-{self.tip_cut_mm:g}mm"] if self.tip_cut_mm else []
        words += [f"tip{self.tip_weight_g:+g}g"] if self.tip_weight_g else []
        return " ".join(words)

    def length(self) -> Figure:
        """Club length in inches with its reading error."""
        return fill("club", "length_in", self.length_in)

    def loft(self) -> Figure:
        """Square-face loft at this position of the sleeve, deg."""
        figure = self.head.figure("loft_deg")
        return figure._replace(value=figure.value + self.loft_change_deg)


def from_kit(kit: Kit, text: str, length_in: float | None = None, loft_change_deg: float = 0.0) -> Club:
    """Club of 'HEAD/SHAFT' or 'HEAD+1/SHAFT' (position of the sleeve), both in the kit.

    Parameters
    ----------
    kit : Kit
    text : str
        Such as 'H4/S2'.
    length_in : float, optional
        Whole club; the shaft's middle playing length, else the usual one, when silent.
    loft_change_deg : float
        Position of the sleeve if the text gives none.

    Raises
    ------
    InputError
        If the text has another form, codes are not known, the parts do not fit or the sleeve has no such
        position.
    """
    head_code, slash, shaft_code = (part.strip() for part in text.partition("/"))
    if not slash:
        do = "Write head and shaft with a stroke between."
        raise InputError("No club of that form.", [Problem("club", repr(text), "HEAD/SHAFT", do)])
    codes = {h.code for h in kit.heads}
    match = _SLEEVE.fullmatch(head_code)
    if head_code not in codes and match and match["head"] in codes:
        head_code, loft_change_deg = match["head"], float(match["sleeve"])
    problems: list[Problem] = []
    found: list[Any] = []
    for find, code in ((kit.head, head_code), (kit.shaft, shaft_code)):
        try:
            found.append(find(code))
        except InputError as error:
            problems += error.problems
    raise_if(problems, f"{head_code}/{shaft_code} is not in the kit.")
    head, shaft = found
    if not head.takes(shaft):
        fits = ", ".join(head.fits)
        problems.append(Problem(f"head {head.head}", f"shaft {shaft.shaft}", fits, "Use one that fits."))
    lies = [lie for loft, lie in head.positions if loft == loft_change_deg]
    if not lies:
        known = ", ".join(f"{s:+g}" for s in head.settings)
        do = "Use one of the sleeve's positions."
        problems.append(Problem(f"sleeve of {head.head}", f"{loft_change_deg:+g}", known, do))
    raise_if(problems, f"{text} cannot be built.")
    reading = Reading(length_in) if length_in is not None else playing_length(shaft)
    return Club(head, shaft, reading, loft_change_deg, min(lies, key=abs))


def playing_length(shaft: Shaft) -> Reading:
    """Length that a shaft is usually built to: its middle playing length, else the judged one."""
    if shaft.playing_in:
        return Reading(sorted(shaft.playing_in)[len(shaft.playing_in) // 2])
    usual = fill("club", "length_in", None)
    return Reading(usual.value, usual.sd)


def unknown_club() -> Club:
    """Club of which nothing is known: every figure has its broad spread."""
    return Club(Head(UNKNOWN), Shaft(UNKNOWN), playing_length(Shaft(UNKNOWN)), known=False)
