"""Tables of many trials: verdicts, coverage, bias, regret, wrong changes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

import numpy as np

from reference.virtual_range.trial import Record, Row

BANDS = ("slow", "middle", "fast")
ACTIONS = ("change", "test", "measure", "keep", "refused")
Test = Callable[[Record, Row], bool]


def _table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    lines = ["| " + " | ".join(head) + " |", "|" + "---|" * len(head)]
    return "\n".join([*lines, *("| " + " | ".join(r) + " |" for r in rows)])


def _share(x: float, n: int) -> str:
    return f"{100.0 * x:.0f}" if n else "-"


def groups(records: Sequence[Record]) -> list[tuple[str, list[Record]]]:
    """Return all players, then each speed band."""
    return [("all", list(records)), *((b, [r for r in records if r.band == b]) for b in BANDS)]


def verdicts(records: Sequence[Record]) -> str:
    """Shares of the verdicts in per cent, and of changes that truly lose, by speed band."""
    rows = []
    for name, part in groups(records):
        n = len(part)
        cells = [_share(sum(r.action == a for r in part) / max(n, 1), n) for a in ACTIONS]
        changed = [r.followed for r in part if r.action == "change"]
        truth = [row.truth for r in part if r.action == "change" and (row := r.one("named"))]
        lose, short = (f"{sum(x < 0 for x in xs)} of {len(xs)}" for xs in (truth, changed))
        rows.append([name, str(n), *cells, lose, short])
    return _table(
        ["players", "n", *(f"{a} %" for a in ACTIONS), "changes that lose", "under the threshold"], rows
    )


def coverage_of(
    records: Sequence[Record], wanted: Test
) -> tuple[int, float, float, float, float, float, float]:
    """n, share inside 80 and 95 %, SE of the former over players, mean promised, mean true, SD of z."""
    inside, wide, z, promised, true = [], [], [], [], []
    per_player = []
    for record in records:
        own = [row for row in record.rows if wanted(record, row)]
        for row in own:
            inside.append(row.low <= row.truth <= row.high)
            wide.append(row.low95 <= row.truth <= row.high95)
            promised.append(row.mean)
            true.append(row.truth)
            z.append((row.truth - row.mean) / max((row.high - row.low) / 2.563, 1e-9))
        if own:
            per_player.append((sum(row.low <= row.truth <= row.high for row in own), len(own)))
    n = len(inside)
    if not n:
        return 0, *(float("nan"),) * 6
    share = float(np.mean(inside))
    k, m = np.array(per_player, dtype=float).T
    error = float(np.sqrt(((k - share * m) ** 2).sum()) / m.sum())
    return (
        n,
        share,
        float(np.mean(wide)),
        error,
        float(np.mean(promised)),
        float(np.mean(true)),
        float(np.std(z)),
    )


def coverage(records: Sequence[Record], tests: Sequence[tuple[str, Test]]) -> str:
    """Coverage, bias and spread of groups of options; gains in yd."""
    rows = []
    for name, test in tests:
        n, share, wide, error, promised, true, z = coverage_of(records, test)
        if n:
            rows.append([
                name, str(n), f"{100 * share:.0f} ({100 * error:.0f})", f"{100 * wide:.0f}",
                f"{promised:+.1f}", f"{true:+.1f}", f"{promised - true:+.1f}", f"{z:.2f}",
            ])  # fmt: skip
    head = ["options", "n", "in 80 % (SE)", "in 95 %", "promised", "true", "promised - true", "SD of z"]
    return _table(head, rows)


def _role(role: str) -> Test:
    return lambda record, row: role in row.roles


def by_role() -> list[tuple[str, Test]]:
    """Sampled options, best of each tier, the leader, the named one by verdict."""
    tests: list[tuple[str, Test]] = [("40 at random", _role("sample"))]
    tests += [(f"best of tier {t}", _role(f"best {t}")) for t in "ABCDE"]
    tests += [("largest expected gain", _role("leader")), ("named", _role("named"))]

    def named(action: str) -> Test:
        return lambda record, row: record.action == action and "named" in row.roles

    def sampled(band: str) -> Test:
        return lambda record, row: record.band == band and "sample" in row.roles

    tests += [(f"named, {action}", named(action)) for action in ("change", "test", "measure")]
    return tests + [(f"40 at random, {band}", sampled(band)) for band in BANDS]


def by_kind() -> list[tuple[str, Test]]:
    """Options that change one thing, then the mixed ones among those picked at random."""
    single = ("tee", "ball", "sleeve", "shaft", "head", "head by stamp")

    def probe(what: str) -> Test:
        return lambda record, row: row.kind == what and "probe" in row.roles

    def mixed(what: str) -> Test:
        return lambda record, row: (
            "+" in row.kind and row.kind.split(" + ")[0] == what and "sample" in row.roles
        )

    tests: list[tuple[str, Test]] = [(f"{what} alone", probe(what)) for what in single]
    return tests + [
        (f"{what} and more", mixed(what)) for what in ("sleeve", "shaft", "head", "head by stamp")
    ]


def starts(records: Sequence[Record]) -> str:
    """Compare promised and true changes of the start: mean error, its SD, true change per promised."""
    rows = []
    for name, test in by_kind():
        pairs = np.array([row.start for r in records for row in r.rows if row.start and test(r, row)])
        cells = [name, str(len(pairs))]
        for promised, true in pairs.transpose(1, 2, 0) if len(pairs) else ():
            error, size = promised - true, float((promised**2).sum())
            slope = f"{float((promised * true).sum()) / size:.2f}" if size else "-"
            cells.append(f"{error.mean():+.2f}, {error.std():.2f}, {slope}")
        if len(pairs):
            rows.append(cells)
    return _table(["options", "n", "ball speed mph", "launch deg", "spin rpm"], rows)


def regrets(records: Sequence[Record]) -> str:
    """Mean regret against the oracle in yd net of the thresholds, by policy and speed band.

    Players whose data were refused count for nobody.
    """
    rows = []
    for name, part in groups([r for r in records if r.rows]):
        if not part:
            continue
        oracle = np.array([r.oracle for r in part])
        leader = np.array([row.net if (row := r.one("leader")) else 0.0 for r in part])
        followed, resolved = np.array([r.followed for r in part]), np.array([r.resolved for r in part])
        saved = 1.0 - (oracle - followed).mean() / max(oracle.mean(), 1e-9)
        saved_resolved = 1.0 - (oracle - resolved).mean() / max(oracle.mean(), 1e-9)
        rows.append([
            name, str(len(part)), f"{oracle.mean():.1f}", f"{(oracle - leader).mean():.1f}",
            f"{(oracle - followed).mean():.1f}", f"{(oracle - resolved).mean():.1f}",
            f"{100 * saved:.0f} %", f"{100 * saved_resolved:.0f} %",
        ])  # fmt: skip
    head = ["players", "n", "always keep (= what the oracle gains)", "always the largest expected gain",
            "advisor, tests not hit", "advisor, tests hit", "saved", "saved, tests hit"]  # fmt: skip
    return _table(head, rows)


def tables(records: Sequence[Record]) -> str:
    """All tables of one world and objective."""
    return "\n\n".join([
        "Verdicts:", verdicts(records),
        "Coverage (yd):", coverage(records, by_role()),
        "Coverage by what changes (yd):", coverage(records, by_kind()),
        "The start, promised against true (mean of promised - true, its SD, true per promised):",
        starts(records),
        "Regret (yd):", regrets(records),
    ])  # fmt: skip
