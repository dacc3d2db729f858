"""What the log does not know: build, ball, intent, tee, by file, range or shot; and the baseline."""

from __future__ import annotations

import re
import shlex
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from fitter.base.errors import InputError, Problem, raise_if
from fitter.base.units import parse_quantity
from fitter.shots.session import WORDS, Session

SETUP = {
    "tee": "tee_mm",
    "tee_mm": "tee_mm",
    "ball_forward": "ball_forward_mm",
    "ball_forward_mm": "ball_forward_mm",
}
SELECT = ("shots", "rows", "player")
INTENTS = {
    "course": "course",
    "normal": "course",
    "stock": "course",
    "smooth": "course",
    "fairway": "course",
    "full": "full",
    "max": "full",
    "maximum": "full",
    "all out": "full",
    "hard": "full",
}
PLACES = {
    "indoor": "indoor",
    "indoors": "indoor",
    "inside": "indoor",
    "net": "indoor",
    "bay": "indoor",
    "studio": "indoor",
    "outdoor": "outdoor",
    "outdoors": "outdoor",
    "outside": "outdoor",
    "range": "outdoor",
}
_SPAN = re.compile(r"^(\d+)(?:\s*[-–]\s*(\d+))?$")
_EXAMPLE = "build=H2/S3 shots=8-14"


@dataclass(frozen=True)
class Setting:
    """One ``--set``: what to write, and on which shots.

    Parameters
    ----------
    text : str
        As given.
    values : mapping of str to str or float
        Channel to words, or to a length in mm.
    shots, rows : tuple of (int, int)
        Spans, both ends included; empty for all.
    player : str
        Only this player's shots; '' for every player.
    """

    text: str
    values: Mapping[str, str | float]
    shots: tuple[tuple[int, int], ...] = ()
    rows: tuple[tuple[int, int], ...] = ()
    player: str = ""


def parse(texts: Sequence[str]) -> list[Setting]:
    """Read settings such as 'build=H2/S3 ball=B1 shots=8-14,16' or 'tee=45mm'.

    Raises
    ------
    InputError
        With everything that is wrong in all of them.

    Examples
    --------
    >>> parse(["build=H2/S3 shots=8-14"])[0].shots
    ((8, 14),)
    """
    problems: list[Problem] = []
    settings = [_one(text, problems) for text in texts]
    raise_if(problems, "A setting cannot be read.")
    return settings


def _one(text: str, problems: list[Problem]) -> Setting:
    where = f"--set {text!r}"
    values: dict[str, str | float] = {}
    select: dict[str, str] = {}
    try:
        parts = shlex.split(text)
    except ValueError:
        parts = []
    if not parts or any("=" not in p for p in parts):
        allowed = f"KEY=VALUE, such as '{_EXAMPLE}'"
        problems.append(Problem(where, repr(text), allowed, "Quote a value that holds blanks."))
        return Setting(text, {})
    for part in parts:
        key, _, value = part.partition("=")
        key = key.strip().casefold()
        if key in SELECT:
            select[key] = value
        elif key in SETUP:
            try:
                values[SETUP[key]] = parse_quantity(value, "strike", where=f"{where}, {key}") * 1e3
            except InputError as error:
                problems.extend(error.problems)
        elif key in WORDS:
            values[key] = tidy(key, value.strip())
        else:
            allowed = ", ".join([*WORDS, "tee", "ball_forward", *SELECT])
            problems.append(Problem(where, repr(key), allowed, "Use one of these keys."))
    if not values and not problems:
        problems.append(
            Problem(where, "no value to set", f"such as '{_EXAMPLE}'", "Say what the shots have.")
        )
    spans = {k: _spans(f"{where}, {k}", select.get(k, ""), problems) for k in ("shots", "rows")}
    return Setting(text, values, spans["shots"], spans["rows"], select.get("player", ""))


def _spans(where: str, text: str, problems: list[Problem]) -> tuple[tuple[int, int], ...]:
    out = []
    for part in filter(None, (p.strip() for p in text.split(","))):
        match = _SPAN.match(part)
        first, last = (int(match[1]), int(match[2] or match[1])) if match else (1, 0)
        if last < first or first < 1:
            problems.append(
                Problem(where, repr(part), "such as 8-14 or 3,5,9", "Write shots from low to high.")
            )
            continue
        out.append((first, last))
    return tuple(out)


def tidy(channel: str, words: str) -> str:
    """Bring words to the project's own where a channel has a fixed list."""
    table = {"intent": INTENTS, "place": PLACES}.get(channel, {})
    return table.get(" ".join(words.casefold().replace("-", " ").split()), words)


def apply(sessions: Sequence[Session], settings: Sequence[Setting]) -> list[Session]:
    """Write settings into the sessions of a file; a later setting goes over an earlier one.

    Raises
    ------
    InputError
        If a setting touches no shot at all.
    """
    problems: list[Problem] = []
    out = list(sessions)
    for setting in settings:
        touched = 0
        for i, session in enumerate(out):
            if setting.player and session.player.casefold() != setting.player.casefold():
                continue
            at = _at(session.shot, setting.shots) & _at(session.row, setting.rows)
            touched += int(at.sum())
            out[i] = _written(session, setting, at)
        if not touched:
            shots = ", ".join(f"{s.player}: {s.shot.min()}-{s.shot.max()}" for s in out if len(s))
            do = "Give shots as `read` numbers them."
            problems.append(Problem(f"--set {setting.text!r}", "no such shot", f"shots {shots}", do))
    raise_if(problems, "A setting touches no shot.")
    return out


def _at(numbers: NDArray[np.int64], spans: Sequence[tuple[int, int]]) -> NDArray[np.bool_]:
    if not spans:
        return np.ones(len(numbers), dtype=bool)
    inside = np.zeros(len(numbers), dtype=bool)
    for first, last in spans:
        inside |= (numbers >= first) & (numbers <= last)
    return inside


def _written(session: Session, setting: Setting, at: NDArray[np.bool_]) -> Session:
    values, words = dict(session.values), dict(session.words)
    for name, value in setting.values.items():
        if isinstance(value, str):
            old = session.word(name)
            words[name] = tuple(value if here else w for w, here in zip(old, at, strict=True))
        else:
            values[name] = np.where(at, value, session.value(name))
    return replace(session, values=MappingProxyType(values), words=MappingProxyType(words))


def baseline(session: Session, build: str | None = None, intent: str | None = None) -> NDArray[np.bool_]:
    """Shots that describe the present club, shape (n,); the rest are trial evidence.

    Parameters
    ----------
    session : Session
        n shots.
    build : str, optional
        The present build; needed only if the shots carry several.
    intent : {'course', 'full'}, optional
        The intent to keep, as the two are never pooled; course swings when both are there.

    Returns
    -------
    ndarray of bool, shape (n,)
        Set-aside shots are not excluded here.

    Raises
    ------
    InputError
        If several builds are there and none is named, or the named one is not there.
    """
    builds = [b.strip() for b in session.word("build")]
    known = sorted({b for b in builds if b})
    chosen = np.ones(len(session), dtype=bool)
    if build is not None and known:
        chosen = np.array([b.casefold() == build.strip().casefold() for b in builds])
    elif len(known) > 1 or (known and "" in builds):
        chosen[:] = False
    if not chosen.any():
        found = ", ".join([*known, *(["no build"] if "" in builds else [])])
        asked = f"--baseline {build}" if build is not None else "no --baseline"
        do = "Name the build of the present club with --baseline, or give shots a build with --set."
        problem = Problem(f"{session.source}, build", asked, found, do)
        raise InputError(f"{session.source}: which shots describe the present club?", [problem])
    intents = np.array(session.word("intent"), dtype=object)
    if intent is None and len({i for i in intents[chosen] if i}) > 1:
        intent = "course" if "course" in intents[chosen] else str(intents[chosen][0])
    if intent is not None and any(intents[chosen]):
        chosen &= intents == tidy("intent", intent)
    return chosen
