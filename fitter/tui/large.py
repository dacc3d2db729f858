"""Large type: letters and figures of three by five squares, drawn with half blocks."""

from __future__ import annotations

ROWS, COLUMNS = 5, 3
"""Squares of a letter."""
_LETTERS = {
    "0": "75557", "1": "26227", "2": "71747", "3": "71717", "4": "55711", "5": "74717", "6": "74757",
    "7": "71122", "8": "75757", "9": "75717", "A": "25755", "B": "65656", "C": "74447", "D": "65556",
    "E": "74647", "F": "74644", "G": "74557", "H": "55755", "I": "72227", "J": "11157", "K": "55655",
    "L": "44447", "M": "57755", "N": "75555", "O": "75557", "P": "75744", "Q": "75573", "R": "65655",
    "S": "34216", "T": "72222", "U": "55557", "V": "55552", "W": "55775", "X": "55255", "Y": "55222",
    "Z": "71247", "-": "00700", "+": "02720", ".": "00002", ",": "00024", "/": "11244", ":": "02020",
    " ": "00000", "%": "51245", "?": "71202", "(": "24442", ")": "21112",
}  # fmt: skip
"""Rows from the top, an octal digit each: its bits are the squares of a row."""
_BLOCKS = " ▄▀█"
"""By the upper and the lower square of a cell."""


def width(text: str, scale: int = 1) -> int:
    """Cells of a text.

    Examples
    --------
    >>> width("312"), width("312", 2), width("")
    (11, 22, 0)
    """
    return max(len(text) * (COLUMNS + 1) - 1, 0) * scale


def height(scale: int = 1) -> int:
    """Rows of cells of a line of text."""
    return (ROWS * scale + 1) // 2


def fitting(text: str, room: int, most: int = 4) -> int:
    """Largest scale at which a text finds room, 0 if none does."""
    return next((k for k in range(most, 0, -1) if width(text, k) <= room), 0)


def draw(text: str, scale: int = 1) -> list[str]:
    """Rows of a text in large type; what has no letter stays free.

    Examples
    --------
    >>> draw("1")
    ['▄█ ', ' █ ', '▀▀▀']
    """
    letters = [_LETTERS.get(c, _LETTERS[" "]) for c in text.upper()]
    rows: list[list[bool]] = []
    for r in range(ROWS):
        squares: list[bool] = []
        for letter in letters:
            bits = int(letter[r], 8)
            squares += [bool(bits >> (COLUMNS - 1 - k) & 1) for k in range(COLUMNS)] + [False]
        rows += [[b for b in squares[:-1] for _ in range(scale)]] * scale
    if len(rows) % 2:
        rows.append([False] * len(rows[0]))
    return [
        "".join(_BLOCKS[2 * a + b] for a, b in zip(rows[k], rows[k + 1], strict=True))
        for k in range(0, len(rows), 2)
    ]
