"""How long a belief takes after a ball, 500 options, beside one replay of one of them in the same run.

Run ``python -m reference.trial_benchmark``; the ratio holds on a busy machine too.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np

from fitter.advice.balls import OBSERVED, Balls
from fitter.advice.baseline import baseline
from fitter.advice.belief import Belief
from fitter.advice.options import enumerate_options
from fitter.advice.prediction import predict
from fitter.advice.question import ask
from fitter.advice.roots import SCALE
from reference.rank_benchmark import kit, session

OPTIONS = 500
REPEATS = 7
TRIALS = ((12, 2), (24, 3), (60, 5))
"""Balls, and clubs besides the present one."""


def fastest(call: Callable[[], object]) -> float:
    """Shortest of some runs, s."""
    times = []
    for _ in range(REPEATS):
        start = time.perf_counter()
        call()
        times.append(time.perf_counter() - start)
    return min(times)


def trial(belief: Belief, count: int, others: int) -> Balls:
    """Balls in mirrored order about what is predicted."""
    rng = np.random.default_rng(1)
    plain = [o.club for o in belief.options if not (o.ball_forward_mm or o.tee_mm)]
    clubs = (plain[0], *plain[1 :: len(plain) // others][:others])
    half = np.sort(np.arange(count // 2) % len(clubs))
    order = np.concatenate([half, half[::-1]])
    effects = [np.zeros(len(SCALE))] + [belief.paper.effects([c.code]).mean(axis=0) for c in clubs[1:]]
    error = rng.multivariate_normal(np.zeros(7), belief.paper.roots.covariance("scatter"), len(order))
    y = belief.paper.here + (np.array(effects)[order] + error) * SCALE
    block = np.ones(len(order), dtype=np.int64)
    values = {name: y[:, k] for k, name in enumerate(OBSERVED)}
    return Balls(clubs, order, block, np.arange(len(order)) * 1.0, values, ("trial",))


def main() -> None:
    """Print times and ratios."""
    shop = kit()
    question = ask(session(), shop, f"{shop.heads[7].code}/{shop.shafts[10].code}", "carry")
    base = baseline(question)
    options = enumerate_options(shop, question.present)[:OPTIONS]
    prediction = predict(options, question, base)
    replay = fastest(lambda: predict(options[:2], question, base))
    print(
        f"{len(options)} options, {len(prediction.carry)} draws; one option replayed: {1e3 * replay:.0f} ms"
    )
    start = time.perf_counter()
    belief = Belief.of(prediction)
    print(f"belief on paper, once: {1e3 * (time.perf_counter() - start):.0f} ms")
    for count, others in TRIALS:
        balls = trial(belief, count, others)
        after = belief.given(balls)
        update = fastest(lambda balls=balls: belief.given(balls))  # type: ignore[misc]
        hit = [int(i) for i in np.flatnonzero(after.hit) if i]
        learn = fastest(lambda after=after, hit=hit: [after.learned(i, 4) for i in hit])  # type: ignore[misc]
        print(
            f"{count} balls, {others} clubs and the present one: update {1e3 * update:.0f} ms "
            f"({update / replay:.2f} replays), what more would teach {1e3 * learn:.0f} ms"
        )


if __name__ == "__main__":
    main()
