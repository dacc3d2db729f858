"""The file: what is written stays, what is there is not written twice, and faults are sentences."""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path

import msgspec
import pytest

from fitter.base.errors import InputError
from fitter.history import migrate
from fitter.history.records import KINDS, Fitting, Kit, Player, Visit, kind_of
from fitter.history.store import Store, usual_path
from tests.history.made import fitting, outcome, player, visit


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "shop" / "history.sqlite"


def test_what_is_remembered_is_read_back(file: Path) -> None:
    kit = Kit(digest="k1", files={"heads.csv": b"code\nH1\n", "shafts.csv": b"code\nS1\n"})
    first = [visit("M7", 1), fitting("M7", 1), outcome("M7", 1, 4.0)]
    with Store(file) as store:
        assert store.remember(player("M7"), first, {first[0].digest: b"shot,carry\n1,200\n"}, [kit]) == 3
    with Store(file, read_only=True) as store:
        assert store.players() == [player("M7")]
        assert [store.entries(type(e), "m7") for e in first] == [[e] for e in first]
        assert store.log("M7", first[0].digest) == b"shot,carry\n1,200\n"
        assert store.kit("k1") == kit
        assert store.kit("k2") is None
        assert store.counts() == {"M7": {"visit": 1, "fitting": 1, "outcome": 1}}


def test_nothing_is_recorded_twice(file: Path) -> None:
    with Store(file) as store:
        assert store.remember(player("M7"), [visit("M7", 1), visit("M7", 2)]) == 2
        assert store.remember(Player(code="m7", hand="left"), [visit("M7", 1), visit("M7", 3)]) == 1
        assert store.players() == [player("M7")]
        assert len(store.entries(Visit)) == 3


def test_a_decision_is_renewed_when_that_is_asked(file: Path) -> None:
    chosen = msgspec.structs.replace(fitting("M7", 1), chosen="keep", why="price")
    with Store(file) as store:
        store.remember(player("M7"), [fitting("M7", 1)])
        store.remember(player("M7"), [chosen])
        assert store.entries(Fitting)[0].chosen == ""
        store.remember(player("M7"), [chosen], renew=True)
        assert store.entries(Fitting) == [chosen]


def test_entries_come_by_day_then_as_they_were_added(file: Path) -> None:
    days = ["2026-05-01", "2026-01-01", "2026-05-01", "2026-03-01"]
    with Store(file) as store:
        store.remember(player("M7"), [visit("M7", k, day) for k, day in enumerate(days)])
        assert [v.log_name for v in store.entries(Visit, "M7")] == ["1.csv", "3.csv", "0.csv", "2.csv"]
        assert [v.log_name for v in store.entries(Visit, "M7", last=1)] == ["2.csv"]
        assert store.last_days() == {"M7": "2026-05-01"}


def test_a_block_that_fails_writes_nothing(file: Path) -> None:
    def broken() -> object:
        yield visit("M7", 1)
        raise RuntimeError("power")

    with Store(file) as store:
        with pytest.raises(RuntimeError):
            store.remember(player("M7"), broken())  # type: ignore[arg-type]
        assert store.players() == []
        with pytest.raises(RuntimeError), store.writing():  # noqa: PT012
            store.remember(player("M7"), [visit("M7", 1)])
            raise RuntimeError("power")
        assert store.players() == []


def test_nobody_is_found_by_a_wrong_name(file: Path) -> None:
    with Store(file) as store:
        with pytest.raises(InputError, match="none is remembered yet"):
            store.known("M7")
        store.write_player(player("M71"))
        with pytest.raises(InputError, match="allowed: M71"):
            store.known("M7")
        assert store.known("m71") == player("M71")


def test_every_entry_has_its_kind() -> None:
    assert all(kind_of(e) in KINDS for e in (visit("M7", 1), fitting("M7", 1), outcome("M7", 1, 1.0)))


def test_the_usual_place_is_the_platforms_folder_of_data(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", "/somewhere")
    assert usual_path().name == "history.sqlite"


def test_only_the_owner_may_read_it(file: Path) -> None:
    Store(file).close()
    assert os.name != "posix" or file.stat().st_mode & 0o077 == 0


# Faults


def test_to_read_what_is_not_there_is_refused(file: Path) -> None:
    with pytest.raises(InputError, match="Nothing is remembered yet"):
        Store(file, read_only=True)
    assert not file.exists()


@pytest.mark.parametrize("data", [b"not a database at all", b"SQLite format 3\x00" + b"\x00" * 20])
def test_a_file_of_another_kind_is_refused_and_left(file: Path, data: bytes) -> None:
    file.parent.mkdir()
    file.write_bytes(data)
    with pytest.raises(InputError, match="left as it is"):
        Store(file)
    assert file.read_bytes() == data


def test_another_programs_data_is_refused(file: Path) -> None:
    file.parent.mkdir()
    with sqlite3.connect(file) as db:
        db.execute("CREATE TABLE other (x)")
    db.close()
    with pytest.raises(InputError, match="another program's data"):
        Store(file)


def test_a_truncated_file_is_told(file: Path) -> None:
    with Store(file) as store:
        store.remember(player("M7"), [visit("M7", k) for k in range(200)])
    whole = file.read_bytes()
    file.write_bytes(whole[: len(whole) // 2])
    with pytest.raises(InputError, match="its end is missing"):
        Store(file)
    file.write_bytes(whole[:8192] + b"\xff" * (len(whole) - 8192))
    with pytest.raises(InputError, match=r"damaged|another kind|cannot be read"), Store(file) as store:
        store.entries(Visit)


def test_a_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="a folder"):
        Store(tmp_path)


def test_a_full_disk_is_a_sentence_and_writes_nothing(file: Path) -> None:
    with Store(file) as store:
        store.remember(player("M7"), [visit("M7", 1)])
        pages = store.db.execute("PRAGMA page_count").fetchone()[0]
        store.db.execute(f"PRAGMA max_page_count = {pages + 1}")
        with pytest.raises(InputError, match="no room on the disk"):
            store.remember(player("M8"), [visit("M8", 1)], {visit("M8", 1).digest: os.urandom(100_000)})
        assert store.players() == [player("M7")]
        store.db.execute("PRAGMA max_page_count = 100000")
        store.remember(player("M8"), [visit("M8", 1)])


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="permissions do not bind this user")
def test_a_read_only_folder(file: Path) -> None:
    with Store(file) as store:
        store.remember(player("M7"), [visit("M7", 1)])
    file.chmod(0o400)
    file.parent.chmod(0o500)
    try:
        with Store(file, read_only=True) as store:
            assert store.players() == [player("M7")]
        with pytest.raises(InputError, match=r"write-protected|cannot be opened"):
            Store(file)
    finally:
        file.parent.chmod(0o700)


def test_a_protected_file_is_read_and_not_written(file: Path) -> None:
    with Store(file) as store:
        store.remember(player("M7"), [visit("M7", 1)])
    with Store(file, read_only=True) as store:
        with pytest.raises(InputError, match="write-protected"):
            store.write_player(player("M8"))
        assert store.players() == [player("M7")]


# Schemas


def before(file: Path, steps: int) -> None:
    """A file as an older program wrote it."""
    file.parent.mkdir(parents=True)
    db = sqlite3.connect(file, isolation_level=None)
    for step in migrate.STEPS[:steps]:
        db.executescript(step)
    db.execute(f"PRAGMA application_id = {migrate.APPLICATION}")
    db.execute(f"PRAGMA user_version = {steps}")
    db.execute("INSERT INTO player (code, body) VALUES ('M7', ?)", (msgspec.json.encode(player("M7")),))
    body = msgspec.json.encode(visit("M7", 1))
    db.execute(
        "INSERT INTO entry (player, kind, digest, day, body) VALUES (1, 'visit', ?, '2026-03-14', ?)",
        (visit("M7", 1).digest, body),
    )
    db.close()


def test_the_first_schema_as_it_was_written_is_brought_up(tmp_path: Path) -> None:
    file = tmp_path / "old.sqlite"
    db = sqlite3.connect(file)
    db.executescript((Path(__file__).parent / "schema_1.sql").read_text(encoding="utf-8"))
    db.close()
    with Store(file) as store:
        assert migrate.version(store.db) == migrate.VERSION
        assert store.players() == [player("M7")]
        assert store.entries(Visit) == [visit("M7", 1)]
        store.remember(player("M7"), [visit("M7", 2)], kits=[Kit(digest="k", files={})])


@pytest.mark.parametrize("steps", range(1, migrate.VERSION))
def test_older_files_are_brought_up_or_refused_to_readers(file: Path, steps: int) -> None:
    before(file, steps)
    with pytest.raises(InputError, match=f"version {steps}"):
        Store(file, read_only=True)
    with Store(file) as store:
        assert store.entries(Visit) == [visit("M7", 1)]
    with Store(file, read_only=True) as store:
        assert store.players() == [player("M7")]


def test_a_step_that_fails_leaves_the_file_as_it_was(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before(file, 1)
    monkeypatch.setattr(migrate, "STEPS", (migrate.STEPS[0], "CREATE TABLE kit (x); SELECT nothing_such"))
    with pytest.raises(sqlite3.OperationalError):
        Store(file)
    monkeypatch.undo()
    with Store(file) as store:
        assert store.entries(Visit) == [visit("M7", 1)]


def test_a_newer_file_is_refused_and_left(file: Path) -> None:
    Store(file).close()
    with sqlite3.connect(file) as db:
        db.execute(f"PRAGMA user_version = {migrate.VERSION + 1}")
    db.close()
    data = file.read_bytes()
    for read_only in (True, False):
        with pytest.raises(InputError, match="Use the newer fitter"):
            Store(file, read_only=read_only)
    assert file.read_bytes() == data


def test_an_empty_file_is_a_history_that_begins(file: Path) -> None:
    file.parent.mkdir()
    file.touch()
    with pytest.raises(InputError, match="an empty file"):
        Store(file, read_only=True)
    with Store(file) as store:
        assert store.players() == []


def test_what_is_no_ordinary_file_and_what_lacks_a_table_is_refused(file: Path) -> None:
    if os.path.exists("/dev/null"):
        with pytest.raises(InputError, match="no ordinary file"):
            Store(Path("/dev/null"))
    Store(file).close()
    with sqlite3.connect(file) as db:
        db.execute("DROP TABLE kit")
    db.close()
    with pytest.raises(InputError, match="no table kit"):
        Store(file)
