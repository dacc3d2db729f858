"""Finished jobs on disk, one file each: what a batch that was stopped need not do again."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Self

from fitter.base.files import sweep, write_whole
from fitter.batches.rows import OptionRow, Outcome, PlayerRow

_NAME = re.compile(r"^[0-9a-f]{64}\.json$")


class Journal:
    """Folder of finished jobs, named by their keys; nothing else in it is touched.

    It belongs to a batch that holds its output, see `fitter.base.files.hold`.

    Parameters
    ----------
    folder : Path
        Made when the first job is kept.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    @classmethod
    def of(cls, out: Path) -> Self:
        """Journal of a batch, beside its output."""
        return cls(out.with_name(f"{out.name}.part"))

    def load(self, key: str) -> Outcome | None:
        """Outcome of a finished job, without its sheet; None if it is not there or not whole."""
        try:
            data = json.loads((self.folder / f"{key}.json").read_bytes())
            return Outcome(PlayerRow(**data["row"]), tuple(OptionRow(**o) for o in data["options"]))
        except (OSError, ValueError, TypeError, KeyError):
            return None

    def keep(self, key: str, outcome: Outcome) -> None:
        """Write an outcome; it is there as a whole or not at all."""
        self.folder.mkdir(parents=True, exist_ok=True)
        data = {"row": vars(outcome.row), "options": [vars(o) for o in outcome.options]}
        write_whole(self.folder / f"{key}.json", json.dumps(data, allow_nan=False), tidy=False)

    def __len__(self) -> int:
        """Finished jobs in the folder."""
        return len(self._files())

    def remove(self) -> None:
        """Remove the finished jobs, and the folder if nothing else is in it."""
        sweep(self.folder, older_s=0.0)
        for file in self._files():
            file.unlink(missing_ok=True)
        try:
            self.folder.rmdir()
        except OSError:
            return

    def _files(self) -> list[Path]:
        if not self.folder.is_dir():
            return []
        return [f for f in self.folder.iterdir() if _NAME.match(f.name)]
