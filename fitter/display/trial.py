"""A trial in words: the plan, the next ball, what was decided."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from fitter.advice.belief import Comparison
from fitter.advice.options import Option
from fitter.advice.scored import Scored
from fitter.base.units import US, Units, probability
from fitter.display import verdict as sentences
from fitter.display.text import plain, table, wrap
from fitter.display.values import Values
from fitter.display.words import changed, named
from fitter.trial.course import Next, Outcome, Start
from fitter.trial.plan import Plan
from fitter.trial.record import Record

CAUTIONS = (
    "Before the first ball: warm up with part swings; ask for pain, today's and old ones, and ask again at "
    "every swap. Check each club for cracks and loose heads, and the net or the range. Stop on pain, when "
    "speed falls for good, or at the day's cap of full drives. Pain is a physician's."
)
ASKED = (
    " Ask first: any pain, or tired? (--pain) And how did the last club feel, before its numbers? (--feel)"
)
"""At every swap."""
LABELS = {
    "club_speed_mps": ("club speed", "mps", 1), "ball_speed_mps": ("ball speed", "mps", 1),
    "launch_deg": ("launch", "deg", 1), "spin_rpm": ("spin", "rpm", 0), "carry_m": ("carry", "m", 1),
    "total_m": ("total", "m", 1),
}  # fmt: skip


def values_of(begun: Start, units: Units) -> Values:
    """How gains are written."""
    p = begun.belief.paper.prediction
    least = begun.decided.question.assumptions.value("verdict.least_yard")
    yard = p.yard if p.objective.unit == "strokes" and p.yard > least else None
    present = begun.belief.options[0].club
    return Values(p.objective, units, yard, {o.id: named(o, present) for o in begun.belief.options})


def plan(found: Plan, begun: Start, units: Units = US) -> str:
    """Order card of a trial: for the fitter; the player sees codes alone."""
    values = values_of(begun, units)
    clubs = [
        (code, values.name(o.id), o.availability) for code, o in zip(found.codes, found.clubs, strict=True)
    ]
    order = " ".join(found.codes[k] for k in found.runs)
    lines = [
        f"A fair trial: {found.balls} balls, {found.minutes:.0f} minutes, {found.swaps} swaps.",
        "",
        table(("code", "club", "stock"), sorted(clubs), align="lll"),
        "",
        wrap(f"Order, {found.a_run} balls each: {order}. There and back, so that warm-up and tiredness fall "
             "on all clubs alike; stop at a mirror's end only."),
        wrap(promise(found, begun, units)),
        wrap(CAUTIONS),
    ]  # fmt: skip
    return "\n".join(lines)


def promise(found: Plan, begun: Start, units: Units = US) -> str:
    """What a trial is expected to bring, and whether it can settle anything."""
    values, unit = values_of(begun, units), begun.belief.paper.prediction.yard
    said = f"Expected to bring {values.full(found.worth)} by a better choice"
    if found.worth < begun.decided.question.assumptions.value("trial.little_yd") * unit:
        said += ": hardly worth the balls, they would not change the choice"
    told = (
        f"{said}. The whole of it settles the choice with probability {probability(found.decides)}; "
        f"{found.expected_balls:.0f} balls are expected until then."
    )
    if not found.settles:
        told += (
            " No number of balls on one day is likely to settle it: a second day tells more than more balls."
        )
    return told + set_up(found, begun)


def set_up(found: Plan, begun: Start) -> str:
    """What of the verdict's option a trial leaves out: ball and tee cost nothing, and are no club."""
    named_, present = begun.named, begun.belief.options[0].club
    if named_ is None or not named_.set_up or named_.club.code not in {o.club.code for o in found.clubs}:
        return ""
    moved = changed(replace(named_, club=present), present)
    return f" All clubs are hit with ball and tee as now: {moved} costs nothing, try it by itself."


def next_ball(found: Next, asked: str = ASKED) -> str:
    """What to do now, in one line of large type; with what is asked at a swap."""
    if found.action == "hit":
        balls = f"{found.in_run} ball{'s' if found.in_run > 1 else ''}"
        what = (
            f"Mount code {found.code}: {balls}." if found.mount else f"Go on with code {found.code}: {balls}."
        )
        swaps = f"{found.swaps} swap{'' if found.swaps == 1 else 's'}"
        where = f"Ball {found.ball} of {found.of}; {found.minutes:.0f} minutes and {swaps} left."
        return f"{what} {where}{asked if found.mount and found.ball > 1 else ''}"
    if found.action == "pain":
        return (
            "Stop: the player told of pain. No more balls today; pain is a physician's. See 'trial result'."
        )
    if found.action == "enough":
        return "Enough: more balls would hardly change the choice. See 'trial result'."
    return "The planned balls are hit. See 'trial result'."


def result(found: Outcome, record: Record, begun: Start, units: Units = US) -> str:
    """What a trial decided, and what it changed."""
    values = values_of(begun, units)
    said = sentences.sentence(found.verdict, values, len(begun.belief.options) - 1)
    before = sentences.sentence(found.before, values, len(begun.belief.options) - 1)
    rows = [_row(record, found, k, pair, values) for k, pair in enumerate(found.clubs, start=1)]
    lines = [
        wrap(f"After {sum(found.hit.values())} balls ({found.aside} set aside): {said}"),
        "",
        table(
            ("code", "club", "balls", f"gain {values.short_unit} (80 %)", "on paper (80 %)", "P>0"),
            rows,
            align="llrrrr",
        ),
        "",
        wrap("Gains are shrunken: what prediction and balls say together, against the present club."),
    ]
    if said != before:
        lines += [wrap(f"On paper it was: {before}")]
    if not found.finished:
        lines += [
            wrap("It stopped between mirrors' ends: drift is allowed for in the intervals, not cancelled.")
        ]
    lines += [wrap(words) for words in warnings(found, values)]
    if record.pick:
        same = record.pick == (found.verdict.option or "keep")
        pick = "the present club" if record.pick == "keep" else values.name(record.pick)
        lines += [wrap(f"Your own pick before the ladder: {pick}{', the same' if same else ''}.")]
    if record.feel:
        felt = "; ".join(f"{code}: {words}" for code, words in sorted(record.feel.items()))
        lines += [wrap(f"What the player felt before numbers: {felt}.")]
    return "\n".join(lines)


def _row(
    record: Record, found: Outcome, k: int, pair: tuple[Scored, Scored], values: Values
) -> tuple[str, ...]:
    now, before = pair
    gains = (
        f"{values.number(s.value_gain.mean, sign=True)} ({values.ends(s.value_gain.low, s.value_gain.high)})"
        for s in (now, before)
    )
    balls = str(found.hit.get(now.option.id, 0))
    return (
        record.codes[k], values.name(now.option.id), balls, *gains, probability(now.p_better, short=True)
    )  # fmt: skip


def warnings(found: Outcome, values: Values) -> list[str]:
    """Where predicted and measured disagree, and clubs that may be others."""
    by_club: dict[str, list[Comparison]] = {}
    for c in found.compared:
        by_club.setdefault(c.option, []).append(c)
    said = []
    for option, channels in by_club.items():
        odd = [c for c in channels if c.differs]
        if odd:
            agree = [LABELS[c.channel][0] for c in channels if not c.differs]
            good = f"{', '.join(agree)} agree{'s' if len(agree) == 1 else ''}; " if agree else ""
            differ = "; ".join(_differs(c, values.units) for c in odd)
            said.append(f"{values.name(option)}: {good}{differ}. Is this the club? Gauge it.")
    for s in found.suspects:
        said.append(
            f"Look at the club {s.club}: its balls start as those of {abs(s.loft_deg):.1f} deg "
            f"{'more' if s.loft_deg > 0 else 'less'} loft would."
        )
    return said


def _differs(c: Comparison, units: Units) -> str:
    label, core, digits = LABELS[c.channel]
    told, seen = (units.quantity(v, core, digits) for v in (c.predicted.mid, c.measured.mid))
    return f"{label} was predicted {told} and is {seen}"


def plan_json(found: Plan) -> dict[str, Any]:
    """Plan as data."""
    return {
        "clubs": [_club(o, code) for o, code in zip(found.clubs, found.codes, strict=True)],
        "runs": [found.codes[k] for k in found.runs], "balls_a_run": found.a_run, "balls": found.balls,
        "minutes": found.minutes, "swaps": found.swaps, "worth": found.worth, "decides": found.decides,
        "expected_balls": found.expected_balls, "settles": found.settles,
    }  # fmt: skip


def _club(o: Option, code: str) -> dict[str, str]:
    return {"code": code, "option": o.id, "availability": o.availability}


def result_json(found: Outcome, record: Record, begun: Start) -> dict[str, Any]:
    """Decision of a trial as data."""
    unit = begun.belief.paper.prediction.objective.unit
    return {
        "belief": [
            {
                "option": now.option.id, "code": record.codes[k], "hit": found.hit.get(now.option.id, 0),
                "value_unit": unit, "value_gain": now.value_gain.mean, "value_gain_low": now.value_gain.low,
                "value_gain_high": now.value_gain.high, "p_better": now.p_better,
                "paper": {"value_gain": was.value_gain.mean, "value_gain_low": was.value_gain.low,
                          "value_gain_high": was.value_gain.high},
            }
            for k, (now, was) in enumerate(found.clubs, start=1)
        ],
        "verdict": {"action": found.verdict.action, "option": found.verdict.option, "why": found.verdict.why},
        "before": {"action": found.before.action, "option": found.before.option},
        "set_aside": found.aside, "finished": found.finished,
        "surprises": [plain(c) for c in found.surprises], "suspects": [plain(s) for s in found.suspects],
        "pick": record.pick, "feel": record.feel,
    }  # fmt: skip


def next_json(found: Next) -> dict[str, Any]:
    """Next ball as data."""
    return {
        "next": [] if found.action != "hit" else [{"code": found.code, "balls": found.in_run}],
        "action": found.action, "ball": found.ball, "of": found.of, "minutes": found.minutes,
        "swaps": found.swaps, "text": next_ball(found),
    }  # fmt: skip
