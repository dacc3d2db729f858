"""Natural frequencies of a tapered shaft with a tip mass against scikit-fem, a general package.

C: the same equations, assembled and solved by independent code (its own Hermite element, mesh, quadrature and
SciPy's dense eigenvalue solver); stiffness and mass are given to it as functions, not at nodes.
"""

import numpy as np
import pytest
import skfem
from scipy.linalg import eigh
from skfem.helpers import dd

from fitter.kit.beam import Tip, beam, frequencies_cpm, tip_flexibility
from fitter.kit.profile import mass_at, section


def package_cpm(ei, mu, length: float, tip: float, modes: int, elements: int = 64) -> np.ndarray:
    mesh = skfem.MeshLine(np.linspace(0.0, length, elements + 1))
    basis = skfem.Basis(mesh, skfem.ElementLineHermite())

    @skfem.BilinearForm
    def bending(u, v, w):
        return ei(w.x[0] / length) * dd(u)[0, 0] * dd(v)[0, 0]

    @skfem.BilinearForm
    def inertia(u, v, w):
        return mu(w.x[0] / length) * u * v

    k, m = bending.assemble(basis).toarray(), inertia.assemble(basis).toarray()
    end = int(basis.nodal_dofs[0, np.argmax(mesh.p[0])])
    m[end, end] += tip
    clamped = basis.get_dofs(lambda x: np.isclose(x[0], 0.0)).all()
    free = np.setdiff1d(np.arange(k.shape[0]), clamped)
    values = eigh(k[np.ix_(free, free)], m[np.ix_(free, free)], eigvals_only=True)
    return np.sqrt(values[:modes]) * 30 / np.pi


@pytest.mark.parametrize("tip", [0.0, 0.205])
def test_against_linear_taper(tip: float) -> None:
    expected = package_cpm(lambda s: 70 - 50 * s, lambda s: 0.07 - 0.02 * s, 1.02, tip, 3)
    found = frequencies_cpm(beam([70.0, 20.0], [0.07, 0.05], 1.02, 48), Tip(tip), 3)
    assert found == pytest.approx(expected, rel=2e-6)


def test_against_the_profile_of_a_shop_shaft() -> None:
    # log-linear stiffness between butt, middle and tip, cut and clamped: 12 elements as used in batches
    log_ei = np.log([78.0, 45.0, 24.0])
    start, raw, mass, balance = 0.2, 1.168, 0.064, 0.51

    def share(s):
        return (start + (raw - start) * s) / raw

    def ei(s):
        at = share(s) * 2
        return np.exp(np.where(at < 1, log_ei[0] + (log_ei[1] - log_ei[0]) * at,
                               log_ei[1] + (log_ei[2] - log_ei[1]) * (at - 1)))  # fmt: skip

    expected = package_cpm(ei, lambda s: mass_at(mass, raw, balance, share(s)), raw - start, 0.205, 1, 96)
    part = section(log_ei, raw, mass, balance, start)
    assert frequencies_cpm(part, Tip(0.205)) == pytest.approx(expected, rel=1e-3)


def test_static_tip_load_against_the_package() -> None:
    mesh = skfem.MeshLine(np.linspace(0.0, 1.0, 65))
    basis = skfem.Basis(mesh, skfem.ElementLineHermite())

    @skfem.BilinearForm
    def bending(u, v, w):
        return (70 - 50 * w.x[0]) * dd(u)[0, 0] * dd(v)[0, 0]

    k = bending.assemble(basis).toarray()
    end = int(basis.nodal_dofs[0, np.argmax(mesh.p[0])])
    clamped = basis.get_dofs(lambda x: np.isclose(x[0], 0.0)).all()
    free = np.setdiff1d(np.arange(k.shape[0]), clamped)
    load = np.zeros(k.shape[0])
    load[end] = 1.0
    w = np.linalg.solve(k[np.ix_(free, free)], load[free])[np.searchsorted(free, end)]
    assert float(tip_flexibility(beam([70.0, 20.0], 0.0, 1.0))[0]) == pytest.approx(w, rel=1e-6)
