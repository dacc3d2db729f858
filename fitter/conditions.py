"""Air, wind, turf and ball law: one frozen value."""

from __future__ import annotations

from dataclasses import dataclass

TURFS = ("soft", "ordinary", "firm")


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
        Wind speed, m/s.
    wind_from_deg : float
        Where the wind comes from, deg: 0 in the face, 90 from the right.
    turf : str
        One of `TURFS`.
    law : str or None
        Name of one aerodynamic law, or None for the blend of the modern ones.
    """

    temperature_c: float = 25.0
    pressure_pa: float = 101325.0
    humidity: float = 0.5
    wind_mps: float = 0.0
    wind_from_deg: float = 0.0
    turf: str = "ordinary"
    law: str | None = None

    def mirrored(self) -> Conditions:
        """Return the same weather seen by a left-handed player whose shots were mirrored."""
        from dataclasses import replace

        return replace(self, wind_from_deg=(-self.wind_from_deg) % 360.0)
