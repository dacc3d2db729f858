"""Corrections of header words, kept per shop in a small TOML file."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path

from fitter.base.files import write_whole
from fitter.base.sources import toml
from fitter.errors import InputError, Problem
from fitter.shots import headers

_HEAD = "# Header words of this shop's logs and the channel that each stands for; '' leaves a column out.\n"
_DO = "Write lines such as 'VL angle' = 'launch_deg' under [columns]."


def parse_pairs(pairs: list[str]) -> dict[str, str]:
    """Read command-line corrections such as 'Their header=launch_deg'.

    Raises
    ------
    InputError
        With every one that has no '='.
    """
    problems = [
        Problem("--map", repr(p), "'Their header=channel'", "Write an equals sign between the two.")
        for p in pairs
        if "=" not in p or not p.split("=")[0].strip()
    ]
    if problems:
        raise InputError("A correction of a column cannot be read.", problems)
    # The header may itself hold an equals sign, as in 'Direction (+ = left)'; a channel never does.
    return {p.rpartition("=")[0].strip(): p.rpartition("=")[2].strip() for p in pairs}


def load(path: str | Path) -> dict[str, str]:
    """Read the corrections of a shop; none if the file does not exist yet.

    Raises
    ------
    InputError
        If the file is not as `save` writes it.
    """
    path = Path(path)
    if not path.exists():
        return {}
    raw = toml(path, "TOML with a table [columns]")
    table = raw.pop("columns", {})
    if not isinstance(table, dict):
        raise InputError(
            f"{path} cannot be read.", [Problem(str(path), repr(table), "a table [columns]", _DO)]
        )
    problems = [Problem(str(path), repr(k), "a table [columns] and nothing else", _DO) for k in raw]
    problems += [
        Problem(f"{path} [columns]", f"{k!r} = {v!r}", "the name of a channel, or ''", _DO)
        for k, v in table.items()
        if not isinstance(v, str)
    ]
    if problems:
        raise InputError(f"{path} has corrections that cannot be read.", problems)
    return dict(table)


def save(path: str | Path, corrections: Mapping[str, str]) -> None:
    """Add corrections to the file of a shop, whole or not at all; a header that stands there is replaced.

    Lines of remarks are kept, at its head.

    Raises
    ------
    InputError
        If the file is not as this writes it, or cannot be written.
    """
    path = Path(path)
    new = {headers.plain(k) for k in corrections}
    kept = {k: v for k, v in load(path).items() if headers.plain(k) not in new} | dict(corrections)
    lines = [f"{_quoted(k)} = {_quoted(v)}\n" for k, v in sorted(kept.items())]
    head = path.read_text(encoding="utf-8") if path.exists() else _HEAD
    remarks = "".join(line for line in head.splitlines(keepends=True) if line.startswith("#"))
    path.parent.mkdir(parents=True, exist_ok=True)
    write_whole(path, remarks + "\n[columns]\n" + "".join(lines))


def _quoted(text: str) -> str:
    """Quote as a TOML basic string, whose escapes are JSON's."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
