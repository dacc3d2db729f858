"""The smallest workbook that a spreadsheet would open: one part a sheet, text inline."""

import io
import zipfile
from xml.sax.saxutils import escape

_TYPES = (
    '<?xml version="1.0"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Override PartName="/xl/workbook.xml" ContentType='
    '"application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/>{}</Types>'
)
_SHEET_TYPE = (
    '<Override PartName="/xl/worksheets/sheet{}.xml" ContentType='
    '"application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/>'
)
_RELS = (
    '<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    "{}</Relationships>"
)
_REL = (
    '<Relationship Id="rId{}" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/{}"'
    ' Target="{}"/>'
)
_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"


def workbook(sheets: dict[str, list[list[object]]]) -> bytes:
    """Bytes of a workbook: numbers as numbers, None as no cell, everything else as text."""
    out = io.BytesIO()
    n = len(sheets)
    with zipfile.ZipFile(out, "w") as z:

        def add(name: str, text: str) -> None:
            # A fixed date keeps the bytes the same from run to run.
            z.writestr(zipfile.ZipInfo(name, (2024, 1, 1, 0, 0, 0)), text)

        add("[Content_Types].xml", _TYPES.format("".join(_SHEET_TYPE.format(i + 1) for i in range(n))))
        add("_rels/.rels", _RELS.format(_REL.format(1, "officeDocument", "xl/workbook.xml")))
        rels = "".join(_REL.format(i + 1, "worksheet", f"worksheets/sheet{i + 1}.xml") for i in range(n))
        add("xl/_rels/workbook.xml.rels", _RELS.format(rels))
        names = "".join(
            f'<sheet name="{escape(name)}" sheetId="{i + 1}" r:id="rId{i + 1}"/>'
            for i, name in enumerate(sheets)
        )
        add(
            "xl/workbook.xml",
            f'<?xml version="1.0"?><workbook xmlns="{_MAIN}" xmlns:r='
            f'"http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets>{names}</sheets></workbook>',
        )
        for i, rows in enumerate(sheets.values()):
            body = "".join(f'<row r="{r}">{_cells(row, r)}</row>' for r, row in enumerate(rows, 1) if row)
            add(
                f"xl/worksheets/sheet{i + 1}.xml",
                f'<?xml version="1.0"?><worksheet xmlns="{_MAIN}"><sheetData>{body}</sheetData></worksheet>',
            )
    return out.getvalue()


def _cells(row: list[object], r: int) -> str:
    out = []
    for c, value in enumerate(row):
        place = f"{chr(65 + c % 26) if c < 26 else chr(64 + c // 26) + chr(65 + c % 26)}{r}"
        if value is None or value == "":
            continue
        if isinstance(value, int | float):
            out.append(f'<c r="{place}"><v>{value!r}</v></c>')
        else:
            out.append(f'<c r="{place}" t="inlineStr"><is><t>{escape(str(value))}</t></is></c>')
    return "".join(out)
