"""Run the model on every published figure and write report.md: ``python -m reference.report``.

``python -m reference.report --pictures`` draws the pictures again too (matplotlib).
"""

from __future__ import annotations

import sys
from collections.abc import Iterable
from pathlib import Path

from fitter.base.files import write_whole
from reference import model_delivery, model_flight, model_strike
from reference.figures import Figure, Variants, load

TABLES = {
    "flight": "Air, ball, flight, wind and ground",
    "impact": "Strike",
    "delivery": "Shaft, club, arc, trials with players",
}
REPORT = Path(__file__).parent / "report.md"
MODULES = (model_flight, model_strike, model_delivery)
PICTURES = {
    "coefficients.png": "Drag and lift of the modern laws, and the means of US 6,186,002",
    "spin.png": "Carry by spin at 170 mph and 10.5 deg: the laws disagree in sign",
    "points.png": "Robot and tour points: model against published",
    "run.png": "Run by landing angle: three turfs by the form of Biber et al., and Penner's green",
}


def digits(value: float) -> str:
    """Four significant figures, plain."""
    return f"{value:.4g}" if abs(value) < 1e5 else f"{value:.0f}"


def verdict(figure: Figure, values: Variants) -> str:
    """Say whether the judged variant holds: within, miss, or shown only."""
    inside = figure.holds(next(iter(values.values())))
    if not figure.counts:
        return "agrees" if inside else "differs"
    return "within" if inside else "MISS"


def row(figure: Figure, values: Variants) -> str:
    """One line of a table."""
    first = next(iter(values.values()))
    others = "; ".join(f"{k} {digits(v)}" for k, v in list(values.items())[1:])
    cells = (
        figure.id,
        f"{figure.printed} {figure.unit}",
        digits(figure.room),
        digits(first),
        digits(figure.difference(first)),
        verdict(figure, values),
        figure.letter,
        others,
    )
    return "| " + " | ".join(cells) + " |"


def build() -> str:
    """Text of the report, from a fresh run."""
    parts: list[str] = []
    judged: list[bool] = []
    misses: list[str] = []
    sources: dict[str, None] = {}
    for name, title in TABLES.items():
        parts += [f"## {title}", ""]
        section = ""
        for figure in load(name):
            values = figure.compute()
            if figure.section != section:
                section = figure.section
                parts += [
                    "",
                    f"### {section}",
                    "",
                    "| figure | published | room | model | beyond | verdict | standing | other variants |",
                    "|---|---|---|---|---|---|---|---|",
                ]
            parts.append(row(figure, values))
            sources[figure.citation] = None
            says = verdict(figure, values)
            if figure.counts:
                judged.append(says == "within")
            if says in ("MISS", "differs"):
                why = figure.remark or "not explained"
                misses.append(f"- `{figure.id}` ({figure.letter}, {says}): {why}.")
        parts.append("")
    share = 100.0 * sum(judged) / len(judged)
    head = [
        "# The model against what is published",
        "",
        "Made by `python -m reference.report`; the figures and the room that each may differ by stand in",
        "`reference/tables/`. Standing: R read in the source, Q quoted, C computed from stated inputs,",
        "M from memory, T common practice. Only R and Q rows that are not left out by name count. The value",
        "of the model is the blend of the modern laws, or the leading spin hypothesis; single laws and the",
        "rival stand beside it. `beyond` is the distance to the published value or range.",
        "",
        f"**{sum(judged)} of {len(judged)} counted rows lie within their room: {share:.1f} %.**",
        "",
        "Every miss and every difference:",
        "",
        *misses,
        "",
        *(f"![{words}](pictures/{name})\n\n{words}.\n" for name, words in PICTURES.items()),
    ]
    return "\n".join([*head, *parts, "## Sources", "", *(f"- {s}" for s in sources), ""])


def main(words: Iterable[str]) -> None:
    """Write the report, and the pictures if asked."""
    write_whole(REPORT, build())
    print(f"wrote {REPORT}")
    if "--pictures" in words:
        from reference import pictures

        pictures.draw(REPORT.parent / "pictures")


if __name__ == "__main__":
    main(sys.argv[1:])
