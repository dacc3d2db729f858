"""The decision as a ladder of intervals: one line an option, against the line of the present club."""

from __future__ import annotations

from dataclasses import dataclass

from fitter.advice.options import Option
from fitter.advice.scored import Scored, best_of_tiers
from fitter.advice.verdict import systems
from fitter.base.units import probability
from fitter.display import words
from fitter.kit.club import Club
from fitter.tui.answer import ON_BENCH, PRESENT, Answer, Rough
from fitter.tui.bench import Bench
from fitter.tui.canvas import ticks
from fitter.tui.lines import Line, Span, fit, line, paragraphs
from fitter.tui.measured import Look

MOST = 150
"""Options shown behind those on top: nobody scrolls further, and filters bring the rest up."""


@dataclass(frozen=True)
class Rungs:
    """Options in the order of the ladder.

    Parameters
    ----------
    top : tuple of Scored
        Best of each tier and what the verdict names; those that cannot be told apart from the best stand
        together.
    tries : tuple of Scored
        Build in hand, bench, pins, where they are not on top.
    rest : tuple of Scored
        All others that the filters leave, by expected gain.
    hidden, further : int
        How many the filters hide; how many stand behind the last one shown.
    against : tuple of Scored
        What breaks a rule, below everything else.
    """

    top: tuple[Scored, ...]
    tries: tuple[Scored, ...]
    rest: tuple[Scored, ...]
    hidden: int
    further: int = 0
    against: tuple[Scored, ...] = ()

    @property
    def keys(self) -> list[str]:
        """Ids in the order of the screen."""
        return [s.option.id for s in (*self.top, *self.tries, *self.rest, *self.against)]


def passes(o: Option, bench: Bench, present: Club) -> bool:
    """Whether the filters leave an option."""
    if not bench.hidden:
        return True
    words_of = {f"tier {o.tier}", f"stock {o.availability}"}
    words_of |= {f"change {k}" for k in words.kinds(o, present)}
    words_of |= {"rules broken"} if o.rules else set()
    return not words_of & set(bench.hidden)


def rungs(answer: Answer, bench: Bench, on_bench: Scored | None = None, hand: str = "") -> Rungs:
    """Order the options; `hand` is the id of the option in hand, '' for the present club."""
    ranking = answer.ranking
    by_gain = sorted(ranking.options, key=lambda s: -s.value_gain.mean)
    against = [s for s in ranking.breaches if passes(s.option, bench, answer.present)]
    left = [s for s in by_gain if passes(s.option, bench, answer.present)]
    named = [] if ranking.verdict.option is None else [ranking.verdict.option]
    top = sorted(best_of_tiers(left, also=named), key=lambda s: (not s.tied, -s.value_gain.mean))
    on_top = {s.option.id for s in top}
    tries = [on_bench] if on_bench is not None else []
    for key in dict.fromkeys([hand, *bench.pins]):
        named_one = answer.find(key) if key and key not in on_top else None
        tries += [named_one] if named_one is not None else []
    shown = on_top | {s.option.id for s in tries}
    rest, clubs = [], {s.option.club.code for s in top}
    for s in left:
        if s.option.id in shown:
            continue
        if not bench.every_set_up:
            if s.option.club.code in clubs:
                continue
            clubs.add(s.option.club.code)
        rest.append(s)
    hidden = len(by_gain) - len(left) + len(ranking.breaches) - len(against)
    against = [s for s in against if s.option.id not in shown][:MOST]
    return Rungs(tuple(top), tuple(tries), tuple(rest[:MOST]), hidden, len(rest[MOST:]), tuple(against))


@dataclass(frozen=True)
class Scale:
    """Gains on a row of so many characters."""

    low: float
    high: float
    width: int

    def place(self, value: float) -> int:
        """Character of a gain, held inside."""
        at = round((value - self.low) / (self.high - self.low) * (self.width - 1))
        return min(max(at, 0), self.width - 1)


def scale_of(found: Rungs, factor: float, width: int) -> Scale:
    """Limits that hold the intervals of the upper rows; later ones may run out at the edge."""
    rows = [*found.top, *found.tries, *found.rest[:12]]
    low = min([0.0, *(s.value_gain.low / factor for s in rows)])
    high = max([0.05, *(s.value_gain.high / factor for s in rows)])
    room = 0.06 * (high - low)
    return Scale(low - room, high + room, width)


def factor_of(answer: Answer, units: str) -> tuple[float, str]:
    """What a value of the objective is divided by, and its unit on the screen."""
    unit = answer.ranking.objective.unit
    if unit == "share":
        return 0.01, "in 100"
    return words.far_scale(units) if unit == "m" else (1.0, "shots" if unit == "strokes" else unit)


def digits_of(answer: Answer) -> int:
    """Digits of a gain on the screen."""
    return 2 if answer.ranking.objective.unit == "strokes" else 1


def axis(scale: Scale, unit: str) -> list[Span]:
    """Row of round gains with the present club at its place."""
    row = [" "] * scale.width
    zero = scale.place(0.0)
    for tick in ticks(scale.low, scale.high, max(2, scale.width // 9)):
        text = f"{tick:+.3g}" if tick else ""
        at = scale.place(tick) - len(text) // 2
        if (
            text
            and at >= 0
            and at + len(text) <= scale.width
            and not "".join(row[at : at + len(text)]).strip()
        ):
            row[at : at + len(text)] = text
    at = min(max(zero - 3, 0), scale.width - 7)
    row[at : at + 7] = "present"
    return [("".join(row), "dim")]


def bar(
    s: Scored, scale: Scale, factor: float, style: str, measured: float | None = None, worth: bool = False
) -> list[Span]:
    """Interval of one option: ends, mean, the line of the present club, and what was measured."""
    g, zero = s.value_gain, scale.place(0.0)
    cells: list[Span] = [(" ", "")] * scale.width
    cells[zero] = ("│", "zero")
    if worth and s.threshold and scale.low < s.threshold / factor < scale.high:
        cells[scale.place(s.threshold / factor)] = ("╎", "dim")
    a, b = scale.place(g.low / factor), scale.place(g.high / factor)
    for k in range(a, b + 1):
        cells[k] = ("┼" if k == zero else "─", style)
    if b > a:
        cells[a] = ("├" if g.low / factor >= scale.low else "‹", style)
        cells[b] = ("┤" if g.high / factor <= scale.high else "›", style)
    cells[scale.place(g.mean / factor)] = ("●", style)
    if measured is not None:
        cells[scale.place(measured / factor)] = ("◆", "hand")
    return merged(cells)


def merged(cells: list[Span]) -> list[Span]:
    """Join neighbours of one style."""
    out: list[Span] = []
    for text, style in cells:
        if out and out[-1][1] == style:
            out[-1] = (out[-1][0] + text, style)
        else:
            out.append((text, style))
    return out


def brackets(rows: list[Scored]) -> list[str]:
    """Bracket beside rows that cannot be told apart from the best.

    Examples
    --------
    >>> brackets([])
    []
    """
    tied = [k for k, s in enumerate(rows) if s.tied]
    out = [" "] * len(rows)
    if len(tied) > 1:
        for k in range(tied[0], tied[-1] + 1):
            out[k] = "│" if k in tied else "┆"
        out[tied[0]], out[tied[-1]] = "┐", "┘"
    return out


def name_width(width: int) -> int:
    """Columns for the words of an option."""
    return max(20, min(34, round(width * 0.42)))


def draw(answer: Answer, bench: Bench, found: Rungs, look: Look, width: int) -> tuple[list[Line], list[Line]]:
    """Heading lines, which stay, and rows, which scroll."""
    factor, unit = factor_of(answer, bench.units)
    names = name_width(width)
    scale = scale_of(found, factor, max(width - names - 19, 12))
    head = [
        line((f"   tier {fit('change', names - 4)} ", "dim"), *axis(scale, unit),
             (f"{fit('gain ' + unit, 7, right=True)}{'P>0':>5}", "dim"))
    ]  # fmt: skip
    rows: list[Line] = []

    def rung(s: Scored, bracket: str = " ") -> Line:
        o = s.option
        chosen = o.id == answer.ranking.verdict.option
        held = o.id == look.hand
        style = "pick" if chosen else "hand" if held else "bar"
        mark = (">" if chosen else " ") + ("H" if held else "*" if o.id in bench.pins else " ")
        mark = mark[0] + "c" if o.id == look.marked else mark
        tier = "·" if o.id == ON_BENCH else o.tier
        text = words.changed(o, answer.present, short=names < 34)
        if o.id == ON_BENCH:
            text = "bench: " + text
        gain = s.value_gain.mean / factor
        digits = digits_of(answer) if abs(gain) < 99.5 else 0
        measured = look.measured_gain if held else None
        return line(
            (mark, "mark"),
            (f"{tier} ", "strong" if chosen else "dim"),
            (fit(text, names), "strong" if chosen else ""),
            " ",
            *bar(s, scale, factor, style, measured, width >= 70),
            (f" {words.signed(gain, digits):>6}", "strong" if chosen else ""),
            (f" {probability(s.p_better, short=True):>4}", ""),
            (f" {bracket}", "mark"),
            key=o.id,
        )

    for s, bracket in zip(found.top, brackets(list(found.top)), strict=True):
        rows.append(rung(s, bracket))
        if s.option.id == look.hand and look.trial:
            rows.append(line(("   in hand: ", "hand"), look.trial))
    rows += [rung(s) for s in found.tries]
    if look.hand and look.trial and any(s.option.id == look.hand for s in found.tries):
        at = next(k for k, r in enumerate(rows) if r.key == look.hand)
        rows.insert(at + 1, line(("   in hand: ", "hand"), look.trial))
    zero = [(" ", "")] * scale.width
    zero[scale.place(0.0)] = ("●", "zero")
    held = "H" if not look.hand else " "
    rows.append(
        line((f" {held}", "mark"), ("- ", "dim"), (fit(_present(answer), names), ""), " ", *merged(zero),
             (f" {'0':>6}", "dim"), key=PRESENT)
    )  # fmt: skip
    if found.rest:
        text = f" {len(found.rest)} more"
        text += "" if bench.every_set_up else ", each club in its best set-up"
        rows.append(line((text + (f"; {found.hidden} hidden" if found.hidden else ""), "dim")))
    elif found.hidden:
        rows.append(line((f" {found.hidden} hidden by the filters", "dim")))
    rows += [rung(s) for s in found.rest]
    if found.further:
        rows.append(line((f" and {found.further} behind these: filters (f) bring them up", "dim")))
    if found.against:
        rows.append(line((" against the rules, never recommended unless asked", "dim")))
    rows += [rung(s) for s in found.against]
    ranking = answer.ranking
    rows += paragraphs(ranking.left_out_words(systems(ranking.objective)[bench.units]), width - 1, "dim", " ")
    return head, rows


def draw_rough(rough: Rough, bench: Bench, width: int) -> tuple[list[Line], list[Line]]:
    """Heading and rows while the figures are still being computed: an order and the words of each option."""
    rows: list[Line] = []
    clubs: set[str] = set()
    for o in rough.options:
        if not passes(o, bench, rough.present) or (o.club.code in clubs and not bench.every_set_up):
            continue
        clubs.add(o.club.code)
        rows.append(
            line("   ", (f"{o.tier} ", "dim"), fit(words.changed(o, rough.present), max(width - 5, 8)))
        )
    return [line(("   tier change: rough order, still computing", "dim"))], rows[:MOST]


def _present(answer: Answer) -> str:
    return f"present {words.club_words(answer.present)}"
