"""A belief holds what exact formulas say, covers what it promises, and hangs on no order."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from fitter import Kit, demo, read
from fitter.advice.balls import HOME, NONE, OBSERVED, Balls
from fitter.advice.belief import Belief
from fitter.advice.likelihood import Design, likelihood
from fitter.advice.prediction import predict
from fitter.advice.question import ask
from fitter.advice.rank import decided
from fitter.advice.roots import SCALE
from tests.advice.evidence import World, balls


@pytest.fixture(scope="module")
def question():
    return ask(read(demo.folder() / "P1.csv"), Kit.load(demo.folder()), "H4/S2", "carry", draws=200)


@pytest.fixture(scope="module")
def found(question):
    return decided(question)


@pytest.fixture(scope="module")
def paper(found):
    return Belief.of(found.prediction)


def clubs_as_they_are(belief, tier="DE"):
    options = enumerate(belief.options)
    return [i for i, o in options if i and o.tier in tier and not (o.ball_forward_mm or o.tee_mm)]


def with_home(belief, home):
    """A belief whose baseline was hit in an invented world."""
    other = replace(belief)
    other.__dict__["home"] = home
    return other


def test_paper_keeps_the_means_and_is_a_little_wider(paper, found):
    gain = found.prediction.gain
    np.testing.assert_allclose(paper.draws["gain"].mean(axis=0), gain.mean(axis=0), atol=1e-9)
    assert (paper.draws["gain"].std(axis=0)[1:].mean() / gain.std(axis=0)[1:].mean()) > 1.0
    assert not paper.draws["gain"][:, 0].any()
    assert paper.hit[0] == len(found.baseline)
    assert not paper.hit[1:].any()


def test_no_balls_move_nothing(paper):
    same = paper.given(NONE)
    for name, values in paper.draws.items():
        np.testing.assert_array_equal(same.draws[name], values)


def of_some(paper, seed=3):
    i, j = clubs_as_they_are(paper)[:2]
    clubs = [paper.options[k].club for k in (0, i, j)]
    world = World(paper, seed)
    effects = {1: paper.paper.effects([clubs[1].code])[5], 2: paper.paper.effects([clubs[2].code])[5]}
    first = world.hit(clubs, [0, 0, 0, 1, 1, 1, 2, 2, 2, 2, 2, 2, 1, 1, 1, 0, 0, 0], effects, 1)
    return clubs, first


def test_the_posterior_is_that_of_a_dense_gaussian(paper):
    """The textbook formula on all balls at once (Rasmussen & Williams 2006, eq. 2.25-2.26, from memory)."""
    clubs, hit = of_some(paper)
    hit = hit.joined(paper.home)
    p, codes = paper.paper, tuple(sorted(c.code for c in clubs[1:]))
    prior, mean = p.prior(codes), p.effects(codes).mean(axis=0)
    own = paper.options[0].club.code
    told = likelihood(hit, codes, own, p.roots, mean, np.linalg.inv(prior))
    found = mean + prior @ np.linalg.solve(
        np.eye(len(prior)) + told.precision @ prior, told.pull - told.precision @ mean
    )
    design, n = Design.of(hit, codes, own, p.roots), len(hit)
    full = np.zeros((n, 7, n, 7))
    for k, cov in enumerate(design.prior):
        x = design.x[:, k]
        full += np.einsum("i,j,cd->icjd", x, x, cov)
    for i in range(n):
        # A t of 5 degrees over 7 channels tells 12/14 of what its weighted normal would.
        full[i, :, i, :] += told.scatter / told.weights[i] * 14.0 / 12.0
    y = (hit.table / SCALE).reshape(-1)
    seen = np.flatnonzero(np.isfinite(y))
    z = np.einsum("ik,cd->ickd", design.x[:, design.nuisances :], np.eye(7)).reshape(7 * n, -1)[seen]
    whole = full.reshape(7 * n, 7 * n)[np.ix_(seen, seen)] + z @ prior @ z.T
    exact = mean + prior @ z.T @ np.linalg.solve(whole, y[seen] - z @ mean)
    np.testing.assert_allclose(found, exact, atol=1e-6)
    narrowed = prior - prior @ z.T @ np.linalg.solve(whole, z @ prior)
    mine = prior @ np.linalg.inv(np.eye(len(prior)) + told.precision @ prior)
    np.testing.assert_allclose(mine, narrowed, atol=1e-6)


def test_moved_draws_have_the_posterior_mean_and_spread_of_the_hit_clubs(paper):
    _, hit = of_some(paper)
    after = paper.given(hit)
    p, codes = paper.paper, after.clubs
    prior, mean = p.prior(codes), p.effects(codes).mean(axis=0)
    exact = mean + prior @ np.linalg.solve(
        np.eye(len(prior)) + after.told.precision @ prior, after.told.pull - after.told.precision @ mean
    )
    sd = np.sqrt(np.diag(prior @ np.linalg.inv(np.eye(len(prior)) + after.told.precision @ prior)))
    for k, code in enumerate(codes):
        at = paper.ids.index(p.id_of(code))
        change = after.draws["carry"][:, at] - after.draws["carry"][:, 0]
        # The mean of 200 draws has a standard error of 0.07 SD; fourteen are looked at.
        assert change.mean() / SCALE[4] == pytest.approx(exact[7 * k + 4], abs=0.25 * sd[7 * k + 4])
        # 200 draws tell an SD to 5 %; what they hold by chance of other clubs is shrunk away.
        assert change.std() / SCALE[4] == pytest.approx(sd[7 * k + 4], rel=0.25)


def test_the_order_in_which_balls_came_makes_no_difference(paper):
    _, hit = of_some(paper)
    odd = np.arange(len(hit)) % 2 == 1
    one = paper.given(hit).draws["gain"]
    np.testing.assert_array_equal(paper.given(hit.take(odd)).given(hit.take(~odd)).draws["gain"], one)
    back = np.arange(len(hit))[::-1]
    np.testing.assert_array_equal(paper.given(hit.take(back)).draws["gain"], one)


def test_no_ball_counts_twice(paper):
    _, hit = of_some(paper)
    one = paper.given(hit)
    again = one.given(hit)
    np.testing.assert_array_equal(again.draws["gain"], one.draws["gain"])
    # The baseline's own balls made the prediction; given again they are the same reference and no more.
    np.testing.assert_array_equal(one.given(paper.home).draws["gain"], one.draws["gain"])


def test_a_ball_tells_of_options_that_share_its_head(paper):
    i = clubs_as_they_are(paper, "D")[0]
    head = paper.options[i].club.head.code
    clubs = [paper.options[0].club, paper.options[i].club]
    effects = paper.paper.effects([clubs[1].code])
    low = effects.mean(axis=0) - 2.0 * np.sqrt(np.diag(paper.paper.prior([clubs[1].code])))
    order = [0] * 6 + [1] * 6 + [1] * 6 + [0] * 6
    world = World(paper, 2, skill=0.05)
    after = paper.given(world.hit(clubs, order, {1: low}, 1))
    moved = (after.draws["carry"] - paper.draws["carry"]).mean(axis=0)
    sharing = [k for k, o in enumerate(paper.options) if o.club.head.code == head and k != i]
    others = [k for k, o in enumerate(paper.options) if o.tier == "A"]
    assert abs(np.mean(moved[sharing])) > 2.0 * abs(np.mean(moved[others]))


def test_a_day_of_200_balls_is_no_certainty(paper):
    i = clubs_as_they_are(paper, "D")[0]
    clubs = [paper.options[0].club, paper.options[i].club]
    effects = {1: paper.paper.effects([clubs[1].code])[3]}
    few, many = ([0] * n + [1] * n + [1] * n + [0] * n for n in (5, 100))
    sds = [
        float(paper.given(World(paper, 4).hit(clubs, order, effects, 1)).draws["carry"][:, i].std())
        for order in (few, many)
    ]
    own_day = SCALE[4] * np.sqrt(2.0 * paper.paper.roots.covariance("own_day")[4, 4])
    assert sds[1] < sds[0]
    # Launch, spin and speed of the same day tell part of the own day's carry, never all.
    assert sds[1] > 0.4 * own_day


def test_one_wild_ball_hardly_moves_a_club(paper):
    clubs, hit = of_some(paper)
    table = hit.table.copy()
    at = int(np.flatnonzero(hit.club == 1)[2])
    table[at, 4:6] -= 80.0
    wild = replace(hit, values={name: table[:, k] for k, name in enumerate(OBSERVED)})
    option = paper.ids.index(paper.paper.id_of(clubs[1].code))
    a, b = (paper.given(x).draws["carry"][:, option].mean() for x in (hit, wild))
    # The plain mean of six would fall by 13 m.
    assert abs(b - a) < 3.0


def test_balls_of_a_club_that_nobody_predicted_are_refused(paper):
    stranger = replace(paper.options[1].club, length_in=replace_length(paper.options[1].club))
    y = np.tile(paper.paper.here / SCALE, (3, 1))
    with pytest.raises(ValueError, match="not predicted"):
        paper.given(balls([stranger], [0, 0, 0], y, 1))


def replace_length(club):
    return club.length_in._replace(value=49.0)


def test_channels_that_nobody_measured_are_left_out(paper):
    clubs, hit = of_some(paper)
    table = hit.table.copy()
    table[:, [0, 5, 6]] = np.nan
    partly = replace(hit, values={name: table[:, k] for k, name in enumerate(OBSERVED)})
    after = paper.given(partly)
    assert np.isfinite(after.draws["gain"]).all()
    channels = {c.channel for c in after.compared if c.option == paper.paper.id_of(clubs[1].code)}
    assert channels == {"ball_speed_mps", "launch_deg", "spin_rpm", "carry_m"}


def test_what_more_balls_would_teach_is_what_they_teach(paper):
    """Law of total variance: prior variance less what remains is what the posterior mean moves by."""
    i = clubs_as_they_are(paper, "D")[0]
    learned = paper.learned(i, 6)
    assert learned[i] > 0.0
    assert learned[0] == 0.0
    assert learned[i] < paper.draws["gain"][:, i].std() * 1.05
    assert paper.learned(i, 12)[i] > learned[i]
    clubs = [paper.options[0].club, paper.options[i].club]
    effects = {1: paper.paper.effects([clubs[1].code])[9]}
    order = [0] * 3 + [1] * 3 + [1] * 3 + [0] * 3
    after = paper.given(World(paper, 8).hit(clubs, order, effects, HOME + 1))
    left = np.sqrt(paper.draws["gain"][:, i].var() - learned[i] ** 2)
    assert after.draws["gain"][:, i].std() == pytest.approx(left, rel=0.35)
    assert after.learned(i, 6)[i] < learned[i]


def covered(paper, truth, rounds, seed):
    """Share of the hit clubs' gains inside their 80 % intervals."""
    rng, inside = np.random.default_rng(seed), []
    able = clubs_as_they_are(paper, "CDE")
    for k in range(rounds):
        at = list(rng.choice(able, 2, replace=False))
        draw = int(rng.integers(len(truth.paper.values)))
        clubs = [paper.options[i].club for i in (0, *at)]
        effects = {n + 1: truth.paper.effects([c.code])[draw] for n, c in enumerate(clubs[1:])}
        world = World(paper, 1000 * seed + k)
        one = with_home(paper, world.hit(clubs, [0] * 14, {}, HOME))
        run = int(rng.integers(2, 5))
        after = one.given(world.hit(clubs, list(np.repeat([0, 1, 2, 2, 1, 0], run)), effects, 1))
        low, high = np.quantile(after.draws["gain"], [0.1, 0.9], axis=0)
        real = truth.draws["gain"][draw]
        inside += [bool(low[i] <= real[i] <= high[i]) for i in at]
    return inside


def test_intervals_cover_what_they_promise(paper, question, found):
    """Truth drawn with other random numbers, with drift, days and own days: 160 clubs."""
    other = replace(question, seed=2)
    truth = Belief.of(predict(paper.options, other, found.baseline), seed=2)
    inside = covered(paper, truth, 80, 1)
    # 80 % of 160: one in a thousand lies outside these.
    low, high = stats.binom.ppf([0.0005, 0.9995], len(inside), 0.8)
    assert low <= sum(inside) <= high


@pytest.mark.slow
def test_intervals_cover_between_76_and_84_of_100(paper, question, found):
    """The same with 1,200 clubs, which tell 1.2 of 100."""
    other = replace(question, seed=2)
    truth = Belief.of(predict(paper.options, other, found.baseline), seed=2)
    assert 0.76 <= np.mean(covered(paper, truth, 600, 2)) <= 0.84


def test_balls_know_their_clubs(paper):
    clubs, hit = of_some(paper)
    counts = hit.counts()
    assert counts == {clubs[0].code: 6, clubs[1].code: 6, clubs[2].code: 6}
    assert isinstance(hit.joined(NONE), Balls)
    after = paper.given(hit)
    assert after.hit[0] == len(paper.home) + 6
    assert after.hit[paper.ids.index(paper.paper.id_of(clubs[1].code))] == 6
