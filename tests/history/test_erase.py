"""Erased means erased: bytes are searched, in the file and beside it."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitter.base.errors import FitterError, InputError
from fitter.history.erase import erase, sweep
from fitter.history.records import Card, Player, Visit, digest
from fitter.history.store import Store
from tests.history.made import fitting, outcome, player, visit

CODE = "Quillfeather9"
SECRETS = (CODE.encode(), CODE.casefold().encode(), b"sore shoulder", b"mystery-log-bytes", b"unlikely card")


def fill(file: Path) -> None:
    with Store(file) as store:
        who = Player(code=CODE, hand="left", health={"pain": "sore shoulder"})
        mine = [visit(CODE, k) for k in range(30)]
        card = Card(player=CODE, digest=digest("c"), day="2026-01-01", name="c.toml", text="# unlikely card")
        store.remember(who, [*mine, fitting(CODE, 1), outcome(CODE, 1, 3.0), card])
        # Logs are packed, and a packed one tells nothing to a search: this one is kept as it is.
        entry = store.db.execute("SELECT id FROM entry WHERE digest = ?", (mine[0].digest,)).fetchone()[0]
        store.db.execute("INSERT INTO log VALUES (?, ?)", (entry, b"mystery-log-bytes" * 500))
        for k in range(30):
            store.remember(player(f"M{k}"), [visit(f"M{k}", 1)])
        # What was changed before leaves no trace either.
        store.write_player(Player(code=CODE, hand="left", health={"pain": "sore shoulder, worse"}))


def traces(folder: Path) -> list[tuple[str, bytes]]:
    found = {f.name: f.read_bytes() for f in folder.rglob("*") if f.is_file()}
    return [(name, s) for name, raw in found.items() for s in SECRETS if s in raw]


def test_no_byte_of_an_erased_player_is_left(tmp_path: Path) -> None:
    fill(tmp_path / "history.sqlite")
    assert {s for _, s in traces(tmp_path)} >= {CODE.encode(), b"sore shoulder", b"mystery-log-bytes"}
    with Store(tmp_path / "history.sqlite") as store:
        assert erase(store, CODE.upper()) == {"visit": 30, "fitting": 1, "outcome": 1, "card": 1}
        assert traces(tmp_path) == []
        assert len(store.players()) == 30
        assert len(store.entries(Visit)) == 30
    assert traces(tmp_path) == []


def test_who_is_not_there_cannot_be_erased(tmp_path: Path) -> None:
    fill(tmp_path / "history.sqlite")
    with Store(tmp_path / "history.sqlite") as store:
        with pytest.raises(InputError, match="No player"):
            erase(store, "Somebody")
        assert len(store.players()) == 31


def test_a_reader_who_is_in_the_way_is_told_and_a_second_try_ends_it(tmp_path: Path) -> None:
    file = tmp_path / "history.sqlite"
    fill(file)
    with Store(file) as store:
        with Store(file, read_only=True) as reader:
            reader.db.execute("BEGIN")
            reader.players()
            with pytest.raises(FitterError, match="traces may be left"):
                erase(store, CODE)
            reader.db.execute("COMMIT")
        sweep(store)
    assert traces(tmp_path) == []
