"""Conditions of a flight: air, wind, turf and aerodynamic law, as one frozen value."""

from __future__ import annotations

from dataclasses import dataclass, replace

COURSE_TURFS = ("soft", "ordinary", "firm")
"""Turfs of a course, in the order in which the terminal UI steps through them; each is tried by the flips."""
TURFS = (*COURSE_TURFS, "green")
"""All turfs; 'green' is Penner's published green, for comparison."""
TERRAINS = ("open", "coast", "inhabited", "uniform")
"""What the wind blows over: it grows with height by a power law, or not at all ('uniform')."""


@dataclass(frozen=True)
class Conditions:
    """Where a decision applies, or where a session was measured.

    Parameters
    ----------
    temperature_c : float
        Air temperature, deg C.
    pressure_pa : float
        Station pressure, Pa: what a barometer on the spot would read.
    humidity : float
        Relative humidity, a share from 0 to 1.
    wind_mps : float
        Wind speed at `wind_height_m`, m/s.
    wind_from_deg : float
        Where the wind comes from, deg: 0 in the face, 90 from the right.
    turf : str
        One of `TURFS`.
    law : str or None
        Name of one aerodynamic law, or None for the blend of the modern ones.
    terrain : str
        One of `TERRAINS`.
    wind_height_m : float
        Height above the ground at which the wind was measured, m: 10 by weather services, about 2 by hand.
    landing_height_m : float
        Height of the landing area over the tee, m.
    slope_along, slope_right : float
        Slope of the landing area, rise over run: uphill along the target line, rising to the right.
    """

    temperature_c: float = 25.0
    pressure_pa: float = 101325.0
    humidity: float = 0.5
    wind_mps: float = 0.0
    wind_from_deg: float = 0.0
    turf: str = "ordinary"
    law: str | None = None
    terrain: str = "open"
    wind_height_m: float = 10.0
    landing_height_m: float = 0.0
    slope_along: float = 0.0
    slope_right: float = 0.0

    def mirrored(self) -> Conditions:
        """Return the same place seen by a left-handed player whose shots were mirrored."""
        return replace(
            self, wind_from_deg=(-self.wind_from_deg) % 360.0, slope_right=-self.slope_right or 0.0
        )
