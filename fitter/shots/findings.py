"""What is found in shots: flags of one shot, doubts of a whole log, channels that are left out."""

from __future__ import annotations

from dataclasses import dataclass, replace

from fitter.shots.vocabulary import CHANNELS, Limits


@dataclass(frozen=True)
class Estimate:
    """What the other channels of a shot say of one: value and SD, in the channel's unit."""

    value: float
    sd: float


@dataclass(frozen=True)
class Flag:
    """What is doubtful in one shot, and whether that sets the shot aside.

    Parameters
    ----------
    shot : int
        Order of the shot in its session, from 1.
    channel, reason : str
        The channel, '' for the whole shot, and why it is flagged.
    found : float or str
        What stands there: a number in ``unit``, or words.
    expected : tuple of float, Estimate or str
        What was expected: limits, what the other channels say, or words.
    set_aside : bool
        True for a misread; False for a warning, which changes nothing.
    unit : str
        Unit of the numbers, '' for a ratio and for words.
    """

    shot: int
    channel: str
    reason: str
    found: float | str
    expected: Limits | Estimate | str
    set_aside: bool
    unit: str = ""

    def mirrored(self) -> Flag:
        """Return the same flag in the mirror: numbers of a side flip, words stay."""
        if self.channel not in CHANNELS or not CHANNELS[self.channel].mirrored:
            return self
        found, expected = self.found, self.expected
        if isinstance(expected, tuple):
            expected = (0.0 - expected[1], 0.0 - expected[0])
        elif isinstance(expected, Estimate):
            expected = replace(expected, value=0.0 - expected.value)
        return replace(self, found=found if isinstance(found, str) else 0.0 - found, expected=expected)


@dataclass(frozen=True)
class Doubt:
    """What a whole log contradicts, or leaves open: no verdict may be 'change' while it stands.

    Parameters
    ----------
    code : str
        'exchanged' (two columns), 'sign' (turned), 'unit' (mistaken), 'disagrees' (a relation without a
        cure), 'two clubs', 'shifted' (rows).
    channels : tuple of str
        Those that are doubted.
    cure : tuple of (str, str)
        Corrections of headers that would mend it, as ``--map`` takes them.
    unit : str
        Unit in which the cells seem to be written, for 'unit'.
    about : str
        Channel whose values show it.
    shots, of : int
        Shots that show it, of those that could.
    found, expected : float
        Middle of what stands there and of what the others say, in the unit of ``about``.
    """

    code: str
    channels: tuple[str, ...]
    cure: tuple[tuple[str, str], ...] = ()
    unit: str = ""
    about: str = ""
    shots: int = 0
    of: int = 0
    found: float = float("nan")
    expected: float = float("nan")

    def mirrored(self) -> Doubt:
        """Return the same doubt in the mirror."""
        if self.about not in CHANNELS or not CHANNELS[self.about].mirrored:
            return self
        return replace(self, found=0.0 - self.found, expected=0.0 - self.expected)


@dataclass(frozen=True)
class LeftOut:
    """A channel that contradicts all others of its session: left out, so that no shot is lost by it.

    Parameters
    ----------
    channel : str
    found, expected : float
        Mean of what stands there, and of what the other channels say, in ``unit``.
    apart : float
        Root mean square of their difference, in ``unit``.
    unit : str
    """

    channel: str
    found: float
    expected: float
    apart: float
    unit: str

    def mirrored(self) -> LeftOut:
        """Return the same in the mirror."""
        if not CHANNELS[self.channel].mirrored:
            return self
        return replace(self, found=0.0 - self.found, expected=0.0 - self.expected)
