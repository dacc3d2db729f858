"""The same sheet as Markdown, from the same dictionary."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import Any

_MARKUP = re.compile(r"([\\`*_{}\[\]<>#|~$@!&])")
_LEADING = re.compile(r"^(\s*)([-+=]|\d+[.)])(?=\s|$|[-+=])")


def markdown(content: dict[str, Any]) -> str:
    """Markdown of a sheet; a player's own words print literally.

    Parameters
    ----------
    content : dict
        See `fitter.sheet.content.content`.
    """
    d = content
    out = [f"# {literal(d['title'])}", "", *_facts(d["facts"]), ""]
    out += [f"## {literal(d['verdict']['label'])}", "", f"**{literal(d['verdict']['text'])}**", ""]
    if d["gain"] is not None:
        g = d["gain"]
        gain = f"{g['label']}: {g['text']} ({g['range']}). " if g["label"] else ""
        out += [literal(gain + g["more"]), ""]
    if d["chosen"] is not None:
        out += [_chosen(d["chosen"]), ""]
    if d["set_up"]:
        out += [literal(f"That is: {'; '.join(d['set_up'])}."), ""]
    out += _compare(d["compare"])
    out += _pattern(d["pattern"])
    if d["reasons"] is not None:
        r = d["reasons"]
        rows = [*r["rows"], ["together", "", r["sum"]]]
        out += [f"## {literal(r['title'])}", "", *table(["cause", "change", "gain"], rows, "lrr"), ""]
        out += [literal(r["laws"]), ""] if r["laws"] else []
    out += _tiers(d["tiers"])
    out += _build(d["build"])
    for title, items in (
        ("Trial", d["trial"]),
        ("What it will not do", d["will_not"]),
        ("What to measure next", d["next"]),
    ):
        out += _list(title, items)
    out += ["## What players ask", ""]
    for question, answer in d["questions"]:
        out += [f"**{literal(question)}** {literal(answer)}", ""]
    out += _list("Notes", d["notes"])
    out += ["## Conditions, cautions, sources", ""]
    for words in (d["conditions"], d["cautions"], f"{d['sources']} {d['version']}"):
        out += [literal(words), ""]
    if d["evidence"] is not None:
        out += _evidence(d["evidence"])
    return "\n".join(out).rstrip() + "\n"


def literal(text: str) -> str:
    """Text that Markdown prints as it stands.

    Examples
    --------
    >>> print(literal("#1 *Ace* <b>"), literal("- no list"))
    \\#1 \\*Ace\\* \\<b\\> \\- no list
    """
    escaped = _MARKUP.sub(r"\\\1", text)
    # A number, dash or plus at the start of a line would begin a list or a title.
    return _LEADING.sub(lambda m: f"{m[1]}{m[2][:-1]}\\{m[2][-1]}", escaped)


def table(heads: Sequence[str], rows: Iterable[Sequence[str]], sides: str) -> list[str]:
    """Lines of a table; one letter of `sides` a column, 'l' or 'r'."""

    def line(cells: Sequence[str]) -> str:
        return "| " + " | ".join(_cell(c) for c in cells) + " |"

    ruler = ["---:" if side == "r" else "---" for side in sides]
    return [line(heads), "| " + " | ".join(ruler) + " |", *map(line, rows)]


def _cell(text: str) -> str:
    # A dash alone or a sign before a number means nothing in a cell.
    return _MARKUP.sub(r"\\\1", text)


def _facts(facts: Sequence[Sequence[str]]) -> list[str]:
    return [f"- {literal(label)}: {literal(value)}" for label, value in facts]


def _chosen(c: dict[str, str]) -> str:
    said = f"Chosen: {c['what']}"
    said += f" in place of {c['instead']}" if c["instead"] else ""
    said += f" ({c['promise']})" if c["promise"] else ""
    return literal(said + (f": {c['why']}" if c["why"] else ""))


def _compare(c: dict[str, Any]) -> list[str]:
    columns = 4 if c["option"] else 2
    title = f"Present and {c['heads'][2]}" if c["option"] else "Present club"
    rows = [row[:columns] for row in c["rows"]]
    return [f"## {literal(title)}", "", *table(c["heads"][:columns], rows, "lrrr"[:columns]), ""]


def _pattern(p: dict[str, Any] | None) -> list[str]:
    if p is None:
        return []
    return [
        f"## Where balls finish at the aim ({literal(p['what'])})",
        "",
        *(f"- {literal(w)}" for w in p["words"]),
        "",
    ]


def _tiers(t: dict[str, Any]) -> list[str]:
    heads = ["tier", "option", f"gain {t['unit']}", "80 %", "side spread", "stock, price", "standing"]
    rows = [
        [
            f"{r['tier']} ({r['means']})", r["option"], r["gain"], r["range"], r["side"], r["stock"],
            "; ".join(w for w in (r["standing"], r["rules"]) if w),
        ]
        for r in t["rows"]
    ]  # fmt: skip
    return [f"## {literal(t['title'])}", "", *table(heads, rows, "llrrlll"), ""]


def _build(b: dict[str, Any]) -> list[str]:
    heads = ["figure", *b["heads"][1:]]
    rows = [[f"{row[0]} {row[-1]}".strip(), *row[1:-1], ""] for row in b["rows"]]
    out = [f"## {literal(b['title'])}", "", *table(heads, rows, "l" + "r" * (len(heads) - 2) + "l"), ""]
    out += [literal(b["note"]), ""]
    out += [f"{k}. {literal(s)}" for k, s in enumerate(b["steps"], 1)]
    return [*out, ""] if b["steps"] else out


def _list(title: str, items: Sequence[str]) -> list[str]:
    return [f"## {title}", "", *(f"- {literal(i)}" for i in items), ""] if items else []


def _evidence(e: dict[str, Any]) -> list[str]:
    shots = e["shots"]
    heads = [f"{h} {u}".strip() for h, u in zip(shots["heads"], shots["units"], strict=True)]
    out = [f"# {literal(e['title'])}", "", "## All shots", ""]
    out += [*table(heads, shots["rows"], "l" + "r" * (len(heads) - 1)), "", literal(shots["note"]), ""]
    out += _list("Flags", e["flags"])
    out += _list("Assumptions that mattered", e["assumptions"])
    out += _list("The named option by other objectives, more is better", e["beside"])
    out += _list("Where the present club's yards go, each cause alone", e["losses"])
    out += _list("What would turn the verdict", e["flips"])
    return [*out, *_list("Columns of the log", e["columns"])]
