"""What people add to a log: build, ball, intent and tee of shots; shots set aside; the present club."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from fitter.base.errors import InputError, Problem, raise_if
from fitter.base.text import key_values, spans
from fitter.base.units import parse_quantity
from fitter.shots.findings import Flag
from fitter.shots.reader.headers import plain
from fitter.shots.reader.synonyms import INTENTS, PLACES
from fitter.shots.session import Session
from fitter.shots.vocabulary import OPEN_POINT, POINTS, WORDS, point

_SETUP = {key: name for name in ("tee_mm", "ball_forward_mm") for key in (name, name.removesuffix("_mm"))}
_SELECT = ("shots", "rows", "player")
_DAY = re.compile(r"\d{4}-\d\d-\d\d")
_EXAMPLE = "build=H2/S3 shots=8-14"
REASONS = ("interrupted", "slipped", "wrong ball", "wrong club", "not read")
"""Why a shot may be set aside by hand."""


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
    before = len(problems)
    values: dict[str, str | float] = {}
    given = key_values(text, where, f"KEY=VALUE, such as '{_EXAMPLE}'", problems)
    for key, value in given.items():
        if key in _SETUP:
            try:
                values[_SETUP[key]] = parse_quantity(value, "strike", where=f"{where}, {key}") * 1e3
            except InputError as error:
                problems.extend(error.problems)
        elif key in POINTS and value.casefold() != OPEN_POINT and point(key, value) is None:
            allowed = ", ".join([*POINTS[key], OPEN_POINT])
            problems.append(Problem(f"{where}, {key}", repr(value), allowed, "See the device's manual."))
        elif key in WORDS:
            values[key] = tidy(key, value)
        elif key not in _SELECT:
            allowed = ", ".join([*WORDS, "tee", "ball_forward", *_SELECT])
            problems.append(Problem(where, repr(key), allowed, "Use one of these keys."))
    if not values and len(problems) == before:
        problems.append(
            Problem(where, "no value to set", f"such as '{_EXAMPLE}'", "Say what the shots have.")
        )
    shots, rows = (spans(given.get(k, ""), f"{where}, {k}", problems) for k in ("shots", "rows"))
    return Setting(text, values, shots, rows, given.get("player", ""))


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


_GENERIC = frozenset({"driver", "drv", "dr", "d", "1w", "1 w", "1 wood", "wood 1", "w1", "big stick"})


def labels(session: Session) -> tuple[str, ...]:
    """Which club hit each shot, n words: its build, or its club's name where the log has several drivers."""
    builds = tuple(w.strip() for w in session.word("build"))
    if any(builds):
        return builds
    clubs = tuple("Driver" if plain(w) in _GENERIC else " ".join(w.split()) for w in session.word("club"))
    spelled: dict[str, str] = {}
    clubs = tuple(spelled.setdefault(c.casefold(), c) for c in clubs)
    return clubs if len(set(clubs) - {""}) > 1 else ("",) * len(session)


def days(session: Session) -> tuple[str, ...]:
    """Day of each shot, n words, '' where the log has none."""
    return tuple(w[:10] if _DAY.match(w) else "" for w in session.word("time"))


def counted(words: Sequence[str], nothing: str = "not named") -> str:
    """Groups with their numbers of shots.

    Examples
    --------
    >>> counted(["H4/S5", "H1/S5", "H4/S5", ""])
    'H4/S5 (2), H1/S5 (1), not named (1)'
    """
    return ", ".join(f"{w or nothing} ({n})" for w, n in Counter(words).items())


def of_day(session: Session, day: str) -> Session:
    """Shots of one day; the others are kept beside them.

    Raises
    ------
    InputError
        With the days that are there.
    """
    mask = np.array([d == day.strip() for d in days(session)], dtype=bool)
    if not mask.any():
        problem = Problem("--day", repr(day), counted(days(session), "no day"), "Name one of these days.")
        raise InputError(f"{session.source} has no such day.", [problem])
    return session.part(mask)


def of_present(session: Session, build: str | None = None, present: str = "") -> Session:
    """Shots that describe the present club; those of other clubs are kept beside them as evidence.

    Parameters
    ----------
    session : Session
    build : str, optional
        As named by a person.
    present : str
        Words for the present club: the shots of a build of that name are its own.

    Raises
    ------
    InputError
        If there are several and nothing says which.
    """
    named = build
    if named is None and present.strip().casefold() in {w.casefold() for w in labels(session) if w}:
        named = present
    return parted(session, baseline(session, build=named))


def parted(session: Session, mask: NDArray[np.bool_]) -> Session:
    """Shots of a mask; the others are kept beside them under their labels."""
    if mask.all():
        return session
    words = np.array(labels(session), dtype=object)
    found = session.part(mask)
    assert found.others is not None
    kept = MappingProxyType({**found.others.words, "build": tuple(words[~mask])})
    return replace(found, others=replace(found.others, words=kept))


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
    builds = labels(session)
    known = sorted({b for b in builds if b})
    chosen = np.ones(len(session), dtype=bool)
    if build is not None and known:
        chosen = np.array([b.casefold() == build.strip().casefold() for b in builds])
    elif len(known) > 1 or (known and "" in builds):
        chosen[:] = False
    if not chosen.any():
        found = counted(builds, "no build")
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


@dataclass(frozen=True)
class Decision:
    """Shots that a person sets aside, and why: one of `REASONS`, never the shot's result."""

    shots: tuple[int, ...]
    reason: str


def parse_aside(texts: Sequence[str]) -> list[Decision]:
    """Read decisions such as 'shots=3,7-8 reason=interrupted'.

    Raises
    ------
    InputError
        With everything that is wrong in all of them.
    """
    problems: list[Problem] = []
    found = []
    for text in texts:
        where, example = f"--aside {text!r}", "such as 'shots=3,7-8 reason=interrupted'"
        given = key_values(text, where, example, problems)
        shots = [s for a, b in spans(given.get("shots", ""), where, problems) for s in range(a, b + 1)]
        if not given.get("shots"):
            problems.append(Problem(where, "no shots", example, "Name the shots."))
        reason = given.get("reason", "").replace("-", " ").casefold()
        if reason not in REASONS:
            do = "Give one of these reasons, quoted if it has a blank; a poor result is none."
            problems.append(Problem(where, repr(given.get("reason", "")), ", ".join(REASONS), do))
        found.append(Decision(tuple(shots), reason))
    raise_if(problems, "--aside cannot be understood.")
    return found


def set_aside(session: Session, decisions: Sequence[Decision]) -> Session:
    """Set shots aside by hand, each with a flag that says so.

    Raises
    ------
    InputError
        If a shot is not in the session.
    """
    known = {int(s) for s in session.shot}
    missing = sorted({s for d in decisions for s in d.shots} - known)
    if missing:
        allowed = f"{min(known, default=0)} to {max(known, default=0)}"
        found = f"shots {', '.join(map(str, missing))}"
        problem = Problem("--aside", found, allowed, "Name shots of this log.")
        raise InputError("--aside names shots that are not there.", [problem])
    flags = [Flag(s, "", "set aside by hand", d.reason, "", True) for d in decisions for s in d.shots]
    mask = session.set_aside | np.isin(session.shot, [f.shot for f in flags])
    return replace(session, flags=(*session.flags, *flags), set_aside=mask)


def with_everything(session: Session) -> Session:
    """Return the session with no shot set aside, to show a result with and without; flags stay."""
    return replace(session, set_aside=np.zeros(len(session), dtype=bool))
