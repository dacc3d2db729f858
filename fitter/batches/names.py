"""Names of files made from what players wrote: they can neither leave their folder nor meet another's."""

from __future__ import annotations

import unicodedata

LONGEST = 80
"""Bytes of a name; file systems take 255, and a suffix and a counter follow."""
RESERVED = {"con", "prn", "aux", "nul", "conin$", "conout$"} | {
    f"{port}{k}" for port in ("com", "lpt") for k in "0123456789¹²³"
}
"""Devices of one operating system, with whatever suffix."""


def safe_name(words: str) -> str:
    """Name of a file without a folder, a suffix, a device or a hidden file in it.

    Examples
    --------
    >>> safe_name("../../etc/passwd"), safe_name("CON"), safe_name(" P 7 "), safe_name("")
    ('etc_passwd', '_CON', 'P_7', 'player')
    """
    plain = unicodedata.normalize("NFC", words)
    marked = "".join(
        c if c.isalnum() or unicodedata.category(c) in ("Mn", "Mc") or c == "-" else "_" for c in plain
    )
    name = "_".join(filter(None, marked.split("_"))).lstrip("-")
    while len(name.encode("utf-8", "replace")) > LONGEST:
        name = name[:-1]
    name = name or "player"
    return f"_{name}" if name.casefold() in RESERVED else name


class Names:
    """Names given so far; the second of the same, in any case, gets a counter."""

    def __init__(self) -> None:
        self._taken: set[str] = set()

    def give(self, words: str) -> str:
        """Return a name that nobody else has."""
        name = base = safe_name(words)
        counter = 1
        while unicodedata.normalize("NFKC", name).casefold() in self._taken:
            counter += 1
            name = f"{base}-{counter}"
        self._taken.add(unicodedata.normalize("NFKC", name).casefold())
        return name
