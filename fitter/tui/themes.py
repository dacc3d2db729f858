"""Dark and light, in colours that colour-blind readers part (Okabe & Ito 2008, Color Universal Design)."""

from __future__ import annotations

from textual.theme import Theme

DARK = Theme(
    name="fitter-dark",
    dark=True,
    primary="#56B4E9",
    secondary="#E69F00",
    accent="#F0E442",
    warning="#E69F00",
    error="#FF8A5B",
    success="#009E73",
    foreground="#E6E6E6",
    background="#14181C",
    surface="#1B2127",
    panel="#27303A",
    variables={
        "mine": "#7FD3B5",
        "dimmed": "#9AA5B1",
        "ghost": "#46525E",
        "line": "#E6E6E6",
        "under": "#2B4A63",
    },
)
LIGHT = Theme(
    name="fitter-light",
    dark=False,
    primary="#00598F",
    secondary="#8F4A00",
    accent="#5B3A8C",
    warning="#9A4A00",
    error="#A62B00",
    success="#00694C",
    foreground="#1A1A1A",
    background="#FBFAF7",
    surface="#F1EFEA",
    panel="#DFDCD4",
    variables={
        "mine": "#00694C",
        "dimmed": "#5A5F66",
        "ghost": "#B9B5AC",
        "line": "#1A1A1A",
        "under": "#C4DDF0",
    },
)
