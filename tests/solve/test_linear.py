"""Three linear solvers, one answer; and what they say when they cannot."""

from __future__ import annotations

import numpy as np
import pytest
import scipy.sparse as sp
from sets import KAW3, PO, R0

from meshes import box, ring_sector
from orthofem.errors import ModelError
from orthofem.solve import METHODS, Balanced, Fixed, Model, Resultant, Traction, linear, solve
from orthofem.solve import pardiso as supernodal
from orthofem.solve.threads import allowed_threads
from orthofem.tensors import rotate_stiffness, stiffness

needs_direct = pytest.mark.skipif(supernodal.library() is None, reason="no direct solver here")


def clamped(method, constants=PO):
    """A ring sector shifted at one end, pulled and turned at the other."""
    C = rotate_stiffness(stiffness(constants), R0)
    model = Model(ring_sector(np.linspace(2, 4, 5), 3.0, 8, 4), C)
    pull = [[Traction("z1", (0.1, -0.2, 0.3))], [Resultant("z1", moment=(1, 2, 3))]]
    return solve(model, [Fixed("z0", value=(0.01, 0.0, -0.02))], pull, method)


@pytest.mark.parametrize("method", [pytest.param("direct", marks=needs_direct), "iterative"])
@pytest.mark.parametrize("constants", [PO, KAW3], ids=["PO", "KAW3"])
def test_solvers_agree(method, constants):
    """Every method gives SciPy's answer, with prescribed displacements and several loads."""
    wanted = clamped("scipy", constants).displacement
    found = clamped(method, constants)
    assert found.method == method
    np.testing.assert_allclose(found.displacement, wanted, atol=1e-7 * np.abs(wanted).max())
    assert len(found.iterations) == (2 if method == "iterative" else 0)


@pytest.mark.parametrize("method", [pytest.param("direct", marks=needs_direct), "iterative"])
def test_solvers_agree_on_a_free_body(method):
    """The same under balanced loads, where six single unknowns take away rigid motion."""
    model = Model(box((0, 0, 0), (6, 2, 2), (6, 3, 3)), stiffness(PO))
    loads = [[Resultant("x0", moment=(0, -5, 0)), Resultant("x1", moment=(0, 5, 0))]]
    wanted, found = (solve(model, [Balanced()], loads, m).displacement for m in ("scipy", method))
    np.testing.assert_allclose(found, wanted, atol=1e-7 * np.abs(wanted).max())


def test_unknown_solver():
    """An unknown method is answered with the choices."""
    with pytest.raises(ValueError, match="Unknown solver 'dircet'. Did you mean 'direct'"):
        clamped("dircet")


def test_choice_by_size_and_platform(monkeypatch):
    """Small models go direct, large ones iterate; without a direct solver all methods still run."""
    monkeypatch.setattr(linear, "library", object)
    assert linear.preferred_method(100_000) == "direct"
    assert linear.preferred_method(1_000_000) == "iterative"
    monkeypatch.setattr(linear, "library", lambda: None)
    assert linear.preferred_method(10_000) == "scipy"
    assert linear.preferred_method(100_000) == "iterative"
    assert set(METHODS) == {"direct", "scipy", "iterative"}


def test_no_direct_solver_on_this_platform(monkeypatch):
    """Asking for a solver that is not installed says what to use instead."""
    monkeypatch.setattr(linear, "library", lambda: None)
    monkeypatch.setattr(supernodal, "library", lambda: None)
    with pytest.raises(ModelError, match="use method='iterative' or 'scipy'"):
        clamped("direct")
    assert clamped("auto").method == "scipy"


@needs_direct
@pytest.mark.parametrize("kind", [sp.csr_matrix, lambda m: sp.bsr_matrix(m, blocksize=(3, 3))])
def test_matrix_that_is_not_positive_definite_is_refused(kind):
    """A factorisation that breaks down becomes a message, not a number.

    On several threads the library now and then overlooks it; the residual then tells.
    """
    supernodal.library().MKL_Set_Num_Threads(1)
    try:
        with pytest.raises(ModelError, match="could not factorise the stiffness matrix .code"):
            supernodal.Pardiso(kind(np.diag([1.0, 2.0, 3.0, 4.0, -5.0, 6.0])))
    finally:
        supernodal.library().MKL_Set_Num_Threads(allowed_threads())


@needs_direct
def test_condensed_factor():
    """Unknowns kept out of the factor have the matrix that remains of the whole one for them."""
    rng = np.random.default_rng(2)
    half = rng.normal(size=(9, 9))
    whole, kept = half @ half.T, np.array([1, 4, 8])
    factor = supernodal.Pardiso(sp.csr_matrix(np.triu(whole)), kept)
    remaining = np.triu(factor.remaining) + np.triu(factor.remaining, 1).T
    inverse = np.linalg.inv(whole)[np.ix_(kept, kept)]
    np.testing.assert_allclose(np.linalg.inv(remaining), inverse, rtol=1e-8)
    right = rng.normal(size=(9, 2))
    reduced = factor.solve(right, supernodal.FORWARD)
    reduced[kept] = np.linalg.solve(remaining, reduced[kept])
    answer = factor.solve(reduced, supernodal.BACKWARD)
    np.testing.assert_allclose(answer, np.linalg.solve(whole, right), rtol=1e-8)


def test_iteration_that_does_not_converge(monkeypatch):
    """Conjugate gradients that do not get there raise instead of giving what they have."""
    few = linear.cg
    monkeypatch.setattr(linear, "cg", lambda *a, **k: few(*a, **{**k, "maxiter": 3}))
    model = Model(box((0, 0, 0), (1, 1, 1), (5, 5, 4)), stiffness(PO))
    factor = linear.factorise(model, np.arange(12), "iterative")
    with pytest.raises(ModelError, match="did not reach 1e-10 in 3 steps"):
        factor.solve(np.ones((model.space.n_unknowns, 1)))
