"""Why: where the yards of the present club go, and what the change would bring back."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import Horizontal

from fitter.advice.scored import Scored
from fitter.base.units import MPH
from fitter.display import words
from fitter.tui.foot import Key
from fitter.tui.lines import Line, Lines, fit, heading, line, paragraphs
from fitter.tui.screens.pane import Pane
from fitter.tui.view import View


def bar(value: float, most: float, width: int) -> tuple[str, str]:
    """Bar of a size: its block, and the rest of its room; eighths of a cell."""
    if most <= 0.0:
        return "", " " * width
    eighths = round(min(abs(value) / most, 1.0) * width * 8)
    whole, part = divmod(eighths, 8)
    text = "█" * whole + ("", "▏", "▎", "▍", "▌", "▋", "▊", "▉")[part]
    return text, " " * (width - len(text))


def losses(view: View, width: int) -> list[Line]:
    """Where the yards go: each cause put right alone."""
    scale, unit = words.far_scale(view.bench.units)
    rows = [heading("Where the present club's yards go (carry)")]
    found = view.reading.losses if view.reading is not None else ()
    if view.answer is not None and view.answer.ranking.losses:
        # The ranking knows the present club's head; the reading alone took an ordinary one.
        found = view.answer.ranking.losses
    if not found:
        problem = view.reading.error if view.reading is not None else ""
        text = problem or "No ball was read yet: there is nothing to explain."
        return [*rows, *paragraphs(text, width, "error" if problem else "dim")]
    most = max([x.carry_m for x in found] + [1e-9])
    room = max(min(width - 34, 40), 8)
    for x in found:
        block, rest = bar(max(x.carry_m, 0.0), most, room)
        low, high = max(x.low_m, 0.0) / scale, max(x.high_m, 0.0) / scale
        rows.append(
            line(
                (fit(x.cause, 20), "strong"), (block, "bar"), rest, f"{max(x.carry_m, 0) / scale:5.1f} {unit}"
            )
        )
        spread = f"; {low:.0f} to {high:.0f} by single ball laws" if round(low) != round(high) else ""
        rows += paragraphs(f"  if {_remedy(x.cause, x.remedy)}{spread}", width, "dim", "  ")
    rows.append(line(""))
    rows += paragraphs(
        "Each cause is put right alone. They overlap (a better strike also changes the spin), so they are "
        "not to be added.", width, "dim",
    )  # fmt: skip
    return rows


def _remedy(cause: str, remedy: str) -> str:
    if cause in ("delivered loft", "spin") and float(remedy.split()[0]) == 0.0:
        return "anything were changed: it is best as it is"
    if cause == "delivered loft":
        size = float(remedy.split()[0])
        return f"it were {abs(size):.1f} deg {'less' if size < 0 else 'more'} at the same attack"
    if cause == "spin":
        size = float(remedy.split()[0])
        return f"it were {abs(size):.0f} % {'less' if size < 0 else 'more'} at the same launch"
    return {
        "every ball at the face centre": "every ball came off the face centre",
        "path and face at the target": "path and face pointed at the target",
        "every ball as fast as the faster half": "every ball were as fast as the faster half",
    }.get(remedy, remedy)


def change_words(cause: str, change: float, unit: str, view: View) -> str:
    """Change of the start in the units in force, sides by L and R."""
    if cause == "ball speed":
        metric = view.bench.units == "metric"
        return f"{change:+.1f} m/s" if metric else f"{change / MPH:+.1f} mph"
    if cause == "spin":
        return f"{change:+.0f} rpm"
    if cause == "direction and curve":
        return f"{words.side(-change if view.bench.hand == 'left' else change, 1)} deg"
    return f"{change:+.1f} {unit}"


def reasons(view: View, s: Scored, width: int, rows_only: bool = False) -> list[Line]:
    """What an option brings, split by cause."""
    assert view.answer is not None
    from fitter.tui.ladder import digits_of, factor_of

    factor, unit = factor_of(view.answer, view.bench.units)
    digits = digits_of(view.answer)
    most = max([abs(r.value) for r in s.reasons] + [1e-9])
    names = 20 if width >= 60 else 16
    changes = 10 if width >= 40 else 0
    room = max(min(width - names - changes - 12, 24), 3)
    rows: list[Line] = []
    for r in s.reasons:
        cause = r.cause if names == 20 else r.cause.replace(" and ", ", ")
        block, rest = bar(r.value, most, room)
        style, sign = ("bar", "+") if r.value >= 0 else ("warn", "-")
        change = fit(change_words(r.cause, r.change, r.unit, view), changes, right=True) if changes else ""
        value = f" {r.value / factor:+6.{digits}f} {unit} "
        signed = (sign if block else " ", style)
        rows.append(line((fit(cause, names), ""), (change, "dim"), value, signed, (block, style), rest))
    if rows_only:
        return rows
    g = s.value_gain
    rows.append(
        line(
            (fit("together", names + changes), "strong"),
            (f" {g.mean / factor:+6.{digits}f} {unit}", "strong"),
        )
    )
    return rows


def brings(view: View, width: int) -> list[Line]:
    """What the option of the verdict brings back."""
    s = view.verdict_option()
    if view.answer is None or s is None:
        text = view.problem("rank") or ("No ranking yet." if not view.busy else "Ranking ...")
        return paragraphs(text, width, "error" if view.problem("rank") else "dim")
    ranking = view.answer.ranking
    text = ranking.verdict.text_metric if view.bench.units == "metric" else ranking.verdict.text
    title = {"change": "The verdict: change", "keep": "The verdict: keep the present club",
             "test": "The verdict: test first", "measure": "The verdict: measure first"}  # fmt: skip
    rows = [heading(title.get(ranking.verdict.action, "The verdict")), *paragraphs(text, width), line("")]
    rows.append(heading(f"What {words.changed(s.option, view.answer.present)} brings, cause by cause"))
    rows += reasons(view, s, width) if s.reasons else [line(("not split up", "dim"))]
    now, then = ranking.present.predicted, s.predicted
    rows += [line("")]
    rows += [line((f"{'the start of the ball':22}{'present':>9}{'then':>9}", "dim"))]
    scale, unit = words.speed_scale(view.bench.units)
    far, far_unit = words.far_scale(view.bench.units)
    for name, label, by, digits, u in (
        ("club_speed_mps", "club speed", scale, 1, unit), ("ball_speed_mps", "ball speed", scale, 1, unit),
        ("launch_deg", "launch", 1.0, 1, "deg"), ("spin_rpm", "spin", 1.0, 0, "rpm"),
        ("apex_m", "apex", far, 0, far_unit), ("descent_deg", "landing angle", 1.0, 0, "deg"),
    ):  # fmt: skip
        a, b = now[name][1] / by, then[name][1] / by
        rows.append(line(f"{label:22}", f"{a:9.{digits}f}", (f"{b:9.{digits}f}", "strong"), (f" {u}", "dim")))
    if not s.robust:
        rows += paragraphs("The ball laws disagree on the sign of this gain.", width, "warn")
    if ranking.flips:
        rows += [line(""), heading("What would turn the verdict")]
        for f in ranking.flips:
            rows += paragraphs(f.said(view.bench.units == "metric"), width, "", "  ")
    return rows


def doubts(view: View, width: int) -> list[Line]:
    """Notes and cautions that go with the figures."""
    rows: list[Line] = []
    if view.reading is not None and view.reading.fresh is not None:
        for caution in view.reading.fresh.cautions:
            rows += paragraphs(caution, width, "warn")
    if view.answer is not None:
        for note in view.answer.ranking.notes:
            rows += paragraphs(note[0].upper() + note[1:].rstrip(".") + ".", width, "dim")
    return [line(""), heading("To know before trusting a number"), *rows] if rows else []


class WhyPane(Pane):
    """Losses to the left, what the change brings to the right."""

    FOCUS: ClassVar[str] = "why-left"
    KEYS: ClassVar[tuple[Key, ...]] = (Key("up", "↑↓", "scroll"), Key("4", "4", "all options"))

    def compose(self) -> ComposeResult:
        """Two columns; one below 100 columns."""
        with Horizontal():
            yield Lines("why-left")
            yield Lines("why-right", focusable=True)

    def draw(self, view: View) -> None:
        """Put both on the screen."""
        left, right = self.lines("why-left"), self.lines("why-right")
        rows = losses(view, left.room)
        if self.app.size.width < 100:
            left.show([*brings(view, left.room), line(""), *rows, *doubts(view, left.room)])
            return
        left.show([*rows, *doubts(view, left.room)])
        right.show(brings(view, right.room))
