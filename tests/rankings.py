"""Rankings that several tests ask for: each is computed once, whoever asks.

Tests of what must not change when a ranking is computed again (same bytes on threads and processes, seeds) do
not use this.
"""

import hashlib
import pickle
import pkgutil
import sys
from dataclasses import replace
from importlib import import_module
from typing import Any

import pytest

from fitter import cli
from fitter.advice.question import Question
from fitter.advice.rank import rank
from fitter.advice.result import Ranking

_KNOWN: dict[bytes, Ranking] = {}


def ranked(question: Question, *, progress: Any = None, first: Any = None, flips: bool = True) -> Ranking:
    """Ranking of a question; names of player, file and kit and the rows of the file make no other one."""
    session, kit = question.session, question.kit
    kit = None if kit is None else replace(kit, source="")
    nameless = replace(question, session=replace(session, player="", source="", row=session.shot), kit=kit)
    key = hashlib.sha256(pickle.dumps((nameless, flips))).digest()
    if key not in _KNOWN or first is not None:
        _KNOWN[key] = rank(question, progress=progress, first=first, flips=flips)
    found = _KNOWN[key]
    shots = replace(found.shots, player=session.player, source=session.source)
    return replace(found, question=question, shots=shots)


def patch(monkeypatch: pytest.MonkeyPatch) -> None:
    """Put `ranked` in the place of `rank`, for the command line and batches too."""
    # A module that is imported later would keep it after the test.
    names = [f"fitter.cli.{m.name}" for m in pkgutil.iter_modules(cli.__path__)]
    for name in [*names, "fitter.batches.job"]:
        import_module(name)
    for name, module in list(sys.modules.items()):
        if name.startswith("fitter.") and getattr(module, "rank", None) is rank:
            monkeypatch.setattr(module, "rank", ranked)
