"""The command `batch`: many sessions, one line a player."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fitter.base.errors import EXIT_DATA, EXIT_DONE
from fitter.base.files import refuse_overwriting
from fitter.base.units import Units
from fitter.cli import remembering, session, work
from fitter.cli.arguments import together
from fitter.display.text import clean, plain, print_json, table, tell

if TYPE_CHECKING:
    from fitter.batches.batch import Batch
    from fitter.batches.rows import PlayerRow

MOST_LINES = 60
"""Players that are shown on the screen; the file has all."""
HEADERS = (
    "player", "used", "carry", "weak", "most lost by", "nothing bought", "best", "worth", "verdict",
)  # fmt: skip


def prepare_parser(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    parser.add_argument("paths", nargs="+", metavar="PATHS", help="logs: files, folders, patterns")
    parser.add_argument("--kit", required=True, metavar="DIR", help="folder with heads.csv and shafts.csv")
    parser.add_argument(
        "--roster", metavar="FILE", help="table with code, name, hand, present, ball, consent of each player"
    )
    parser.add_argument(
        "-o",
        "--out",
        required=True,
        metavar="OUT",
        help="rows: .csv, .jsonl or .parquet; OUT.options beside it",
    )
    parser.add_argument(
        "--present",
        default="unknown",
        metavar="CLUB",
        help="present club of those the roster is silent of (unknown)",
    )
    session.add_goal(parser)
    session.add_map(parser)
    parser.add_argument("--workers", type=int, default=1, metavar="N", help="processes (1)")
    parser.add_argument("--sheets", metavar="DIR", help="print a sheet for each player into this folder")
    parser.add_argument(
        "--order-by-speed",
        action="store_true",
        help="fastest first; only if the roster has everyone's consent",
    )
    session.add_offer(parser)
    session.add_sample(parser)
    remembering.add_history(parser, day=False)


def run(args: argparse.Namespace) -> int:
    """Run the command; 3 if no line says anything."""
    with together("These options cannot be used.") as gather:
        asked = session.asked(args, gather)
    out = Path(args.out)
    saved = {}
    if args.map_file:
        refuse_overwriting(work.output.outputs(out), [("--map-file", Path(args.map_file))])
        saved = work.columns.load(args.map_file)
    session.warn_of_compiling()
    shown = _Progress()
    try:
        done = work.batch.batch(
            args.paths,
            args.kit,
            args.roster,
            out=out,
            workers=args.workers,
            present=args.present,
            header_map={**saved, **work.columns.parse_pairs(args.map)},
            metric=args.units == "metric",
            sheets=args.sheets,
            order_by_speed=args.order_by_speed,
            history=remembering.file_of(args) or work.store.usual_path() if args.remember else None,
            progress=shown,
            stopping=shown.stop,
            **asked,
        )
    except KeyboardInterrupt:
        shown.close()
        _tell_of_the_rest(out)
        raise
    finally:
        shown.close()
    _tell(done)
    if args.json:
        print_json(_as_dict(done, out))
    else:
        print(_text(done, Units(args.units), out))
    return EXIT_DONE if any(r.scored for r in done.rows) else EXIT_DATA


def _tell_of_the_rest(out: Path) -> None:
    journal = work.output.Journal.of(out)
    kept = len(journal)
    if kept:
        tell(
            f"Stopped. {kept} finished sessions are kept in {journal.folder}: "
            "the same command goes on from there."
        )


def _tell(done: Batch) -> None:
    """What is no result: on stderr."""
    for notice in done.notices:
        tell(notice)
    if done.resumed:
        tell(f"{done.resumed} sessions were finished by an earlier run.")
    if done.broken:
        tell(f"Files that gave no session: {len(done.broken)}.")
    for broken in done.broken:
        tell(clean(f"  {broken.session}: {broken.message}"))
        for problem in broken.problems:
            tell(clean(f"    {problem}"))
    if done.strangers:
        names = ", ".join(f"{name} ({label})" for name, label in done.strangers)
        tell(f"In a log and not in the roster: {names}.")
    if done.missing:
        tell(f"In the roster and in no log: {', '.join(done.missing)}.")


def _as_dict(done: Batch, out: Path) -> dict[str, Any]:
    return {
        "out": str(out),
        "options": str(work.output.options_path(out)),
        "sessions": len(done.rows),
        "status": _counts(done, "status"),
        "worth": _counts(done, "worth"),
        "broken": plain(done.broken),
        "not_in_roster": [{"name": name, "session": label} for name, label in done.strangers],
        "not_in_logs": list(done.missing),
        "resumed": done.resumed,
        "notices": list(done.notices),
    }


def _counts(done: Batch, name: str) -> dict[str, int]:
    words = [getattr(r, name) for r in done.rows]
    return {w: words.count(w) for w in dict.fromkeys(words) if w}


def _text(done: Batch, units: Units, out: Path) -> str:
    lines = []
    if len(done.rows) <= MOST_LINES:
        lines += [table(HEADERS, [_line(r, units) for r in done.rows], align="lrrrlrrll"), ""]
    counts = ", ".join(f"{n} {word}" for word, n in _counts(done, "status").items())
    n = len(done.rows)
    lines.append(f"{n} line{'s' * (n != 1)}: {counts}.")
    if worth := _counts(done, "worth"):
        lines.append(f"Worth a fitting: {', '.join(f'{w} {n}' for w, n in worth.items())}.")
    lines.append(f"Written: {out} and {work.output.options_path(out)}.")
    return "\n".join(lines)


def _line(r: PlayerRow, units: Units) -> list[str]:
    return [
        r.player or r.session,
        f"{r.used}/{r.shots}" if r.shots else "",
        units.distance(r.carry_m, 0),
        units.distance(r.weak_carry_m, 0),
        f"{r.loss_cause} {units.distance(r.loss_m, 0)}" if r.loss_cause else "",
        _gain(r.best_a_gain, r.gain_unit, units),
        _gain(r.best_gain, r.gain_unit, units),
        r.worth,
        f"{r.action} {short(r)}".strip() or r.status,
    ]


def short(row: PlayerRow) -> str:
    """Verdict's option without the figures of the club that stays: the set-up alone.

    Examples
    --------
    >>> from fitter.batches.rows import PlayerRow
    >>> short(PlayerRow("P1", "P1.csv", "ranked", club="H4/S2 45.25in", option="H4/S2 45.25in tee+8"))
    'tee+8'
    """
    stays = row.club and row.option.startswith(f"{row.club} ")
    return row.option[len(row.club) + 1 :] if stays else row.option


def _gain(value: float | None, unit: str, units: Units) -> str:
    return "" if value is None else units.quantity(value, unit, 3 if unit == "strokes" else 1, sign=True)


class _Progress:
    """Sessions done and time left, on stderr, if it is a terminal."""

    def __init__(self) -> None:
        self._bar: Any = None
        if not sys.stderr.isatty():
            return
        from rich.console import Console
        from rich.progress import BarColumn, MofNCompleteColumn, Progress, TimeRemainingColumn

        columns = ("sessions", BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
        self._bar = Progress(*columns, console=Console(stderr=True))
        self._bar.start()
        self._task = self._bar.add_task("sessions", total=None)

    def __call__(self, done: int, expected: float) -> None:
        if self._bar is not None:
            self._bar.update(self._task, completed=done, total=round(expected))

    def stop(self, running: int) -> None:
        self.close()
        tell(f"Stopping: {running} sessions that run are finished first.")

    def close(self) -> None:
        if self._bar is not None:
            self._bar.stop()
            self._bar = None
