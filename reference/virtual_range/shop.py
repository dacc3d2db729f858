"""What the virtual shop lists, and what its parts truly are."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fitter.advice.options import Option
from fitter.kit.figures import Reading
from fitter.kit.inventory import Kit
from fitter.kit.parts import Head, Shaft
from reference.virtual_range import engine
from reference.virtual_range.players import Player, stream

Floats = NDArray[np.float64]

SHOP_PLAYERS = 12
"""Players who go to one shop, whose stamps err alike."""
GAUGE = 0.3
"""deg: SD of a reading of a loft (T)."""

LENGTH_IN = 45.25


def _head(
    code: str, stamp: float, gauged: bool, face: float, mass: float, depth: float, up: float,
    toe: float, vertical: float, heel_toe: float, ct: float, step: float = 1.0,
) -> Head:  # fmt: skip
    return Head(
        code,
        stamped_loft_deg=Reading(stamp),
        loft_deg=Reading(stamp, GAUGE) if gauged else None,
        face_angle_deg=Reading(face, 0.5),
        lie_deg=Reading(58.0, 0.5),
        mass_g=Reading(mass, 0.3),
        cg_depth_mm=Reading(depth, 0.7),
        cg_up_mm=Reading(up, 0.7),
        cg_toe_mm=Reading(toe, 0.7),
        moi_vertical_gcm2=Reading(vertical, 0.02 * vertical),
        moi_heel_toe_gcm2=Reading(heel_toe, 0.02 * heel_toe),
        ct_us=Reading(ct, 3.0),
        settings=(-step, 0.0, step),
    )


def _shaft(code: str, mass: float, cpm: float, tip: float | None, balance: float, grip: float) -> Shaft:
    return Shaft(
        code,
        mass_g=Reading(mass, 0.3),
        balance_pct=Reading(balance, 0.2),
        length_in=Reading(46.0, 0.06),
        playing_in=(LENGTH_IN,),
        frequency_cpm=Reading(cpm, 1.0),
        tip_ei_nm2=None if tip is None else Reading(tip, 2.0),
        grip_mass_g=Reading(grip, 0.3),
    )


KIT = Kit(
    (
        _head("H1", 9.0, True, 0.5, 203, 34, 1.5, 0.0, 4500, 3100, 247),
        _head("H2", 9.0, True, -0.5, 201, 41, 2.6, 0.0, 5500, 4000, 244),
        _head("H3", 10.5, True, -1.0, 200, 41, 2.8, 0.0, 5300, 3850, 246),
        _head("H4", 10.5, True, -0.5, 202, 38, 3.4, 0.5, 4900, 3500, 242, 0.75),
        _head("H5", 12.0, True, -1.5, 198, 43, 3.2, -2.5, 5700, 4150, 239),
        _head("H6", 9.5, False, -0.5, 201, 39, 2.4, 0.0, 5100, 3700, 245),
        _head("H7", 11.5, False, -1.0, 199, 40, 3.0, 0.5, 5000, 3650, 243),
    ),
    (
        _shaft("S1", 50, 230, None, 52.5, 48),
        _shaft("S2", 58, 246, None, 53.0, 50),
        _shaft("S3", 62, 250, 24.0, 52.0, 50),
        _shaft("S4", 68, 262, 28.0, 51.5, 50),
        _shaft("S5", 54, 244, 21.0, 54.0, 48),
    ),
    "the virtual shop",
)
"""Five heads that were gauged, two of which only the stamp is known; five shafts. What the gauge read differs
from player to player: `Parts.kit`."""

READ = (("mass_g", 1e-3), ("cg_depth_mm", 1e-3), ("cg_up_mm", 1e-3), ("cg_toe_mm", 1e-3))
BULGE_MM, ROLL_MM = (305.0, 30.0), (295.0, 35.0)
MOI_NORMAL = (2800.0, 300.0)


@dataclass(frozen=True)
class Built:
    """What an option truly is.

    Parameters
    ----------
    head : ndarray, shape (10,)
        See `engine.MASS` and the columns after it.
    loft, soled_face : float
        Square-face loft at the sleeve's position, soled face angle, deg.
    inertia : float
        About the butt, kg m2.
    lead : float
        Mechanical loft that the shaft adds, deg, up to a constant.
    """

    head: Floats
    loft: float
    soled_face: float
    inertia: float
    lead: float


class Parts:
    """True figures of the parts on the list, as one player meets them.

    Parameters
    ----------
    player : Player
    """

    def __init__(self, player: Player) -> None:
        self.player = player
        self.heads = {h.code: self._true_head(h) for h in KIT.heads}
        self.shafts = {s.code: self._true_shaft(s) for s in KIT.shafts}
        self.kit = replace(KIT, heads=tuple(self._listed(h) for h in KIT.heads))

    def _listed(self, head: Head, gauge_all: bool = False) -> Head:
        """Head as the shop lists it: what a gauge reads of its loft, or the stamp alone."""
        if head.loft_deg is None and not gauge_all:
            return head
        own, z = self.player.number_of, stream(self.player.number, "gauge", head.code).standard_normal()
        read_off = self.heads[head.code]["loft_deg"] - own("gauge_bias") + own("gauge") * GAUGE * z
        return replace(head, loft_deg=Reading(round(read_off, 1), GAUGE))

    def gauged(self) -> Kit:
        """Kit after every head was put on the gauge."""
        return replace(KIT, heads=tuple(self._listed(h, True) for h in KIT.heads))

    def _true_head(self, head: Head) -> dict[str, float]:
        own, rng = self.player.number_of, stream(self.player.number, "head", head.code)
        # A shop's stamps err together: its players draw one number.
        shop = self.player.number // SHOP_PLAYERS
        stamps = self.player.world.spreads["stamp_shop"].draw(stream(shop, "stamps of a shop"))

        def true(name: str) -> float:
            reading: Reading = getattr(head, name)
            return float(reading.value + own("gauge") * (reading.sd or 0.0) * rng.standard_normal())

        names = [*(n for n, _ in READ), "face_angle_deg", "moi_vertical_gcm2", "moi_heel_toe_gcm2", "ct_us"]
        found = {name: true(name) for name in names}
        z = rng.standard_normal(5)
        assert head.stamped_loft_deg is not None
        found["loft_deg"] = head.stamped_loft_deg.value + stamps + own("stamp_own") * z[0]
        found["cor"] = own("per_us") * (found["ct_us"] - 243.0) + own("head_own") * z[1]
        found["bulge"] = 1e3 / (BULGE_MM[0] + BULGE_MM[1] * z[2])
        found["roll"] = 1e3 / (ROLL_MM[0] + ROLL_MM[1] * z[3])
        found["moi_normal"] = MOI_NORMAL[0] + MOI_NORMAL[1] * z[4]
        for setting in head.settings:
            slip = own("sleeve") * rng.standard_normal() if setting else 0.0
            found[f"sleeve{setting:+g}"] = setting + slip
        return found

    def _true_shaft(self, shaft: Shaft) -> dict[str, float]:
        rng = stream(self.player.number, "shaft", shaft.code)
        z, reading = rng.standard_normal(5), shaft.tip_ei_nm2

        def read_off(name: str) -> float:
            return float(getattr(shaft, name).value)

        cpm = read_off("frequency_cpm")
        # A tip that nobody measured follows the butt's frequency loosely.
        guess = 25.0 * (cpm / 250.0) ** 2
        return {
            "mass": read_off("mass_g") + 0.3 * z[0],
            "cpm": cpm + 1.0 * z[1],
            "balance": read_off("balance_pct") + 0.2 * z[2],
            "grip": read_off("grip_mass_g") + 0.3 * z[3],
            "tip": reading.value + 2.0 * z[4] if reading is not None else max(guess + 5.0 * z[4], 12.0),
        }

    def build(self, option: Option) -> Built:
        """Head, loft, face, inertia and lead of an option's club."""
        club = option.club
        h, s = self.heads[club.head.code], self.shafts[club.shaft.code]
        turned = h[f"sleeve{club.loft_change_deg:+g}"]
        head = np.zeros(engine.HEAD)
        for column, (name, scale) in zip(range(4), READ, strict=True):
            head[column] = h[name] * scale
        head[engine.MASS] += (club.swap_g + club.tip_weight_g) * 1e-3
        moments = (h["moi_normal"], h["moi_vertical_gcm2"], h["moi_heel_toe_gcm2"])
        head[engine.I_NORMAL : engine.I_TOE + 1] = np.array(moments) * 1e-7
        head[engine.BULGE :] = h["bulge"], h["roll"], h["cor"]
        length = club.length_in.value * 0.0254
        own = length - 0.06
        centre = own * s["balance"] / 100.0
        shaft = s["mass"] * 1e-3 * (centre**2 + own**2 / 12.0)
        grip = s["grip"] if club.grip_mass_g is None else club.grip_mass_g.value
        inertia = head[engine.MASS] * (length - 0.025) ** 2 + 4e-4 + shaft + grip * 1e-3 * 0.115**2 * 1.5
        # Loft added at the tip: about -0.012 deg per cpm and -0.33 deg for a tip 20 % stiffer (C, a massless
        # shaft pulled straight by the head's mass centre).
        lead = -0.012 * (s["cpm"] - 250.0) - 1.65 * (s["tip"] / (25.0 * (s["cpm"] / 250.0) ** 2) - 1.0)
        # Turning a head about its shaft: 1 deg of square-face loft goes with 1.6 deg of soled face (C).
        return Built(head, h["loft_deg"] + turned, h["face_angle_deg"] - 1.6 * turned, inertia, lead)
