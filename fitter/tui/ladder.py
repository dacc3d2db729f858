"""The decision as a ladder of intervals: one line an option, against the line of the present club."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from fitter.advice.options import Option
from fitter.advice.scored import Scored, best_of_tiers
from fitter.base.units import Units, probability
from fitter.display import ladder as axes
from fitter.display import verdict as sentences
from fitter.display import words
from fitter.display.text import fit
from fitter.display.values import Values
from fitter.kit.club import Club
from fitter.tui.answer import ON_BENCH, PRESENT, Answer, Rough
from fitter.tui.bench import Bench
from fitter.tui.columns import ORDERS, How, columns_in, heads
from fitter.tui.lines import Line, line, merged, paragraphs
from fitter.tui.measured import Look

GAINS = {"balls in 100": "in 100", "strokes": "shots"}
"""Units of gains that need few columns."""
AS_USUAL = How()
WITH_COLUMNS = 70
"""Columns of the ladder from which on the costs of a change have columns of their own."""
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
    under : dict of str to tuple of Scored
        Further set-ups of clubs that were opened, by the id of the row they stand under.
    """

    top: tuple[Scored, ...]
    tries: tuple[Scored, ...]
    rest: tuple[Scored, ...]
    hidden: int
    further: int = 0
    against: tuple[Scored, ...] = ()
    under: Mapping[str, tuple[Scored, ...]] = field(default_factory=dict)

    @property
    def keys(self) -> list[str]:
        """Ids in the order of the screen."""
        every = (s for s in (*self.top, *self.tries, *self.rest, *self.against))
        return [x.option.id for s in every for x in (s, *self.under.get(s.option.id, ()))]


def passes(o: Option, bench: Bench, present: Club) -> bool:
    """Whether the filters leave an option."""
    if not bench.hidden:
        return True
    kinds = {f"tier {o.tier}", f"stock {o.availability}"}
    kinds |= {f"change {k}" for k in words.kinds_of_change(o, present)}
    kinds |= {"rules broken"} if o.rules else set()
    kinds |= {club_key(o)}
    return not kinds & set(bench.hidden)


def club_key(o: Option) -> str:
    """Word by which a club is hidden in all its set-ups."""
    return f"club {'/'.join(str(part) for part in o.built if part is not None and part != '')}"


def rungs(
    answer: Answer, bench: Bench, on_bench: Scored | None = None, hand: str = "", how: How = AS_USUAL
) -> Rungs:
    """Order the options; `hand` is the id of the option in hand, '' for the present club."""
    ranking = answer.ranking

    def seen(s: Scored) -> bool:
        return passes(s.option, bench, answer.present) and how.finds(s.option, answer.present)

    by_gain = sorted(ranking.options, key=lambda s: -ORDERS[how.order][1](s))
    against = [s for s in ranking.breaches if seen(s)]
    left = every = [s for s in by_gain if seen(s)]
    passed = len(left)
    named = [] if ranking.verdict.option is None else [ranking.verdict.option]
    if not bench.every_set_up:
        # One line for the shafts of a head that cannot be told apart; what a person looks for has its own.
        shown = {*named, hand, *bench.pins}
        left = [s for s in left if s.option.id in shown or not ranking.stood_for(s.option)]
    best = [] if how.order else best_of_tiers(left, also=named)
    top = sorted(best, key=lambda s: (not s.tied, -s.value_gain.mean))
    on_top = {s.option.id for s in top}
    tries = [on_bench] if on_bench is not None else []
    for key in dict.fromkeys([hand, *bench.pins]):
        named_one = answer.find(key) if key and key not in on_top and not how.told else None
        tries += [named_one] if named_one is not None else []
    shown = on_top | {s.option.id for s in tries}
    rest, clubs = [], {s.option.built for s in top}
    for s in left:
        if s.option.id in shown:
            continue
        if not bench.every_set_up:
            if s.option.built in clubs:
                continue
            clubs.add(s.option.built)
        rest.append(s)
    hidden = len(by_gain) - passed + len(ranking.breaches) - len(against)
    against = [s for s in against if s.option.id not in shown][:MOST]
    under: dict[str, tuple[Scored, ...]] = {}
    rows = [*top, *tries, *rest[:MOST], *against]
    there = {s.option.id for s in rows}
    for built in how.opened:
        first = next((s for s in rows if s.option.built == built), None)
        if first is not None:
            more = [s for s in every if s.option.built == built and s.option.id not in there]
            under[first.option.id] = tuple(more)
    return Rungs(
        tuple(top), tuple(tries), tuple(rest[:MOST]), hidden, len(rest[MOST:]), tuple(against), under
    )


def name_width(width: int, costs: bool = False) -> int:
    """Columns for the words of an option."""
    return max(20, min(34, round(width * (0.36 if costs else 0.42))))


STYLES = {"zero": "zero", "worth": "dim", "measured": "hand", "": ""}
"""Styles of the parts of a bar; that of the interval hangs on the option."""


def draw(
    answer: Answer,
    bench: Bench,
    found: Rungs,
    look: Look,
    width: int,
    how: How = AS_USUAL,
    costs: bool = True,
) -> tuple[list[Line], list[Line]]:
    """Heading lines, which stay, and rows, which scroll."""
    ranking, units = answer.ranking, Units(bench.units)
    values = Values.of(ranking, units)
    costs = costs and width >= WITH_COLUMNS
    names = name_width(width, costs)
    room = max(width - names - 19, 12)
    shown = columns_in(room) if costs else []
    room -= sum(c.width + 1 for c in shown)
    limits = [*found.top, *found.tries, *found.rest[:12]]
    # Limits that hold the intervals of the upper rows; later ones may run out at the edge.
    scale = axes.scale_of(limits, values, room, room=0.06, least=0.05)
    unit = GAINS.get(values.short_unit, values.short_unit)
    columns, of_columns = heads(shown, units)
    gain = "gain" if shown else f"gain {unit}"
    head = [
        line((f"   tier {fit('change', names - 4)} ", "dim"), (axes.axis_of_ticks(scale), "dim"),
             (f"{fit(gain, 7, right=True)}{'P>0':>5}  {columns}", "dim"))
    ]  # fmt: skip
    if shown:
        told = f"   {fit(how.told, names + 1)} " if how.told else " " * (names + 5)
        head.append(line((f"{told}{' ' * room}{fit(unit, 7, right=True)}{'':7}{of_columns}", "dim")))
    elif how.told:
        head.append(line((f"   {how.told}; Esc: as usual", "mark")))

    def rung(s: Scored, bracket: str = " ", inside: bool = False) -> list[Line]:
        o = s.option
        chosen, held = o.id == ranking.verdict.option, o.id == look.hand
        strong = "strong" if chosen else ""
        mark = (">" if chosen else " ") + ("H" if held else "*" if o.id in bench.pins else " ")
        mark = mark[0] + "c" if o.id == look.marked else mark
        on_bench = o.id == ON_BENCH
        text = words.changed(o, answer.present, short=names < 34)
        styles = {**STYLES, "interval": "pick" if chosen else "hand" if held else "bar"}
        cells = axes.bar(s, scale, measured=look.measured_gain if held else None, worth=width >= 70)
        digits = None if abs(values.shown(s.value_gain.mean)) < 99.5 else 0
        row = line(
            (mark, "mark"),
            (f"{'·' if on_bench or inside else o.tier} ", strong or "dim"),
            (fit("bench: " * on_bench + text, names), strong),
            " ",
            *merged([(text, styles[part]) for text, part in cells]),
            (f" {values.number(s.value_gain.mean, digits, sign=True):>6}", strong),
            (f" {probability(s.p_better, short=True):>4}", ""),
            (f" {bracket}", "mark"),
            "".join(f" {fit(c.cell(s, units), c.width, right=True)}" for c in shown),
            key=o.id,
        )
        below = [x for more in found.under.get(o.id, ()) for x in rung(more, inside=True)]
        if held and look.trial:
            return [row, line(("   in hand: ", "hand"), look.trial), *below]
        return [row, *below]

    rows: list[Line] = []
    for s, bracket in zip(found.top, axes.brackets(found.top), strict=True):
        rows += rung(s, bracket)
    for s in found.tries:
        rows += rung(s)
    zero = [(" ", "")] * scale.width
    zero[scale.place(0.0)] = (axes.BOX.mean, "zero")
    present = fit(f"present {words.club_words(answer.present)}", names)
    rows.append(
        line((f" {' ' if look.hand else 'H'}", "mark"), ("- ", "dim"), present, " ", *merged(zero),
             (f" {'0':>6}", "dim"), key=PRESENT)
    )  # fmt: skip
    if not found.keys:
        rows += paragraphs(f"No option {how.told or 'passes the filters'}.", width - 1, "dim", " ")
    if found.rest:
        text = f" {len(found.rest)} more" if found.top else f" {len(found.rest)} clubs"
        text += "" if bench.every_set_up else ", each club in its best set-up (Enter opens one)"
        rows.append(line((text + (f"; {found.hidden} hidden" if found.hidden else ""), "dim")))
    elif found.hidden:
        rows.append(line((f" {found.hidden} hidden by the filters", "dim")))
    for s in found.rest:
        rows += rung(s)
    if found.further:
        rows.append(line((f" and {found.further} behind these: filters (f) bring them up", "dim")))
    if found.against:
        rows.append(line((" against the rules, never recommended unless asked", "dim")))
    for s in found.against:
        rows += rung(s)
    own, keys = answer.present.shaft.code, set(found.keys)
    for group in (g for g in ranking.alike if keys & set(g.options) and not bench.every_set_up):
        rows += paragraphs(sentences.alike(group, values, own), width - 1, "dim", " ")
    return head, rows + paragraphs(sentences.left_out(ranking, values), width - 1, "dim", " ")


def draw_rough(rough: Rough, bench: Bench, width: int) -> tuple[list[Line], list[Line]]:
    """Heading and rows while the figures are still being computed: an order and the words of each option."""
    rows: list[Line] = []
    clubs: set[tuple[object, ...]] = set()
    for o in rough.options:
        if not passes(o, bench, rough.present) or (o.built in clubs and not bench.every_set_up):
            continue
        clubs.add(o.built)
        rows.append(
            line("   ", (f"{o.tier} ", "dim"), fit(words.changed(o, rough.present), max(width - 5, 8)))
        )
    return [line(("   tier change: rough order, still computing", "dim"))], rows[:MOST]
