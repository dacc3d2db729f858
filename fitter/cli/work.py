"""The modules behind the commands, imported when a command first uses them: help and usage errors stay quick.

``work.rank.rank`` is ``fitter.advice.rank.rank``. A module stands here twice: for the type checker, and with
its room for the first use.
"""

from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    # ruff: noqa: I001
    from fitter import tui as tui, world as world
    from fitter.advice import (
        audit as audit, compare as compare, evidence as evidence, losses as losses,
        objectives as objectives, options as options,
        question as question, rank as rank, reach as reach,
        what_if as what_if,
    )  # fmt: skip
    from fitter.base import assumptions as assumptions, sources as sources
    from fitter.batches import batch as batch, output as output
    from fitter.display import (
        bench as bench, compared as compared, pace as pace, progressed as progressed,
        ranking as ranking, reached as reached, reading as reading, remembered as remembered,
        serialise as serialise, shots as shots, simulated as simulated,
        text as text, trial as trial,
    )  # fmt: skip
    from fitter.trial import course as course, plan as plan, record as record
    from fitter.kit import (
        build as build, card as card, club as club, figures as figures, inventory as inventory,
        mechanics as mechanics, offer as offer, parts as parts, sense as sense,
        shaft_figures as shaft_figures,
    )  # fmt: skip
    from fitter.history import (
        calibration as calibration, erase as erase, learning as learning, records as records,
        store as store, transfer as transfer,
    )  # fmt: skip
    from fitter.remember import (
        fittings as fittings, hits as hits, outcomes as outcomes, unpacked as unpacked,
        visit as visit,
    )  # fmt: skip
    from fitter.physics import air as air, compiled as compiled
    from fitter.sheet import content as content, markdown as markdown, months as months, render as render
    from fitter.progress import progress as progress, trend as trend, visits as visits
    from fitter.shots import (
        annotations as annotations, freshness as freshness, screen as screen, written as written,
    )  # fmt: skip
    from fitter.shots.infer import infer as infer
    from fitter.shots.reader import columns as columns, intake as intake
    from fitter.simulate import flight as flight, sensitivities as sensitivities, strike as strike

_ROOMS = {
    "fitter": "tui world",
    "fitter.advice": "audit compare evidence losses objectives options question rank reach what_if",
    "fitter.base": "assumptions sources",
    "fitter.batches": "batch output",
    "fitter.display": "bench compared pace progressed ranking reached reading remembered serialise shots "
    "simulated text trial",
    "fitter.trial": "course plan record",
    "fitter.history": "calibration erase learning records store transfer",
    "fitter.remember": "fittings hits outcomes unpacked visit",
    "fitter.kit": "build card club figures inventory mechanics offer parts sense shaft_figures",
    "fitter.physics": "air compiled",
    "fitter.progress": "progress trend visits",
    "fitter.sheet": "content markdown months render",
    "fitter.shots": "annotations freshness screen written",
    "fitter.shots.infer": "infer",
    "fitter.shots.reader": "columns intake",
    "fitter.simulate": "flight sensitivities strike",
}
_HOMES = {name: f"{room}.{name}" for room, names in _ROOMS.items() for name in names.split()}


def __getattr__(name: str) -> ModuleType:
    if name in _HOMES:
        return import_module(_HOMES[name])
    raise AttributeError(f"no command uses a module {name!r}")
