"""Letters three lines high, for a line that is read from three metres."""

from __future__ import annotations

_ROWS: dict[str, tuple[int, ...]] = {
    "A": (2, 5, 7, 5, 5), "B": (6, 5, 6, 5, 6), "C": (3, 4, 4, 4, 3), "D": (6, 5, 5, 5, 6),
    "E": (7, 4, 6, 4, 7), "F": (7, 4, 6, 4, 4), "G": (3, 4, 5, 5, 3), "H": (5, 5, 7, 5, 5),
    "I": (7, 2, 2, 2, 7), "J": (1, 1, 1, 5, 2), "K": (5, 5, 6, 5, 5), "L": (4, 4, 4, 4, 7),
    "M": (5, 7, 7, 5, 5), "N": (6, 5, 5, 5, 5), "O": (2, 5, 5, 5, 2), "P": (6, 5, 6, 4, 4),
    "Q": (2, 5, 5, 7, 3), "R": (6, 5, 6, 5, 5), "S": (3, 4, 2, 1, 6), "T": (7, 2, 2, 2, 2),
    "U": (5, 5, 5, 5, 7), "V": (5, 5, 5, 5, 2), "W": (5, 5, 7, 7, 5), "X": (5, 5, 2, 5, 5),
    "Y": (5, 5, 2, 2, 2), "Z": (7, 1, 2, 4, 7), "0": (7, 5, 5, 5, 7), "1": (2, 6, 2, 2, 7),
    "2": (6, 1, 2, 4, 7), "3": (6, 1, 2, 1, 6), "4": (5, 5, 7, 1, 1), "5": (7, 4, 6, 1, 6),
    "6": (3, 4, 7, 5, 7), "7": (7, 1, 2, 2, 2), "8": (7, 5, 7, 5, 7), "9": (7, 5, 7, 1, 6),
    "+": (0, 2, 7, 2, 0), "-": (0, 0, 7, 0, 0), "/": (1, 1, 2, 4, 4), ".": (0, 0, 0, 0, 2),
    "?": (6, 1, 2, 0, 2), " ": (0, 0, 0, 0, 0),
}  # fmt: skip
"""Five rows of three pixels for each letter, the highest bit to the left."""
_HALVES = {(0, 0): " ", (1, 0): "▀", (0, 1): "▄", (1, 1): "█"}


def big(words: str) -> tuple[str, str, str]:
    """Words in three lines; a letter is four columns wide, what has no picture becomes a blank."""
    rows: list[str] = []
    for top in (0, 2, 4):
        cells = []
        for letter in words.upper():
            picture = (*_ROWS.get(letter, _ROWS[" "]), 0)
            for bit in (4, 2, 1):
                cells.append(_HALVES[int(bool(picture[top] & bit)), int(bool(picture[top + 1] & bit))])
            cells.append(" ")
        rows.append("".join(cells))
    return rows[0], rows[1], rows[2]
