"""The table of interval widths: whole, fresh, and with a reason for every interval that moved."""

from __future__ import annotations

import pytest

from reference import widths


def test_every_interval_stands_there_before_and_after_with_a_reason() -> None:
    rows = [r for r in widths.kept() if r["player"] != widths.CHECK]
    measures = 3
    assert len(rows) == len(widths.PLAYERS) * len(widths.changes(1.0)) * measures
    for row in rows:
        for state in ("before", "after"):
            low, high = widths.ends(row[state])
            assert low < high, row
        assert widths.reason(row["change"], row["measure"])
    assert widths.PAGE.read_text(encoding="utf-8") == widths.page()


@pytest.mark.slow
def test_the_table_is_fresh() -> None:
    kept = {(r["player"], r["change"], r["measure"]): widths.ends(r["after"]) for r in widths.kept()}
    for i in (*widths.intervals(), *widths.checks()):
        assert (i.low, i.high) == pytest.approx(kept[i.player, i.change, i.measure], abs=0.11)
