"""The shop's memory at the bench: what is kept without being asked, who is known, a visit taken up again."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import msgspec

from fitter.advice.result import Ranking
from fitter.base.assumptions import using
from fitter.base.conditions import Conditions
from fitter.base.errors import FitterError
from fitter.base.files import state_folder
from fitter.base.units import Units, counted
from fitter.display import progressed, remembered
from fitter.history.records import Fitting, Outcome, Trial, Visit, digest
from fitter.history.store import Store, usual_path
from fitter.progress.progress import progress
from fitter.remember import fittings, hits, outcomes
from fitter.remember.unpacked import unpacked
from fitter.remember.visit import Source
from fitter.shots.annotations import parse_aside
from fitter.trial.record import Record
from fitter.tui.bench import KEPT, Bench, Choice, Work
from fitter.tui.view import View

DRAWS = 256
"""Draws for months on the screen."""


def folder_of(player: str) -> Path:
    """Folder of the files of a player's visits that were taken up again."""
    return state_folder() / "visits" / digest(player.casefold())


def worth_keeping(view: View) -> bool:
    """Whether the bench has an answer to remember: of a player with a code, and not of the demo."""
    bench = view.bench
    return view.settled and bool(bench.player) and not bench.scene


def keep(bench: Bench, ranking: Ranking) -> str:
    """Remember a ranked session with what was chosen; give the sentence that says so.

    Raises
    ------
    FitterError
        If the history cannot be written.
    """
    ranking = replace(ranking, shots=replace(ranking.shots, player=bench.player))
    with using(ranking.question.assumptions):
        found = fittings.decision(ranking, source_of(bench))
        trial = None
        if bench.trial is not None and bench.trial.balls:
            trial = outcomes.kept_trial(bench.trial, found.visit)
            found = found.adding([trial])
        if len(ranking.question.evidence):
            # A trial that counts: what came of its promises is predicted once more.
            key = trial.digest if trial is not None and bench.trial_counts else ""
            found = found.adding(outcomes.of_balls(ranking.question, found.visit, found.fitting, key))
    if bench.chosen is not None:
        found = found.deciding(bench.chosen.option or "keep", bench.chosen.reason)
    with Store() as store:
        new = found.into(store)
        return (
            f"{found.player.code} is remembered: {counted(new, 'new entry', 'new entries')} in {store.path}."
        )


def source_of(bench: Bench) -> Source:
    """Where the shots of a bench came from; typed shots and marks make a log of their own."""
    whole = bool(bench.log) and not (bench.typed or bench.strikes or bench.builds or bench.restored)
    reading = {
        "hand": bench.hand,
        "header_map": dict(bench.maps) or None,
        "aside": [f"shots={shot} reason={reason!r}" for shot, reason in bench.aside],
    }
    return Source(
        Path(bench.log) if bench.log else None,
        reading,
        Path(bench.kit) if bench.kit else None,
        bench.present,
        alone=None if whole else False,
    )


def players() -> list[tuple[str, str]]:
    """Codes of all who are remembered, with a line of words each; none without a history."""
    if not usual_path().exists():
        return []
    with Store(read_only=True) as store:
        counts, last = store.counts(), store.last_days()
        return [
            (p.code, f"{p.code:12} {last.get(p.code, ''):11} "
             f"{counted(counts.get(p.code, {}).get('visit', 0), 'visit')}{'  ' + p.note if p.note else ''}")
            for p in store.players()
        ]  # fmt: skip


def visits(player: str) -> list[tuple[str, str]]:
    """Digests of a player's visits, last first, with a line of words each."""
    with Store(read_only=True) as store:
        chosen = {f.visit: f for f in store.entries(Fitting, player)}
        rows = []
        for v in reversed(store.entries(Visit, player)):
            f = chosen.get(v.digest)
            said = "" if f is None else f"  {f.action}" + (f", chosen {f.chosen}" if f.chosen else "")
            rows.append((v.digest, f"{v.day}  {v.club:16} {counted(v.shots, 'shot')}{said}"))
        return rows


def taken_up(player: str, which: str, like: Bench) -> Bench:
    """A bench with a remembered visit on it, its files laid out beside the saved work.

    Parameters
    ----------
    player, which : str
        Code, and digest of the visit.
    like : Bench
        Whose units and wishes it takes.

    Raises
    ------
    FitterError
        If the log is not kept or cannot be laid out.
    """
    home = folder_of(player) / which
    home.mkdir(parents=True, exist_ok=True, mode=0o700)
    with Store(read_only=True) as store:
        found = unpacked(store, player, home, which)
        hand = store.known(player).hand
        decided = [f for f in store.entries(Fitting, player) if f.visit == which and f.chosen]
        tried = [t for t in store.entries(Trial, player) if t.visit == which]
    aside = [(n, d.reason) for d in parse_aside(tuple(found.reading.get("aside", ()))) for n in d.shots]
    return Bench(
        player=player,
        hand=found.reading.get("hand") or hand or "right",
        log=str(found.log),
        kit="" if found.kit is None else str(found.kit),
        present=found.present,
        units=like.units,
        objective=like.objective,
        conditions=like.conditions,
        measured=found.measured_in,
        maps=tuple((found.reading.get("header_map") or {}).items()),
        aside=tuple(aside),
        chosen=_choice(decided[-1]) if decided else None,
        trial=msgspec.convert(tried[-1].record, Record) if tried else None,
    )


def _choice(fitting: Fitting) -> Choice:
    """What was chosen that day."""
    option = "" if fitting.chosen == "keep" else fitting.chosen
    return Choice(option, fitting.recommended, fitting.action, fitting.why)


def seat_again(work: Work, bench: Bench) -> Work:
    """Put a bench in the place of the same player's, else beside the others; undo brings the old one back."""
    at = next((k for k, b in enumerate(work.benches) if b.player.casefold() == bench.player.casefold()), None)
    if at is None:
        return replace(work, benches=(*work.benches, bench), at=len(work.benches))
    # What he told of today's pain and warm-up holds whatever lies on the bench.
    bench = replace(bench, cautions=work.benches[at].cautions)
    past = (*work.past, ("take up a visit", at, work.benches[at]))[-KEPT:]
    benches = (*work.benches[:at], bench, *work.benches[at + 1 :])
    return replace(work, benches=benches, at=at, past=past)


def story(player: str, units: Units, width: int) -> str:
    """What is remembered of a player: visits, decisions, trials, outcomes."""
    with Store(read_only=True) as store:
        who = store.known(player)
        parts = store.entries(Visit, player), store.entries(Fitting, player)
        more = store.entries(Trial, player), store.entries(Outcome, player)
    return remembered.player(who, *parts, *more, units, width)


def months(player: str, place: Conditions, units: Units, width: int) -> str:
    """A player's visits side by side, in words, or why they cannot be laid so."""
    try:
        with Store(read_only=True) as store:
            found = hits.hits(store, player)
        return progressed.text(progress(found, place, None, DRAWS, 1), units, width)
    except FitterError as error:
        return str(error)
