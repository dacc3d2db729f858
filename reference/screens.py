"""Pictures of the screens for the README: `python -m reference.screens` writes them to reference/pictures/.

The app is driven on the demo as a person would drive it, and each screen is drawn as a plain SVG: text in
runs of one colour, blocks as rectangles, no font from anywhere. `--png` also makes PNG files by rsvg-convert.
"""

from __future__ import annotations

import argparse
import asyncio
import shutil
import subprocess
import tempfile
from collections.abc import Sequence
from html import escape
from pathlib import Path
from typing import Any

from rich.color import Color
from rich.segment import Segment
from rich.style import Style

from fitter.base.files import write_whole
from fitter.tui.app import FitterApp
from fitter.tui.saved import demo_work
from fitter.tui.themes import DARK, LIGHT

FOLDER = Path(__file__).parent / "pictures"
CELL_W, CELL_H, BASE = 8.0, 17.0, 13.0
"""Size of a character and its base line, px."""
_BLOCKS = {"█": (0, 0, 1, 1), "▀": (0, 0, 1, 0.5), "▄": (0, 0.5, 1, 1)} | {
    c: (0, 0, (k + 1) / 8, 1) for k, c in enumerate("▏▎▍▌▋▊▉")
}


def _typed(words: str) -> list[str]:
    """Keys of a ball that is typed."""
    return ["t", *("space" if c == " " else c for c in words), "enter"]


_OWN = "club 131 ball 186 launch 16 spin 3600 carry 299"
_OTHER = "club 131 ball 187 launch 14 spin 2700 carry 318"
_TRIAL = ["4", "i", *_typed(_OWN) * 3, "1", "2", *_typed(_OTHER) * 2]
"""A trial up to its fifth ball; at the swap no pain, and it felt as his own."""
SHOTS: dict[str, tuple[tuple[int, int], str, Sequence[str]]] = {
    "screen_setup": ((110, 34), "P1", ["1"]),
    "screen_shots": ((120, 36), "P1", ["2"]),
    "screen_why": ((120, 36), "P1", ["3"]),
    "screen_options": ((120, 36), "P1", ["4"]),
    "screen_sheet": ((110, 36), "P1", ["5"]),
    "screen_trial": ((120, 36), "P1", _TRIAL),
    "screen_narrow": ((80, 24), "P2", ["4"]),
    "screen_light": ((120, 36), "P3", ["2", "v"]),
}
"""Name of the picture: size, player, keys."""


def svg(app: FitterApp) -> str:
    """Screen of a running app as SVG."""
    width, height = app.size
    parts, marks = [], []
    back = app.screen.styles.background.rich_color.triplet
    for y, strip in enumerate(app.screen._compositor.render_strips()):
        x = 0
        for text, style, _ in Segment.filter_control(strip):
            style = style or Style()
            fore, ground = _colours(app, style)
            if ground and ground != (back.hex if back else ""):
                parts.append(_rect(x, y, x + len(text), y + 1, ground))
            marks += _glyphs(text, x, y, fore, style)
            x += len(text)
    colour = back.hex if back else "#000000"
    body = "".join([*parts, *marks])
    w, h = width * CELL_W, height * CELL_H
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {w:g} {h:g}" width="{w:g}" height="{h:g}" '
        f'font-family="DejaVu Sans Mono, Menlo, Consolas, monospace" font-size="13">'
        f'<rect width="100%" height="100%" fill="{colour}"/>{body}</svg>\n'
    )


def _colours(app: FitterApp, style: Style) -> tuple[str, str]:
    fore, ground = _hex(app, style.color, True), _hex(app, style.bgcolor, False)
    return (ground, fore) if style.reverse else (fore, ground)


def _hex(app: FitterApp, color: Color | None, fore: bool) -> str:
    if color is None or color.is_default:
        return app.theme_variables["foreground" if fore else "background"]
    return color.get_truecolor().hex


def _rect(x0: float, y0: float, x1: float, y1: float, fill: str) -> str:
    w, h = (x1 - x0) * CELL_W, (y1 - y0) * CELL_H
    return f'<rect x="{x0 * CELL_W:g}" y="{y0 * CELL_H:g}" width="{w:g}" height="{h:g}" fill="{fill}"/>'


def _glyphs(text: str, x: int, y: int, fore: str, style: Style) -> list[str]:
    """Words as text stretched over their cells, blocks as rectangles."""
    out, k = [], 0
    weight = ' font-weight="bold"' if style.bold else ""
    while k < len(text):
        if text[k] in _BLOCKS:
            a, b, c, d = _BLOCKS[text[k]]
            out.append(_rect(x + k + a, y + b, x + k + c, y + d, fore))
            k += 1
        elif text[k] == " ":
            k += 1
        else:
            end = k
            while end < len(text) and text[end] not in _BLOCKS and text[end : end + 2].strip():
                end += 1
            run = text[k:end].rstrip()
            out.append(
                f'<text x="{(x + k) * CELL_W:g}" y="{y * CELL_H + BASE:g}" '
                f'textLength="{len(run) * CELL_W:g}" '
                f'lengthAdjust="spacingAndGlyphs" fill="{fore}"{weight}>{escape(run)}</text>'
            )
            k = max(end, k + 1)
    return out


async def settle(app: FitterApp, pilot: Any) -> None:
    """Wait until nobody works any more."""
    await pilot.pause()
    while any(not w.is_finished for w in app.workers):
        await app.workers.wait_for_complete()
        await pilot.pause()
    await pilot.pause()


async def take(size: tuple[int, int], player: str, keys: Sequence[str], light: bool = False) -> str:
    """Drive the app and give its screen."""
    app = FitterApp(demo_work(player))
    async with app.run_test(size=size) as pilot:
        app.theme = LIGHT.name if light else DARK.name
        await settle(app, pilot)
        for key in keys:
            await pilot.press(key)
            await settle(app, pilot)
        return svg(app)


def main(argv: Sequence[str] | None = None) -> int:
    """Write the pictures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("-o", "--out", type=Path, default=FOLDER)
    parser.add_argument("--png", action="store_true", help="PNG too, by rsvg-convert")
    parser.add_argument("--only", help="name of one picture")
    args = parser.parse_args(argv)
    for name, (size, player, keys) in SHOTS.items():
        if args.only and name != args.only:
            continue
        text = asyncio.run(take(size, player, keys, name.endswith("light")))
        file = args.out / f"{name}.svg"
        write_whole(file, text)
        print(f"{file}: {len(text) // 1024} kB")
        if args.png and (tool := shutil.which("rsvg-convert")):
            with tempfile.TemporaryDirectory():
                subprocess.run([tool, str(file), "-o", str(file.with_suffix(".png"))], check=True)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
