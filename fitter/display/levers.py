"""Where the yards go and what would bring them back: the club, the set-up, or a coach; and what if."""

from __future__ import annotations

from fitter.advice.losses import Loss
from fitter.advice.scored import Balance
from fitter.advice.what_if import WhatIf
from fitter.base.units import US, Units
from fitter.display import verdict as sentences


def remedy(loss: Loss) -> str:
    """What was tried to bring the yards of a loss back, and who can."""
    more = " or more" if loss.at_edge else ""
    if loss.cause == "delivered loft":
        return f"{loss.change:+.1f} deg{more} at the same attack"
    if loss.cause == "spin":
        return f"{100 * (loss.change or 0.0):+.0f} %{more} at the same launch"
    tried = {
        "strike": f"{strike_place(loss)}every ball at the face centre",
        "attack": f"{loss.change or 0.0:+.1f} deg, with {loss.loft or 0.0:.1f} deg delivered loft",
        "speed": "every ball as fast as the faster half",
        "direction and curve": "path and face at the target",
    }[loss.cause]
    return f"{tried}: {WHO[loss.lever]}"


WHO = {"club": "the club's", "set-up": "set-up", "swing": "a coach's work"}
"""Who can mend a loss."""


def strike_place(loss: Loss) -> str:
    """Mean strike in words, '' where it is near the centre.

    Examples
    --------
    >>> strike_place(Loss("strike", 8.0, 7.0, 9.0, place=(4.2, -13.1)))
    'you strike 13 mm low and 4 mm to the toe; '
    """
    if loss.place is None:
        return ""
    toe, high = (round(mm) for mm in loss.place)
    parts = [f"{abs(high)} mm {'high' if high > 0 else 'low'}"] if abs(high) >= LEAST_MM else []
    if abs(toe) >= LEAST_MM:
        parts.append(f"{abs(toe)} mm to the {'toe' if toe > 0 else 'heel'}")
    return f"you strike {' and '.join(parts)}; " if parts else ""


LEAST_MM = 3
"""Mean strike nearer to the centre is not spoken of: one ball is measured no better."""


def remedied(loss: Loss) -> str:
    """Condition under which the yards of a loss would come back, after 'if'."""
    if loss.cause == "attack":
        return (
            f"it were {loss.change or 0.0:+.1f} deg, with {loss.loft or 0.0:.1f} deg delivered loft "
            f"({WHO[loss.lever]})"
        )
    if loss.change is None:
        words = {
            "strike": "every ball came off the face centre",
            "speed": "every ball were as fast as the faster half",
            "direction and curve": "path and face pointed at the target",
        }[loss.cause]
        where = strike_place(loss).removesuffix("; ") if loss.cause == "strike" else ""
        return f"{words} ({where + '; ' if where else ''}{WHO[loss.lever]})"
    size, unit, same = (
        (100.0 * loss.change, " %", "launch") if loss.cause == "spin" else (loss.change, " deg", "attack")
    )
    shown = f"{abs(size):.{0 if loss.cause == 'spin' else 1}f}"
    if float(shown) == 0.0:
        return "anything were changed: it is best as it is"
    return f"it were {shown}{unit} {'less' if size < 0 else 'more'} at the same {same}"


def what_if(found: WhatIf, by_it: Balance, units: Units = US) -> str:
    """What another delivery does with the present club, and that it is not for sale."""
    told = ", ".join(_changed(name, value, units) for name, value in found.told.items())
    return (
        f"What if {told}: with the present club {sentences.balance(by_it, units)} (80 %). That is set-up or "
        "a coach's work, at the delivered loft of today unless loft is asked too. All below is told for that "
        "swing, which nobody has hit yet:"
    )


def _changed(name: str, value: float | bool, units: Units) -> str:
    if name == "centred":
        return "the middle of the strikes at the face centre"
    if name == "speed_mps":
        return f"club speed {units.quantity(float(value), 'mps', 1, sign=True)}"
    side = {"path_deg": "path", "face_deg": "face"}.get(name)
    if side is not None:
        return f"{side} {units.side(float(value), 'deg')}"
    what, unit = {
        "attack_deg": ("attack", "deg"), "loft_deg": ("delivered loft", "deg"),
        "toe_mm": ("strike to the toe", "mm"), "high_mm": ("strike up", "mm"),
    }[name]  # fmt: skip
    return f"{what} {value:+g} {unit}"
