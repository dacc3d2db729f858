"""A session as a log of its own, under the project's own names: one player's rows out of many."""

from __future__ import annotations

import csv
import io

import numpy as np

from fitter.shots.session import Session
from fitter.shots.vocabulary import NUMBERS, WORDS

SUFFIX = ".csv"


def log_of(session: Session) -> bytes:
    """Log that reads back as the same shots, sides as the player sees them; estimates carry a tilde.

    Parameters
    ----------
    session : Session
        In the right-handed frame, as it is read; shots set aside and those of other clubs are written too.
    """
    parts = [session] if session.others is None else [session, session.others]
    sides = [s.mirrored() if s.hand == "left" else s for s in parts]
    numbers = [n for n in NUMBERS if any(s.has(n) for s in sides)]
    words = [n for n in WORDS if any(s.has(n) for s in sides)]
    file = io.StringIO(newline="")
    out = csv.writer(file, lineterminator="\n")
    out.writerow(["player", "hand", "shot", *words, *numbers])
    rows = [(int(s.row[k]), s, k) for s in sides for k in range(len(s))]
    for _, seen, k in sorted(rows, key=lambda r: r[0]):
        told = [seen.word(n)[k] for n in words]
        row = [_number(seen, n, k) for n in numbers]
        out.writerow([seen.player, seen.hand, int(seen.shot[k]), *told, *row])
    return file.getvalue().encode()


def _number(session: Session, name: str, k: int) -> str:
    value, guessed = float(session.value(name)[k]), session.estimated.get(name)
    if not np.isfinite(value):
        return ""
    return f"{'~' if guessed is not None and guessed[k] else ''}{value!r}"
