"""Hostile files are refused before they are read: counted in bytes taken and in calls of decoders."""

from __future__ import annotations

import io
import os
import sys
import threading
import zipfile
from pathlib import Path
from typing import Any

import pytest

from fitter.base import sources
from fitter.base.errors import InputError
from fitter.batches.batch import batch
from fitter.batches.rows import BROKEN
from fitter.kit.card import read_card
from fitter.kit.inventory import Kit
from fitter.shots.reader import columns, grids, intake, workbooks
from tests.base import hostile

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="needs named pipes and sockets")


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    return hostile.make(tmp_path_factory.mktemp("hostile"))


FOUND = {
    "stray.xlsx": "1,048,576 rows and 16,384 columns, since something stands in cell XFD1048576",
    "bomb.xlsx": "150 MB when unpacked",
    "liar.xlsx": "more than 128 MB when unpacked",
    "line.csv": "line 1: found 30,000,000 characters",
    "large.csv": "40 MB",
    "wide.csv": "3,000 columns",
    "long.csv": "more than 20,000 rows",
    "records.json": "1,900 columns",
    "lists.json": "2,000,002 records and arrays",
    "folder.csv": "a folder",
    "pipe.csv": "a named pipe",
    "socket.csv": "a socket",
    "zero": "a device",
}


@pytest.mark.parametrize("name", FOUND)
def test_each_is_refused_with_what_was_found(
    files: dict[str, Path], name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def never(*_: object, **__: object) -> None:
        raise AssertionError("the workbook was decoded")

    monkeypatch.setattr("python_calamine.CalamineWorkbook.from_filelike", never, raising=True)
    with pytest.raises(InputError) as caught:
        intake.read_all(files[name])
    assert FOUND[name] in str(caught.value)
    assert caught.value.problems[0].do


def test_every_reader_has_the_limits(files: dict[str, Path], tmp_path: Path) -> None:
    def kit(path: Path) -> Kit:
        shop = tmp_path / path.name.replace(".", "-")
        shop.mkdir()
        (shop / "heads.csv").symlink_to(path)
        return Kit.load(shop)

    for reader in (read_card, columns.load):
        for name, found in (("pipe.csv", "a named pipe"), ("zero", "a device"), ("large.csv", "40 MB")):
            with pytest.raises(InputError, match=found):
                reader(files[name])
    for name, found in (
        ("large.csv", "40 MB"),
        ("line.csv", "30,000,000 characters"),
        ("wide.csv", "3,000 columns"),
    ):
        with pytest.raises(InputError, match=found):
            kit(files[name])
    deep = tmp_path / "deep.toml"
    deep.write_text("a = " + "[" * 100_000, encoding="utf-8")
    with pytest.raises(InputError, match="nested too deep"):
        read_card(deep)


def test_an_endless_stream_is_read_up_to_the_limit_and_no_further() -> None:
    class Endless(io.RawIOBase):
        taken = 0

        def read(self, size: int = -1, /) -> bytes:
            assert size > 0
            self.taken += size
            return b"x" * size

    stream: Any = Endless()
    with pytest.raises(InputError, match="more than 32 MB"):
        sources.take(stream, "a stream")
    assert stream.taken == sources.limit("file_bytes") + 1


def test_a_pipe_of_the_shell_is_read() -> None:
    read, write = os.pipe()
    text = "\n".join(",".join(map(str, row)) for row in hostile.SHOTS)

    def fill() -> None:
        with open(write, "w", encoding="utf-8") as stream:
            stream.write(text)

    writer = threading.Thread(target=fill)
    writer.start()
    (session,) = intake.read_all(f"/dev/fd/{read}")
    writer.join()
    os.close(read)
    assert len(session) == 8


def test_a_bomb_is_unpacked_up_to_the_limit_and_no_further(monkeypatch: pytest.MonkeyPatch) -> None:
    bomb, taken = hostile.bomb(declared=900), 0
    before = zipfile.ZipExtFile.read

    def counted(self: zipfile.ZipExtFile, n: int | None = -1) -> bytes:
        nonlocal taken
        assert n is not None
        assert 0 < n <= 1 << 20
        part = before(self, n)
        taken += len(part)
        return part

    monkeypatch.setattr(zipfile.ZipExtFile, "read", counted)
    with pytest.raises(InputError):
        workbooks.check(bomb, "bomb.xlsx")
    assert sources.limit("unpacked_bytes") < taken <= sources.limit("unpacked_bytes") + (1 << 20)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("</sheetData>", "<row r='1048576'><c r='XFD1048576' t='n'><v>1</v></c></row></sheetData>"),
        ("</sheetData>", '<row r="1048576"><c s="0" r="$XFD$1048576"><v>1</v></c></row></sheetData>'),
        ("</sheetData>", '<row r="1048576"><c t="inlineStr"><is><t>x</t></is></c></row></sheetData>'),
        ("<sheetData>", '<sheetData><row r="30000"><c><v>1</v></c></row>'),
    ],
)
def test_a_far_cell_is_seen_however_it_is_written(old: str, new: str) -> None:
    with pytest.raises(InputError, match=r"since something stands in cell [A-Z]+\d+"):
        grids.parse(hostile.sheet(old, new), "book.xlsx")


@pytest.mark.parametrize(
    ("old", "new"),
    [
        # What a sheet declares is not its extent, and a cell with a look and no content is none.
        ("<sheetData>", '<dimension ref="A1:XFD1048576"/><sheetData>'),
        ("</sheetData>", '<row r="1048576"><c r="XFD1048576" s="0"/></row></sheetData>'),
    ],
)
def test_a_good_table_in_a_sheet_that_looks_large_is_read(old: str, new: str) -> None:
    data = hostile.sheet(old, new)
    assert workbooks.check(data, "book.xlsx") == 9 * 5
    (grid,) = grids.parse(data, "book.xlsx")
    assert len(grid.rows) == 9


def test_entities_and_other_packed_files_are_refused() -> None:
    laughs = hostile.sheet("<worksheet", '<!DOCTYPE w [<!ENTITY a "aaaa">]><worksheet')
    with pytest.raises(InputError, match="a document type"):
        grids.parse(laughs, "book.xlsx")
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("content.xml", "<table-row number-columns-repeated='16384'/>")
    with pytest.raises(InputError, match="no xlsx workbook"):
        grids.parse(out.getvalue(), "book.ods")


def test_a_batch_gives_each_one_line(files: dict[str, Path], tmp_path: Path) -> None:
    from tests.batches import shop

    shop.kit(tmp_path / "kit")
    named = [path for name, path in files.items() if name != "folder.csv"]
    done = batch(named, tmp_path / "kit", out=tmp_path / "out.csv", draws=shop.DRAWS)
    assert [(r.session, r.status) for r in done.rows] == [(p.name, BROKEN) for p in named]
    assert all(FOUND[r.session].partition(": found ")[2] in r.reason for r in done.rows)
