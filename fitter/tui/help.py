"""The page of help: keys of the screen, keys everywhere, and what the signs mean."""

from __future__ import annotations

from fitter.tui.lines import Line, heading, line, paragraphs

KEYS = {
    "everywhere": (
        ("1 2 3 4 5", "Range, Shots, Why, Options, Sheet"),
        ("n", "next player"),
        ("b", "take a build in hand"),
        ("t", "type a shot"),
        ("x", "record what the player takes"),
        ("u", "undo the last change"),
        ("Tab", "next part of the screen"),
        ("Ctrl+P", "everything by name; dark or light"),
        ("q", "quit: all work is kept"),
    ),
    "range": (
        ("↑ ↓", "line"),
        ("- +", "step a value (also ← →)"),
        ("Enter", "type a value"),
        ("a", "add a player"),
    ),
    "shots": (
        ("v", "next picture"),
        ("Space", "set aside with a reason, or restore"),
        ("a", "give a shot to another build"),
        ("m", "place the strike mark: arrows or mouse, Enter"),
    ),
    "why": (("↑ ↓", "scroll"),),
    "options": (
        ("Enter b", "take the option in hand: new shots take it"),
        ("g", "bench steps, - and + there"),
        ("z", "clear the bench"),
        ("c", "compare: mark one, move to the other"),
        ("f", "filter: tier, kind of change, stock, rules"),
        ("p", "pin for a trial"),
        ("s", "every set-up of every club"),
    ),
    "sheet": (("x", "record the choice"), ("w", "print to a file")),
}
SIGNS = (
    ("├──●──┤", "80 % interval of a gain, and its mean; the line is the present club"),
    ("╎", "the gain that is worth its tier"),
    ("┐│┘", "not told apart from the best of those computed in full"),
    ("> H * c", "verdict, in hand, pinned, compared with"),
    ("◆", "what was measured with the build in hand"),
    ("A to E", "nothing bought, bench work, shaft, head, head and shaft"),
    ("P>0", "probability of any gain"),
    ("x t ?", "shot set aside, under the fresh line, warned of"),
)


def page(screen: str) -> list[Line]:
    """Lines of help for a screen."""
    rows = [heading(f"On {screen.capitalize()}")]
    rows += [line((f"  {k:10}", "key"), words) for k, words in KEYS[screen]]
    rows += [line(""), heading("Everywhere")]
    rows += [line((f"  {k:10}", "key"), words) for k, words in KEYS["everywhere"]]
    rows += [line(""), heading("Signs")]
    rows += [line((f"  {k:10}", "mark"), words) for k, words in SIGNS]
    rows += [line("")]
    rows += paragraphs(
        "Warm up, rest between blocks, stop on pain. Check nets, mats and clubs. Local rules and licensed "
        "practice come first; training is for qualified coaches.", 64, "dim",
    )  # fmt: skip
    return rows
