"""Pictures of the report, where one looks rather than reads."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import matplotlib

matplotlib.use("Agg")
import matplotlib.pyplot as plt
import numpy as np

from fitter import world as worlds
from fitter.base.conditions import Conditions
from fitter.base.units import DEG, MPH, YARD
from fitter.physics import ball, engine, vectors
from fitter.simulate.flight import launch_row
from reference.figures import load

STYLES = dict(zip(ball.MODERN, ("-", "--", "-.", ":", (0, (5, 1, 1, 1, 1, 1))), strict=False))
COLOURS = dict(zip(ball.MODERN, ("#0072B2", "#D55E00", "#009E73", "#CC79A7", "#E69F00"), strict=False))
"""Of each modern law, in the order of the table: Okabe-Ito colours; line styles carry the meaning in grey."""


def _save(folder: Path, name: str) -> None:
    plt.tight_layout()
    plt.savefig(folder / name, dpi=90, metadata={"Software": None})
    plt.close()


def coefficients(folder: Path) -> None:
    """Drag and lift against S at Re 1.5e5."""
    s = np.linspace(0.02, 0.4, 100)
    figure, axes = plt.subplots(1, 2, figsize=(10, 4))
    for name in ball.MODERN:
        law = ball.LAWS[name]
        for axis, values in zip(axes, ball.coefficients(ball.vector(law, 0.0), s, 1.5), strict=True):
            axis.plot(s, values, STYLES[name], color=COLOURS[name], label=name)
            axis.axvline(law.s_range[1], color=COLOURS[name], lw=0.6)
    for row in load("flight"):
        if row.id.startswith("us618-"):
            axes[0 if "drag" in row.id else 1].plot(float(row.inputs["s"]), row.low, "k^", ms=5)
    axes[0].set(xlabel="S", ylabel="C_D", xlim=(0, 0.4))
    axes[1].set(xlabel="S", ylabel="C_L", xlim=(0, 0.4))
    axes[0].legend()
    figure.suptitle("Re 1.5e5; triangles: means of 42 launches; a thin line ends a law's range")
    _save(folder, "coefficients.png")


def spin(folder: Path) -> None:
    """Carry by spin for each law."""
    rpm = np.linspace(1500, 4500, 61)
    rows = np.concatenate([launch_row(170 * MPH, 10.5, w) for w in rpm])
    drawn = worlds.central(Conditions())
    plt.figure(figsize=(7, 4))
    for name, out in zip(drawn.names, engine.fly(rows, drawn.world), strict=True):
        carry = out[:, vectors.CARRY] / YARD
        plt.plot(rpm, carry, STYLES[name], color=COLOURS[name], label=name)
        plt.plot(rpm[carry.argmax()], carry.max(), "o", color=COLOURS[name])
    plt.xlabel("spin, rpm")
    plt.ylabel("carry, yd")
    plt.legend()
    _save(folder, "spin.png")


def points(folder: Path) -> None:
    """Model over published for robot and tour rows."""
    wanted = ("robot-s", "robot-l", "tour15", "tour-", "tour23", "iron", "wedge", "ods")
    rows = [f for t in ("flight", "impact") for f in load(t) if f.id.startswith(wanted)]
    plt.figure(figsize=(8, 6))
    for k, figure in enumerate(rows):
        middle = (figure.low + figure.high) / 2
        values = figure.compute()
        plt.plot(
            [100 * (1 - figure.room / middle), 100 * (1 + figure.room / middle)],
            [k, k],
            "k-",
            lw=4,
            alpha=0.2,
        )
        for n, value in enumerate(values.values()):
            plt.plot(100 * value / middle, k, "o" if n == 0 else "x", color="#0072B2" if n == 0 else "0.5")
    plt.yticks(range(len(rows)), [f.id for f in rows], fontsize=8)
    plt.xlabel("model in % of published; bar: room, o: judged, x: single laws or the rival")
    _save(folder, "points.png")


def run(folder: Path) -> None:
    """Run by landing angle of drives at 160 mph and 2600 rpm: Biber's three turfs, Penner's green."""
    launches = np.linspace(5, 22, 40)
    rows = np.concatenate([launch_row(160 * MPH, x, 2600) for x in launches])
    plt.figure(figsize=(7, 4))
    for turf, style in (("soft", ":"), ("ordinary", "-"), ("firm", "--"), ("green", "-.")):
        out = engine.fly(rows, worlds.central(replace(Conditions(), turf=turf)).world).mean(axis=0)
        plt.plot(
            out[:, vectors.DESCENT] / DEG,
            (out[:, vectors.TOTAL] - out[:, vectors.CARRY]) / YARD,
            style,
            label="green (Penner's form)" if turf == "green" else turf,
        )
    plt.axvspan(0, 25, color="0.9")
    plt.xlim(15, 55)
    plt.xlabel("landing angle, deg (grey: outside of the turf data)")
    plt.ylabel("run, yd")
    plt.legend()
    _save(folder, "run.png")


def draw(folder: Path) -> None:
    """Draw every picture into a folder."""
    folder.mkdir(exist_ok=True)
    for picture in (coefficients, spin, points, run):
        picture(folder)
