"""The joined path: blocks, lanes, residuals, threads, one compiled signature a kernel, and plain Python."""

import json
import os
import subprocess
import sys

import numpy as np
import pytest

from fitter import world as worlds
from fitter.base.conditions import Conditions
from fitter.base.units import DEG, MPH
from fitter.physics import engine, flight, impact, vectors
from fitter.simulate.strike import ordinary_head
from tests.support import delivery

DRAWN = worlds.drawn(Conditions(wind_mps=3.0, wind_from_deg=30.0), 5, 3)
AGREE = 1e-9


def shots(n: int, seed: int = 2) -> np.ndarray:
    rng = np.random.default_rng(seed)
    base = np.array([delivery(105, 1, 14)]).repeat(n, axis=0)
    return base + rng.normal(0, 1, (n, 7)) * np.array([1.0, *[1.5 * DEG] * 4, 0.009, 0.007])


def setup(n: int, options: int) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    rng = np.random.default_rng(4)
    change = np.zeros((5, options, 7))
    change[..., 0] = 1 + 0.01 * rng.normal(size=(5, options))
    change[..., 1:5] = rng.normal(size=(5, options, 4)) * DEG
    head = np.broadcast_to(ordinary_head(), (5, options, vectors.HEAD)).copy()
    head[..., 0] += 0.002 * rng.normal(size=(5, options))
    residual = np.broadcast_to([1.0, 0, 0, 1, 0], (5, n, 5)).copy()
    residual += rng.normal(size=residual.shape) * np.array([0.005, 0.005, 0.005, 0.03, 0.03])
    return shots(n), change, head, residual


@pytest.mark.parametrize(("n", "options"), [(1, 1), (7, 5), (64, 1), (13, 10), (30, 7)])
def test_joined_path_equals_its_parts(n: int, options: int) -> None:
    # Strike alone, residual by hand, flight alone: the same numbers, whatever the padding of the last block
    base, change, head, residual = setup(n, options)
    joined = engine.strike_to_rest(base, change, head, residual, DRAWN.world)
    assert joined.shape == (5, options, n, vectors.RESULT)
    for d in range(5):
        deed = np.concatenate(
            [base[None, :, :1] * change[d, :, None, :1], base[None, :, 1:] + change[d, :, None, 1:]], axis=-1
        )
        start = engine.strikes(deed, head[d][:, None], DRAWN.world.model[d])
        start[..., [0, 3]] *= residual[d][:, [0, 3]]
        start[..., [1, 2, 4]] += residual[d][:, [1, 2, 4]]
        one = engine.World(
            *(a[d : d + 1] for a in (DRAWN.world.law, DRAWN.world.model, DRAWN.world.turf)), DRAWN.world.air
        )
        apart = engine.fly(start.reshape(-1, 5), one)[0].reshape(options, n, vectors.RESULT)
        assert np.allclose(joined[d], apart, rtol=AGREE, atol=AGREE)


def test_a_lane_does_not_know_its_neighbours() -> None:
    rows = engine.strikes(shots(100), ordinary_head(), DRAWN.world.model[0])
    every = engine.fly(rows, DRAWN.world)
    for i in (0, 63, 64, 99):
        assert np.array_equal(engine.fly(rows[i : i + 1], DRAWN.world)[:, 0], every[:, i])


def test_threads_change_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    base, change, head, residual = setup(40, 60)
    results = []
    for n in ("1", "2", "3"):
        monkeypatch.setenv("FITTER_THREADS", n)
        results.append(engine.strike_to_rest(base, change, head, residual, DRAWN.world))
    assert np.array_equal(results[0], results[1])
    assert np.array_equal(results[0], results[2])


def test_progress_ends_at_all_and_never_falls() -> None:
    seen: list[tuple[int, int]] = []
    base, change, head, residual = setup(40, 60)
    engine.strike_to_rest(base, change, head, residual, DRAWN.world, lambda a, b: seen.append((a, b)))
    done = [a for a, _ in seen]
    assert done == sorted(done)
    assert seen[-1] == (5 * 40 * 60, 5 * 40 * 60)
    seen.clear()
    engine.fly(np.zeros((10, 5)), DRAWN.world, lambda a, b: seen.append((a, b)))
    assert seen[-1] == (50, 50)


def test_starts_may_differ_by_draw() -> None:
    rows = engine.strikes(shots(6), ordinary_head(), DRAWN.world.model[:, None])
    assert rows.shape == (5, 6, 5)
    out = engine.fly(rows, DRAWN.world)
    assert np.array_equal(out[..., 6:11], rows)


def test_a_world_of_wrong_shape_is_refused() -> None:
    w = DRAWN.world
    with pytest.raises(ValueError, match="a World needs shapes"):
        engine.World(w.law[:3], w.model, w.turf, w.air)
    with pytest.raises(ValueError, match="a World needs shapes"):
        engine.World(w.law, w.model, w.turf, w.air[:5])


def test_each_kernel_has_one_signature() -> None:
    # A stray order or type would compile a second kernel behind the caller's back: seconds, not
    # milliseconds
    if os.environ.get("NUMBA_DISABLE_JIT") == "1":
        pytest.skip("nothing is compiled")
    engine.prepare()
    base, change, head, residual = setup(9, 3)
    engine.strike_to_rest(
        np.asfortranarray(base),
        np.asfortranarray(change),
        head[:, ::-1],
        residual.astype(np.float32),
        DRAWN.world,
    )
    rows = engine.strikes(base, head[0, 0], DRAWN.world.model[0])
    engine.fly(np.asfortranarray(rows), DRAWN.world)
    engine.fly(rows.astype(np.float32)[::2], DRAWN.world)
    engine.bodies(np.asfortranarray(base), head[0, 0], DRAWN.world.model[0])
    entries = (engine._fly_rows, engine._strike_rows, impact.strike_batch, impact.bodies_batch)
    assert {k.__name__: len(k.signatures) for k in entries} == {k.__name__: 1 for k in entries}
    # Inner kernels have none of their own where the entries came from the cache.
    assert all(len(k.signatures) <= 1 for k in (engine._land, flight.flight_block))


def test_plain_python_gives_the_same(tmp_path: object) -> None:
    # The same 64 shots interpreted, NUMBA_DISABLE_JIT=1, to 1e-9
    if os.environ.get("NUMBA_DISABLE_JIT") == "1":
        pytest.skip("this run is plain Python already")
    code = "import json, tests.physics.test_engine as t;print(json.dumps(t.sixty_four().tolist()))"
    run = subprocess.run(
        [sys.executable, "-c", code],
        env=os.environ | {"NUMBA_DISABLE_JIT": "1"},
        capture_output=True,
        text=True,
        check=True,
    )
    assert np.allclose(np.array(json.loads(run.stdout)), sixty_four(), rtol=AGREE, atol=AGREE)


def sixty_four() -> np.ndarray:
    """Sixty-four strikes to rest in one draw, in wind, with misses all over the face."""
    one = worlds.drawn(Conditions(wind_mps=5.0, wind_from_deg=60.0), 1, 9).world
    change = np.zeros((1, 1, 7))
    change[..., 0] = 1.0
    residual = np.broadcast_to([1.01, 0.002, -0.003, 0.98, 0.01], (1, 64, 5))
    head = np.broadcast_to(ordinary_head(), (1, 1, vectors.HEAD))
    return engine.strike_to_rest(shots(64, 8), change, head, residual, one)


def test_speed_is_finite_at_every_corner() -> None:
    corners = (
        np.array(np.meshgrid([60, 230], [-5, 2, 40], [-20, 20], [0, 300, 9000], [-45, 45])).reshape(5, -1).T
    )
    rows = corners * np.array([MPH, DEG, DEG, 2 * np.pi / 60, DEG])
    assert np.all(np.isfinite(engine.fly(rows, DRAWN.world)))
