"""Out as plain files and in again; a backup while others write."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from fitter.base.errors import InputError
from fitter.history import transfer
from fitter.history.records import KINDS, Kit, Visit
from fitter.history.store import Store
from tests.history.made import fitting, outcome, player, visit


@pytest.fixture
def shop(tmp_path: Path) -> Store:
    store = Store(tmp_path / "history.sqlite")
    kit = Kit(digest="k1", files={"heads.csv": b"code\n", "shafts.toml": b""})
    for code in ("M7", "M/7", "m_7"):
        one = visit(code, 1)
        one = type(one)(**{f: getattr(one, f) for f in one.__struct_fields__} | {"kit": "k1"})
        store.remember(
            player(code), [one, fitting(code, 1), outcome(code, 1, 2.0)], {one.digest: b"log"}, [kit]
        )
    return store


def everything(store: Store) -> object:
    rows = [store.entries(cls, p.code) for p in store.players() for cls in KINDS.values()]
    logs = [store.log(v.player, v.digest) for p in store.players() for v in store.entries(Visit, p.code)]
    return store.players(), rows, logs, store.kit("k1")


def test_what_is_exported_comes_in_again(shop: Store, tmp_path: Path) -> None:
    homes = transfer.export(shop, tmp_path / "out")
    assert len({h.name.casefold() for h in homes}) == 3
    with Store(tmp_path / "other.sqlite") as other:
        for home in homes:
            assert transfer.load(other, home)[1] == 3
            assert transfer.load(other, home)[1] == 0
        assert everything(other) == everything(shop)


def test_one_player_alone_is_exported(shop: Store, tmp_path: Path) -> None:
    (home,) = transfer.export(shop, tmp_path / "out", ["m7"])
    assert json.loads((home / "player.json").read_text())["player"]["code"] == "M7"
    with pytest.raises(InputError, match="is there"):
        transfer.export(shop, tmp_path / "out", ["M7"])
    with pytest.raises(InputError, match="No player"):
        transfer.export(shop, tmp_path / "out2", ["nobody"])


@pytest.mark.parametrize("data", [b"{", b"[]", b'{"version": 1}', b'{"version": 1, "player": {"code": 3}}'])
def test_a_damaged_export_is_refused_whole(shop: Store, tmp_path: Path, data: bytes) -> None:
    (home,) = transfer.export(shop, tmp_path / "out", ["M7"])
    (home / "player.json").write_bytes(data)
    with Store(tmp_path / "other.sqlite") as other:
        with pytest.raises(InputError, match="no exported player"):
            transfer.load(other, home)
        assert other.players() == []


def test_newer_exports_missing_logs_and_strangers_are_told(shop: Store, tmp_path: Path) -> None:
    (home,) = transfer.export(shop, tmp_path / "out", ["M7"])
    plain = json.loads((home / "player.json").read_text())
    with Store(tmp_path / "other.sqlite") as other:
        (home / "player.json").write_text(json.dumps(plain | {"version": 2}))
        with pytest.raises(InputError, match="newer fitter"):
            transfer.load(other, home)
        plain["visits"][0]["player"] = "Somebody"
        (home / "player.json").write_text(json.dumps(plain))
        next((home / "logs").iterdir()).unlink()
        with pytest.raises(InputError, match="Somebody") as caught:
            transfer.load(other, home)
        assert any("log of a visit" in p.allowed for p in caught.value.problems)
        assert other.players() == []


def test_a_backup_is_whole_and_stands_alone(shop: Store, tmp_path: Path) -> None:
    target = tmp_path / "away" / "copy.sqlite"
    target.parent.mkdir()
    assert transfer.backup(shop, target) == target.stat().st_size
    with Store(target, read_only=True) as copy:
        assert everything(copy) == everything(shop)
    assert [f.name for f in target.parent.iterdir()] == ["copy.sqlite"]
    with pytest.raises(InputError, match="onto itself"):
        transfer.backup(shop, shop.path)


def test_a_damaged_history_leaves_the_old_backup_and_other_files_are_kept(
    shop: Store, tmp_path: Path
) -> None:
    target, other = tmp_path / "copy.sqlite", tmp_path / "letter.txt"
    transfer.backup(shop, target)
    other.write_text("mine")
    with pytest.raises(InputError, match="overwrite something else"):
        transfer.backup(shop, other)
    assert other.read_text() == "mine"
    good = target.read_bytes()
    shop.db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    shop.close()
    raw = bytearray(shop.path.read_bytes())
    raw[8192 : len(raw)] = b"\xff" * (len(raw) - 8192)
    shop.path.write_bytes(bytes(raw))
    with (
        pytest.raises(InputError, match=r"damaged|cannot be used"),
        Store(shop.path, read_only=True) as broken,
    ):
        transfer.backup(broken, target)
    assert target.read_bytes() == good


def test_a_day_that_is_none_and_brackets_without_end_are_refused(shop: Store, tmp_path: Path) -> None:
    (home,) = transfer.export(shop, tmp_path / "out", ["M7", "m7"])
    plain = json.loads((home / "player.json").read_text())
    plain["visits"][0]["day"] = "yesterday"
    (home / "player.json").write_text(json.dumps(plain))
    with Store(tmp_path / "other.sqlite") as other:
        with pytest.raises(InputError, match="YYYY-MM-DD"):
            transfer.load(other, home)
        (home / "player.json").write_text("[" * 100_000)
        with pytest.raises(InputError, match="no exported player"):
            transfer.load(other, home)
