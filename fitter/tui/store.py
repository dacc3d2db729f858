"""The bench on disk: one small file, written whole or not at all, so that quitting never loses work."""

from __future__ import annotations

import json
import os
import tempfile
from dataclasses import asdict, fields
from pathlib import Path
from typing import Any

from fitter.conditions import Conditions
from fitter.tui.bench import Bench, Choice, Steps, Typed, Work

VERSION = 1


def folder() -> Path:
    """Folder of saved benches: ``$XDG_STATE_HOME/fitter``, else ``~/.local/state/fitter``."""
    base = os.environ.get("XDG_STATE_HOME")
    return (Path(base) if base else Path.home() / ".local" / "state") / "fitter"


def path(name: str) -> Path:
    """File of a session's name."""
    return folder() / f"bench-{name}.json"


def save(work: Work, file: Path) -> None:
    """Write the work atomically.

    Raises
    ------
    OSError
        If the folder cannot be written.
    """
    file.parent.mkdir(parents=True, exist_ok=True)
    data = {
        "version": VERSION,
        "at": work.at,
        "light": work.light,
        "benches": [asdict(b) for b in work.benches],
    }
    handle, temporary = tempfile.mkstemp(prefix=file.name, dir=file.parent)
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as stream:
            json.dump(data, stream, indent=1, ensure_ascii=False)
        os.replace(temporary, file)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise


def load(file: Path) -> Work | None:
    """Read saved work; None if there is none or it cannot be used (then the file is kept beside)."""
    try:
        data = json.loads(file.read_text(encoding="utf-8"))
        benches = tuple(_bench(b) for b in data["benches"])
        if data["version"] != VERSION or not benches:
            raise ValueError(data["version"])
        return Work(benches, int(data["at"]) % len(benches), light=bool(data.get("light", False)))
    except FileNotFoundError:
        return None
    except (OSError, ValueError, KeyError, TypeError):
        try:
            os.replace(file, file.with_suffix(".unread"))
        except OSError:
            return None
        return None


def _tuples(value: Any) -> Any:
    return tuple(_tuples(v) for v in value) if isinstance(value, list) else value


def _bench(data: dict[str, Any]) -> Bench:
    known = {f.name for f in fields(Bench)}
    plain = {k: _tuples(v) for k, v in data.items() if k in known}
    for name in ("conditions", "measured"):
        # Saved work of version 0.1.0 has a state of the face, which changed nothing.
        plain[name] = Conditions(**{k: v for k, v in data[name].items() if k != "face"})
    plain["steps"] = Steps(**data["steps"])
    plain["typed"] = tuple(Typed(_tuples(t["values"]), t["build"]) for t in data["typed"])
    plain["chosen"] = Choice(**data["chosen"]) if data["chosen"] else None
    return Bench(**plain)
