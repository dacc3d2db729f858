"""Mechanics of many clubs: against the single functions, shared draws, and a cost that is linear."""

import itertools

import numpy as np
import pytest

from fitter.base import draws
from fitter.base.assumptions import current
from fitter.kit import body as weights
from fitter.kit.beam import Tip, bend_near_impact
from fitter.kit.body import assemble, cut_shaft
from fitter.kit.card import card_club
from fitter.kit.club import Club
from fitter.kit.figures import Reading
from fitter.kit.mechanics import describe
from fitter.kit.parts import Head, Place, Shaft
from fitter.kit.profile import fit, section
from fitter.physics import geometry, vectors
from tests.support import counted_calls

DEG = np.pi / 180
SHAFT = Shaft("S1", mass_g=Reading(62.0), balance_pct=Reading(51.0), length_in=Reading(46.0),
              frequency_cpm=Reading(250.0), grip_mass_g=Reading(48.0))  # fmt: skip
HEAD = Head(
    "H1", loft_deg=Reading(10.0), mass_g=Reading(201.0), face_angle_deg=Reading(-1.0), lie_deg=Reading(58.0)
)


def test_one_club_against_the_single_functions() -> None:
    m = describe([Club(HEAD, SHAFT, Reading(45.0), loft_change_deg=1.0)], 48.0)
    cut = 46 * 0.0254 - (45 * 0.0254 - 0.06)
    mass, share, left = cut_shaft(0.062, 0.51, 46 * 0.0254, cut)
    assert float(left) == pytest.approx(45 * 0.0254 - 0.06)
    body = assemble(45 * 0.0254, 0.201, mass, share, 0.048)
    assert m.mass[0, 0] == pytest.approx(float(body.mass_kg))
    assert m.moi[0, 0] == pytest.approx(float(body.moi_kgcm2))
    assert m.points[0, 0] == pytest.approx(float(body.points))
    assert m.loft[0, 0] / DEG == pytest.approx(11.0)
    # closed form to first order: 1 deg of loft closes the soled face by tan(58 deg)
    assert m.soled_face[0, 0] / DEG == pytest.approx(-1.0 - np.tan(58 * DEG), abs=0.02)
    p = fit(SHAFT)
    part = section(p.log_ei.draw(), p.length_m, p.mass_kg, p.balance, cut + 4 * 0.0254)
    w, slope = bend_near_impact(part, Tip(0.201, 0.035, 0.018), 48.0, 1.5, in_plane=True)
    assert m.lead[0, 0] == pytest.approx(float(w[0]), rel=2e-3)
    assert m.lead_slope[0, 0] == pytest.approx(float(slope[0]), rel=2e-3)


def test_draws_of_the_bend_follow_the_beam() -> None:
    # the slopes of the logarithms against solving every draw's own beam
    n = 64
    m = describe([Club(HEAD, SHAFT, Reading(45.0, 0.0))], 48.0, n)
    p, axis = fit(SHAFT), current()["head.axis_depth_mm"]
    offset = m.cg_depth[:, 0] - (axis.value + axis.sd * draws.normals(n, 1, "head", "H1 axis_depth_mm")) / 1e3
    cut = 46 * 0.0254 - (45 * 0.0254 - 0.06)
    part = section(p.log_ei.draw(n), p.length_m, p.mass_kg, p.balance, cut + 4 * 0.0254)
    w, slope = bend_near_impact(part, Tip(m.head_mass[:, 0], 0.035, offset), 48.0, 1.5, in_plane=True)
    assert m.lead_slope[:, 0] == pytest.approx(slope, rel=0.015)
    assert m.lead[:, 0] == pytest.approx(w, rel=0.015)
    assert np.std(slope / offset) > 0.03 * np.mean(slope / offset)


def test_shared_parts_share_their_draws() -> None:
    clubs = [
        Club(HEAD, SHAFT, Reading(45.0)),
        Club(HEAD, SHAFT, Reading(45.0), 1.0),
        Club(HEAD, Shaft("S2"), Reading(45.0)),
    ]
    m = describe(clubs, 48.0, 64)
    assert np.ptp(m.loft[:, 1] - m.loft[:, 0]) < 1e-12
    assert np.array_equal(m.head_mass[:, 0], m.head_mass[:, 2])
    assert m.mass[:, 0].std() > 0
    assert np.array_equal(m.mass[:, 0], m.mass[:, 1])
    assert not np.allclose(m.mass[:, 0], m.mass[:, 2])
    # another order, and alone, changes nothing
    again = describe(clubs[::-1], 48.0, 64)
    assert np.array_equal(again.lead_slope[:, ::-1], m.lead_slope)
    assert np.array_equal(describe(clubs[2:], 48.0, 64).moi[:, 0], m.moi[:, 2])


def test_parts_of_a_card_stay_together() -> None:
    card = card_club({"measured": {"length_in": 45.5, "total_mass_g": 315, "swing_weight": "D3"}})
    m = describe([card, Club(card.head, Shaft("S2"), Reading(45.5))], 48.0, 128)
    assert m.mass[:, 0].std() * 1e3 < 0.8
    assert m.head_mass[:, 0].std() * 1e3 > 1.5
    assert np.array_equal(m.head_mass[:, 0], m.head_mass[:, 1])


def test_ordered_heads_differ_from_the_gauged_one() -> None:
    ordered = Head("H1", loft_deg=Reading(10.0, 0.3), stock="order")
    rack = Head("H2", loft_deg=Reading(10.0, 0.3))
    m = describe([Club(h, SHAFT, Reading(45.0)) for h in (ordered, rack)], 48.0, 256)
    sd = m.loft.std(axis=0) / DEG
    assert sd[1] == pytest.approx(0.3, rel=0.02)
    assert sd[0] == pytest.approx(np.hypot(0.3, 0.7), rel=0.1)


def test_moved_weight() -> None:
    places = (Place("heel", -45, -15, 60), Place("toe", 45, -15, 60))
    head = Head("H1", loft_deg=Reading(10.0), mass_g=Reading(200.0), weight_g=Reading(10.0), weights=places)
    m = describe([Club(head, SHAFT, Reading(45.0)), Club(head, SHAFT, Reading(45.0), place="toe"),
                  Club(head, SHAFT, Reading(45.0), swap_g=5.0)], 48.0)  # fmt: skip
    assert (m.cg_toe[0, 1] - m.cg_toe[0, 0]) * 1e3 == pytest.approx(4.5)
    assert m.head_mass[0] * 1e3 == pytest.approx([200, 200, 205])
    assert m.cg_depth[0, 2] > m.cg_depth[0, 0]


def test_weight_moves_conserve_the_tensor_of_points() -> None:
    # closed form: a head made of points, tensor summed directly before and after the move
    rng = np.random.default_rng(2)
    mass, place = rng.uniform(0.01, 0.05, 6), rng.uniform(-0.05, 0.05, (6, 3))

    def body(m: np.ndarray, r: np.ndarray) -> tuple[float, np.ndarray, np.ndarray]:
        centre = (m[:, None] * r).sum(0) / m.sum()
        return m.sum(), centre, weights.point_tensor(m, r - centre).sum(0)

    moved, m2 = place.copy(), mass.copy()
    moved[2] = [0.01, -0.02, 0.03]
    m2[2] += 0.004
    found = weights.move(*body(mass, place), mass[2], place[2], moved[2], 0.004)
    for a, b in zip(found, body(m2, moved), strict=True):
        assert np.allclose(a, b, atol=1e-15)
    # and a tensor is what turns: compare with the matrix form of the inertia tensor
    six = weights.point_tensor(0.2, np.array([0.01, 0.02, 0.03]))
    r = np.array([0.01, 0.02, 0.03])
    full = 0.2 * (r @ r * np.eye(3) - np.outer(r, r))
    assert six == pytest.approx([*np.diag(full), full[0, 1], full[0, 2], full[1, 2]])


def test_kernel_heads_follow_the_strikes_columns() -> None:
    row = describe([Club(HEAD, SHAFT, Reading(45.0))], 48.0).kernel_heads()[0, 0]
    assert row[vectors.HEAD_MASS] == pytest.approx(0.201)
    assert row[vectors.DEPTH] == pytest.approx(0.0378)
    assert row[vectors.I_UP] == pytest.approx(5e-4)
    assert row[vectors.I_NORMAL_UP] == pytest.approx(-733e-7)
    assert row[vectors.BULGE] == pytest.approx(1 / 0.305)
    assert row[vectors.COR_OFFSET] == 0.0


def test_cutting_a_shaft_keeps_its_pieces() -> None:
    # closed form: the cut piece and the rest have the mass and the moment of the whole
    whole, b, length = 0.062, 0.47, 1.17
    rest, share, left = (float(x) for x in cut_shaft(whole, b, length, 0.08, 0.02))
    butt = [float(x) for x in cut_shaft(whole, b, length, 0.0, length - 0.08)]
    tip = [float(x) for x in cut_shaft(whole, b, length, length - 0.02, 0.0)]
    assert rest + butt[0] + tip[0] == pytest.approx(whole)
    assert left == pytest.approx(1.07)
    moment = (
        rest * (0.08 + share * left) + butt[0] * butt[1] * 0.08 + tip[0] * (length - 0.02 + tip[1] * 0.02)
    )
    assert moment == pytest.approx(whole * b * length)


def test_a_full_option_set_is_described_at_a_linear_cost() -> None:
    # heads x settings x shafts x lengths x weights, then ball positions x tee heights: at least 5,000
    heads = [Head(f"H{i}", stamped_loft_deg=Reading(8.0 + i), settings=(-1.0, 0.0, 1.0)) for i in range(6)]
    shafts = [Shaft(f"S{i}", frequency_cpm=Reading(230.0 + 5 * i)) for i in range(8)]
    clubs = [
        Club(h, s, Reading(length), setting, swap_g=swap)
        for h, s, length, setting, swap in itertools.product(
            heads, shafts, (44.5, 45.0, 45.5, 46.0), (-1.0, 0.0, 1.0), (0.0, 4.0)
        )
    ]
    balls, tees = np.array([0.0, 0.01, 0.02]), np.array([-0.01, 0.0, 0.01])

    def options(some: list[Club]) -> int:
        m = describe(some, 48.0)
        moved = geometry.forward(balls[:, None], 0.0, 0.0, 0.0, m.loft, 48.0, 1.5, 47 * DEG, 2500 * DEG, 1.3)
        high = geometry.strike_height(tees[:, None, None], m.loft + moved.loft) - moved.rise
        assert high.shape == (3, 3, len(some))
        return high.size

    assert options(clubs) >= 5000
    # Counted in calls: what each club costs does not grow with their number.
    few = counted_calls(lambda: options(clubs[::4]) > 0)
    every = counted_calls(lambda: options(clubs) > 0)
    assert every < 5 * few
    # To read a club's figures takes a dozen; a beam solved for each would take hundreds.
    assert every < 20 * len(clubs)
