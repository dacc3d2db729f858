"""Rows that sum up others: told by their words, by a word where shots are numbered, or by their numbers."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

import numpy as np

from fitter.base.assumptions import current
from fitter.shots.reader import headers
from fitter.shots.reader.cells import NOT_READ, numberlike
from fitter.shots.session import Floats

_SUMS = (
    "average, averages, avg, best, consistency, count, deviation, durchschnitt, max, maximum, "
    "mean, means, media, median, min, minimum, mittelwert, moyenne, promedio, range, sd, st dev, "
    "standard deviation, std, std dev, stdev, sum, summary, total, totals, var, variance, worst, "
    "standardabweichung, stdabw, streuung, spannweite, varianz, summe, mittel, bester, schlechtester, "
    "ecart type, ecart, mediane, meilleur, meilleure, pire, somme, etendue, ecart moyen, coefficient, "
    "desviacion, desviacion estandar, desviacion tipica, mediana, mejor, peor, suma, rango, varianza, "
    "gemiddelde, mediaan, standaardafwijking, spreiding, beste, slechtste, hoogste, laagste, "
    "scarto, scarto tipo, deviazione, deviazione standard, migliore, peggiore, somma, "
    "media aritmetica, desvio padrao, melhor, pior, medelvarde, standardavvikelse, gennemsnit, "
    "gjennomsnitt, keskiarvo, cv, coefficient of variation, percentile, quantile, quartile, quintile, "
    "delta, difference, diff, change, iqr, mad, rms, skew, kurtosis, variation, spread, target, goal, "
    "平均, 平均値, 標準偏差, 中央値, 最大, 最小, 最大値, 最小値, 合計, 平均值, 标准差, 中位数, "
    "최대, 최소, 평균, 표준편차"
)
AVERAGES = frozenset(_SUMS.split(", "))
"""First words of rows that sum up others, without accents."""
_ALSO_WORDS = frozenset(
    {"max", "min", "best", "worst", "range", "total", "sum", "media", "count", "mean", "beste", "change",
     "target", "goal", "variation", "spread", "delta", "mad"}
)  # fmt: skip
"""Those of them that begin other phrases, or are names of people."""
_SHARE = re.compile(
    r"(p|q|d) ?\d{1,2}|\d{1,2} ?(st|nd|rd|th)? (percentile|quantile|centile|perzentil|percentil)s?"
)
_SIGNS = "Øø±σΣ∅ΔδμµƩ"
_BAR = re.compile("^[xX][\u0304\u0305\u00af-]|^[x\u0078]\u0302|^x[ -]?(bar|quer)$|^[\u1e8b\u0233]$")

WORDS = ("intent", "note")
"""Channels in which any word may stand."""


def by_words(cells: Sequence[str], head: Sequence[str], numbered: bool = False) -> bool:
    """Whether words of a row, outside columns of remarks, say that it is no shot.

    Parameters
    ----------
    cells, head : sequence of str
        Row and header.
    numbered : bool
        Whether shots are numbered in this table, so that a word in place of the number is no shot.
    """
    for i, cell in enumerate(cells):
        if not cell or numberlike(cell):
            continue
        channel = headers.understand(head[i]).channel if i < len(head) and head[i] else ""
        if channel in WORDS:
            continue
        plain = headers.plain(cell)
        words = re.sub(r"\d+", " ", plain).split()
        if channel == "player" and words and words[0] in _ALSO_WORDS:
            continue
        if cell[0] in _SIGNS or _BAR.match(cell) or " ".join(words) in AVERAGES:
            return True
        if channel in ("", "shot") and _SHARE.fullmatch(plain):
            # Elsewhere P90 is a player.
            return True
        if words and words[0] in AVERAGES - _ALSO_WORDS:
            return True
        lettered = not any(c.isdigit() for c in cell) and any(c.isalpha() for c in cell)
        if numbered and channel == "shot" and lettered and cell.casefold() not in NOT_READ:
            return True
    return False


def numbered(rows: Sequence[Sequence[str]], head: Sequence[str]) -> bool:
    """Whether the shots of a table carry numbers: four of five cells of that column, four at least."""
    for i, word in enumerate(head):
        if word and headers.understand(word).channel == "shot":
            filled = [r[i] for r in rows if i < len(r) and r[i]]
            return len(filled) >= 4 and 5 * sum(c.isdigit() for c in filled) >= 4 * len(filled)
    return False


def _standard(x: Floats) -> Floats:
    return np.asarray(np.std(x, axis=0, ddof=1))


STATISTICS: dict[str, Callable[[Floats], Floats]] = {
    "mean": lambda x: np.asarray(np.mean(x, axis=0)),
    "median": lambda x: np.asarray(np.median(x, axis=0)),
    "SD": _standard,
    "largest values": lambda x: np.asarray(np.max(x, axis=0)),
    "smallest values": lambda x: np.asarray(np.min(x, axis=0)),
}
"""What a row may be of all others."""


def by_numbers(table: Floats, step: Floats, channels: int) -> dict[int, str]:
    """Rows that are a statistic of all others in every column that varies.

    Parameters
    ----------
    table : ndarray, shape (n, columns)
        Numbers as written, NaN where missing.
    step : ndarray, shape (columns,)
        Last digit that each column shows.
    channels : int
        Columns that such a row must match at least.

    Returns
    -------
    dict of int to str
        Row to statistic: the last row, or else the first.
    """
    n = len(table)
    found: dict[int, str] = {}
    share = current().value("intake.summary_share")
    for row in (n - 1, 0):
        rest = np.delete(table, row, axis=0)
        use = np.isfinite(table[row]) & np.isfinite(rest).all(axis=0)
        use[use] &= np.ptp(rest[:, use], axis=0) > 0.0
        if len(rest) < 3 or use.sum() < channels:
            continue
        rest, here = rest[:, use], table[row, use]
        spread = rest.std(axis=0)
        near = np.minimum(0.75 * step[use] + 0.02 * spread, share * spread)
        for name, statistic in STATISTICS.items():
            extreme = name.endswith("values")
            if extreme and (len(rest) < 5 or use.sum() < channels + 1):
                continue
            room = 1e-9 if extreme else near
            if (np.abs(here - statistic(rest)) <= room + 1e-9).all():
                found[row] = name
        if found:
            break
    return found
