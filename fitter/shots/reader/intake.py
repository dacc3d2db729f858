"""A log to the sessions of its players: the one door through which shots come in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from fitter.base.errors import InputError, Problem
from fitter.shots import annotations as settings
from fitter.shots.reader import grids as dialects
from fitter.shots.reader import headers, layout
from fitter.shots.reader.players import by_player
from fitter.shots.reader.table import gather
from fitter.shots.reader.unit_proof import Flight
from fitter.shots.screen import screen
from fitter.shots.session import Session


def read(
    path: str | Path,
    *,
    hand: str | None = None,
    player: str | None = None,
    header_map: Mapping[str, str] | None = None,
    shop_map: str | Path | None = None,
    set_: Sequence[str] = (),
    club: str | None = None,
    sheet: str | None = None,
    flight: Flight | None = None,
) -> Session:
    """Read the shots of one player.

    Parameters
    ----------
    path : str or Path
        The log: delimited text, JSON, a workbook or Parquet.
    hand : {'right', 'left'}, optional
        Hand of the player; a column of the file goes before it. Right-handed when both are silent.
    player : str, optional
        Which player, where the file holds several; else the name of the one.
    header_map : mapping of str to str, optional
        Corrections, header to channel: ``{"VL": "launch_deg"}``; '' leaves a column out, '-offline_m' turns
        its sign, 'ball speed (km/h)' names its unit too.
    shop_map : str or Path, optional
        File of the shop's saved corrections, see `corrections`; ``header_map`` goes before it.
    set_ : sequence of str
        Settings such as 'build=H2/S3 shots=8-14', see `settings`.
    club : str, optional
        Keep the shots that the file gives this club; else drivers and whatever is not named as another club.
    sheet : str, optional
        Sheet of a workbook.
    flight : callable, optional
        Simulator that proves units, see `proof.Flight`; the built-in blend when silent.

    Returns
    -------
    Session
        Screened, in a right-handed frame, in the units of the channels' names.

    Raises
    ------
    InputError
        With every problem of the file; or with the players' names if there are several.
    DataError
        If the file has shots but none was read.
    """
    sessions = read_all(
        path,
        hand=hand,
        header_map=header_map,
        shop_map=shop_map,
        set_=set_,
        club=club,
        sheet=sheet,
        flight=flight,
        player=player,
    )
    source, names = sessions[0].source, [s.player for s in sessions]
    if player is not None:
        for session in sessions:
            if session.player.casefold() == player.strip().casefold():
                return session
        problem = Problem(f"{source}, player", repr(player), ", ".join(names), "Choose one of these.")
        raise InputError(f"{source} has no player {player!r}.", [problem])
    if len(sessions) > 1:
        problem = Problem(
            f"{source}, players", ", ".join(names), "one player at a time", "Choose with --player."
        )
        raise InputError(f"{source} holds {len(sessions)} players: {', '.join(names)}.", [problem])
    return sessions[0]


def read_all(
    path: str | Path,
    *,
    hand: str | None = None,
    header_map: Mapping[str, str] | None = None,
    shop_map: str | Path | None = None,
    set_: Sequence[str] = (),
    club: str | None = None,
    sheet: str | None = None,
    flight: Flight | None = None,
    player: str | None = None,
) -> list[Session]:
    """Read the shots of every player in a file, in the order in which they appear; see `read`.

    ``player`` names the shots of a file that names nobody, and selects nothing.
    """
    wanted = settings.parse(set_)
    saved = headers.load(shop_map) if shop_map is not None else {}
    mapped = {headers.plain(k): v for k, v in {**saved, **(header_map or {})}.items()}
    if hand is not None and hand not in ("right", "left"):
        problem = Problem("--hand", repr(hand), "right, left", "Give the hand of the player.")
        raise InputError("The hand is not known.", [problem])
    grid = _sheet(dialects.load(path), sheet, mapped)
    shots = gather(layout.arrange(grid, mapped), mapped, hand, flight)
    sessions = by_player(grid.source, shots, hand, player, club)
    return [screen(s) for s in settings.apply(sessions, wanted)]


def _sheet(grids: list[dialects.Grid], sheet: str | None, mapped: Mapping[str, str]) -> dialects.Grid:
    """Choose the sheet that holds shots."""
    names = [g.source.partition(" [")[2].rstrip("]") for g in grids]
    if sheet is not None and len(grids) > 1:
        for name, grid in zip(names, grids, strict=True):
            if name.casefold() == sheet.casefold():
                return grid
        problem = Problem(f"{grids[0].source}, sheet", repr(sheet), ", ".join(names), "Choose one of these.")
        raise InputError("There is no such sheet.", [problem])
    holding = []
    for grid in grids if len(grids) > 1 else []:
        try:
            layout.arrange(grid, mapped)
        except InputError:
            continue
        holding.append(grid)
    if len(holding) > 1:
        found = ", ".join(g.source.partition(" [")[2].rstrip("]") for g in holding)
        where = holding[0].source.partition(" [")[0]
        problem = Problem(
            f"{where}, sheets", found, "one sheet of shots", "Choose with --sheet, or save it as CSV."
        )
        raise InputError(f"{where} has several sheets of shots.", [problem])
    return (holding or grids)[0]
