"""Files that would take the machine's memory or time if they were read before they are looked at."""

from __future__ import annotations

import io
import os
import re
import socket
import struct
import zipfile
from pathlib import Path

from tests.shots.reader.xlsx import workbook

HEAD = ["shot", "ball speed (mph)", "launch (deg)", "spin (rpm)", "carry (yd)"]
SHOTS: list[list[object]] = [HEAD, *([i, 150.0 + i, 12.0, 2600.0, 250.0] for i in range(1, 9))]


def sheet(old: str, new: str) -> bytes:
    """Workbook of good shots with a piece of its sheet's XML replaced."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(workbook({"shots": SHOTS}))) as a, zipfile.ZipFile(out, "w", 8) as b:
        for name in a.namelist():
            text = a.read(name).decode()
            assert "sheet1" not in name or old in text
            b.writestr(name, text.replace(old, new) if name.endswith("sheet1.xml") else text)
    return out.getvalue()


def stray(place: str = "XFD1048576") -> bytes:
    """A cell far from the table."""
    row = int(re.sub("[A-Z]", "", place))
    return sheet("</sheetData>", f'<row r="{row}"><c r="{place}"><v>1</v></c></row></sheetData>')


def bomb(megabytes: int = 150, declared: int | None = None) -> bytes:
    """A sheet that unpacks to so much; ``declared`` is the size that the directory gives instead."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(workbook({"shots": SHOTS}))) as a, zipfile.ZipFile(out, "w", 8) as b:
        for name in a.namelist():
            if not name.endswith("sheet1.xml"):
                b.writestr(name, a.read(name))
        with b.open("xl/worksheets/sheet1.xml", "w") as stream:
            stream.write(b"<worksheet><sheetData>")
            for _ in range(megabytes):
                stream.write(b" " * 1_000_000)
            stream.write(b"</sheetData></worksheet>")
        true = b.getinfo("xl/worksheets/sheet1.xml").file_size
    data = out.getvalue()
    return data if declared is None else data.replace(struct.pack("<L", true), struct.pack("<L", declared))


def make(folder: Path) -> dict[str, Path]:
    """Write one of each into a folder."""
    files = {
        "stray.xlsx": stray(),
        "bomb.xlsx": bomb(),
        "liar.xlsx": bomb(declared=900),
        "line.csv": b"a," * 15_000_000,
        "large.csv": b"\n" * 40_000_000,
        "wide.csv": b",".join(b"c%d" % i for i in range(3000)) + b"\n",
        "long.csv": (",".join(HEAD) + "\n").encode() + b"1,150,12,2600,250\n" * 500_000,
        "records.json": b'{"' + b'":0,"'.join(b"k%d" % i for i in range(1900))
        + b'":0,"a":[' + b",".join([b'{"b":[' + b",".join([b"{}"] * 500) + b"]}"] * 500) + b"]}",
        "lists.json": b"[" + b"[]," * 2_000_000 + b"[]]",
    }  # fmt: skip
    found = {}
    for name, data in files.items():
        found[name] = folder / name
        found[name].write_bytes(data)
    (folder / "folder.csv").mkdir()
    os.mkfifo(folder / "pipe.csv")
    with socket.socket(socket.AF_UNIX) as one:
        one.bind(os.path.relpath(folder / "socket.csv"))
    more = [folder / n for n in ("folder.csv", "pipe.csv", "socket.csv")]
    return found | {p.name: p for p in more} | {"zero": Path("/dev/zero")}
