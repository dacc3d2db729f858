"""A log to the sessions of its players: the one door through which shots come in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from pathlib import Path

import numpy as np

from fitter.base.errors import InputError, Problem, raise_if
from fitter.base.sources import refuse
from fitter.shots.annotations import apply, parse, tidy
from fitter.shots.reader import channels, columns, grids, headers, layout, numbers, players, shifts
from fitter.shots.reader.layout import Block
from fitter.shots.reader.players import Shots
from fitter.shots.reader.synonyms import HANDS
from fitter.shots.reader.units import Flight, settle_units
from fitter.shots.reader.workbooks import Grid
from fitter.shots.screen import screen
from fitter.shots.session import Column, Session
from fitter.shots.vocabulary import CHANNELS, WORDS

_ESTIMATED = ("est", "calc", "comp", "model", "no", "false", "n", "0", "infer", "default")


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
    units: str | None = None,
) -> Session:
    """Read the shots of one player.

    Parameters
    ----------
    path : str or Path
        The log: delimited text, JSON, a workbook or Parquet.
    hand : {'right', 'left'}, optional
        Hand of the player; a column of the file goes before it. Right-handed if neither says.
    player : str, optional
        Which player, where the file holds several; else the name of the one.
    header_map : mapping of str to str, optional
        Corrections, header to channel: ``{"VL": "launch_deg"}``; '' leaves a column out, '-offline_m' turns
        its sign, 'ball speed (km/h)' names its unit too.
    shop_map : str or Path, optional
        File of the shop's saved corrections, see `columns.save`; ``header_map`` goes before it.
    set_ : sequence of str
        Settings such as 'build=H2/S3 shots=8-14', see `annotations`.
    club : str, optional
        Keep the shots that the file gives this club; else drivers and whatever is not named as another club.
    sheet : str, optional
        Sheet of a workbook.
    flight : callable, optional
        Simulator that proves units, see `units.Flight`; the built-in blend if None.
    units : {'us', 'metric'}, optional
        Units of speeds and distances whose unit nothing else settles; asked for if None.

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
        units=units,
    )
    source, names = sessions[0].source, [s.player for s in sessions]
    if player is not None:
        for session in sessions:
            if session.player.casefold() == player.strip().casefold():
                return session
        problem = Problem(f"{source}, player", repr(player), ", ".join(names), "Choose one of these.")
        raise InputError(f"{source} has no player {player!r}.", [problem])
    if len(sessions) > 1:
        found, do = ", ".join(names), "Choose with --player."
        problem = Problem(f"{source}, players", found, "one player at a time", do)
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
    live: bool = False,
    units: str | None = None,
) -> list[Session]:
    """Read the shots of every player in a file, in the order in which they appear; see `read`.

    ``player`` names the shots of a file that names nobody, and selects nothing. ``live`` leaves
    out a last line that has no end yet.
    """
    wanted = parse(set_)
    saved = columns.load(shop_map) if shop_map is not None else {}
    mapped = {headers.plain(k): v for k, v in {**saved, **(header_map or {})}.items()}
    if hand is not None and hand not in ("right", "left"):
        problem = Problem("--hand", repr(hand), "right, left", "Give the hand of the player.")
        raise InputError("The hand is not known.", [problem])
    grid = _sheet(grids.load(path, live=live), sheet, mapped)
    shots = _gather(layout.arrange(grid, mapped), mapped, hand, flight, not grid.sheet, units)
    sessions = players.by_player(grid.source, shots, hand, player, club)
    return [screen(s) for s in apply(sessions, wanted)]


def _sheet(grids: list[Grid], sheet: str | None, mapped: Mapping[str, str]) -> Grid:
    """Choose the sheet that holds shots."""
    if len(grids) == 1:
        return grids[0]
    if sheet is not None:
        for grid in grids:
            if grid.sheet.casefold() == sheet.casefold():
                return grid
        names = ", ".join(g.sheet for g in grids)
        problem = Problem(f"{grids[0].source}, sheet", repr(sheet), names, "Choose one of these.")
        raise InputError("There is no such sheet.", [problem])
    holding = []
    for grid in grids:
        with suppress(InputError):
            layout.arrange(grid, mapped)
            holding.append(grid)
    if len(holding) > 1:
        found, file = ", ".join(g.sheet for g in holding), holding[0].source.partition(" [")[0]
        do = "Choose with --sheet, or save it as CSV."
        problem = Problem(f"{file}, sheets", found, "one sheet of shots", do)
        raise InputError(f"{file} has several sheets of shots.", [problem])
    return (holding or grids)[0]


def _gather(
    plan: layout.Layout,
    mapped: Mapping[str, str],
    hand: str | None,
    flight: Flight | None,
    text: bool = True,
    units: str | None = None,
) -> Shots:
    """Read all blocks of a file into one table; ``text`` says that it is separated text."""
    shots = Shots(notices=list(plan.notices))
    problems: list[Problem] = []
    for block in plan.blocks:
        if not block.rows:
            where = columns.where_of(block)
            raise refuse(where, "headers and no shots", "at least one shot", "Export again.")
        uses, unused, notices = columns.uses_of(block, mapped, plan.stated_units, problems)
        shots.notices.extend(notices)
        shots.notices.extend(shifts.straighten(block, uses, text, problems))
        _words(block, uses, shots)
        read = numbers.numbers_of(block, uses, problems)
        settled = settle_units(block, read, flight, problems, shots.notices, units)
        hands = shots.words["hand"][len(shots) :]
        for one in settled:
            turn = one.relative & np.array([HANDS.get(headers.plain(h), hand) == "left" for h in hands])
            one.values[turn] *= -1.0
            shots.notices.extend(one.notices)
        made = channels.combine(block, settled, problems, shots.notices)
        _mark_source(block, uses, made)
        _add(shots, block, made)
        _explain(shots, block, [n.use for n in settled] + [u for u in uses if not u.channel.quantity], unused)
    raise_if(problems, f"{plan.blocks[0].source} cannot be read.")
    return shots


def _words(block: Block, uses: Sequence[columns.Use], shots: Shots) -> None:
    """Add the words of a block: its own columns first, then what lines above said."""
    n = len(block.rows)
    found: dict[str, list[str]] = {}
    for use in uses:
        if use.channel.quantity or use.channel.name not in CHANNELS:
            continue
        cells = columns.column(block, use.at)
        if use.channel.name in found:
            pairs = zip(found[use.channel.name], cells, strict=True)
            # A date and a clock belong together; of other repeats the first column counts.
            both = use.channel.name == "time"
            cells = [f"{a} {b}".strip() if both else a or b for a, b in pairs]
        found[use.channel.name] = cells
    for name in ("player", "hand", "shot", *WORDS):
        own = found.get(name, [""] * n)
        if name in ("player", "club"):
            own = players.filled_down(own)
        said = [c.get(name, "") for c in block.context]
        whole = [a or b for a, b in zip(own, said, strict=True)]
        if name == "time":
            whole, notice = players.times(own, said)
            shots.notices.extend([notice] if notice else [])
        shots.words.setdefault(name, []).extend(tidy(name, w) for w in whole)


def _mark_source(block: Block, uses: Sequence[columns.Use], made: Mapping[str, channels.Made]) -> None:
    """Mark spin as estimated where a column of words says so."""
    for use in uses:
        if use.channel.name == "spin_source" and "spin_rpm" in made:
            words = [headers.plain(c) for c in columns.column(block, use.at)]
            # 'measured', 'yes' and the like are measured; so is silence.
            made["spin_rpm"].estimated |= np.array([w.startswith(_ESTIMATED) for w in words])


def _add(shots: Shots, block: Block, made: Mapping[str, channels.Made]) -> None:
    before, n = len(shots), len(block.rows)
    for name in {*shots.values, *made}:
        values, marks = np.full(before + n, np.nan), np.zeros(before + n, dtype=bool)
        if name in shots.values:
            values[:before], marks[:before] = shots.values[name], shots.estimated[name]
        if name in made:
            values[before:], marks[before:] = made[name].values, made[name].estimated
        shots.values[name], shots.estimated[name] = values, marks
    shots.headers |= {name: m.header for name, m in made.items()}
    shots.certain |= {name for name, m in made.items() if m.certain}
    shots.rows.extend(block.numbers)


def _explain(shots: Shots, block: Block, uses: Sequence[columns.Use], unused: Sequence[str]) -> None:
    new = [
        Column(u.header, u.channel.name, u.unit, u.how)
        if u.channel.name in CHANNELS
        else Column(u.header, "", u.unit, "serves other channels")
        for u in sorted(uses, key=lambda u: u.at)
    ]
    new += [Column(h, "", "", "not used") for h in unused]
    for column in new:
        key, again = column.header, 1
        while key in shots.columns and shots.columns[key] != column:
            again += 1
            key = f"{column.header} #{again}"
        shots.columns[key] = column
    if unused:
        notice = f"Columns that are not used: {', '.join(unused)}."
        if notice not in shots.notices:
            shots.notices.append(notice)
