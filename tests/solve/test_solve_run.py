"""One factorisation for many loads, and the guard on the answer."""

from __future__ import annotations

import numpy as np
import pytest
from sets import PO, R0

from meshes import box
from orthofem.errors import ModelError
from orthofem.solve import (
    BodyForce,
    Fixed,
    Model,
    Resultant,
    Supported,
    Traction,
    linear,
    run,
    solve,
)
from orthofem.tensors import rotate_stiffness, stiffness

C = rotate_stiffness(stiffness(PO), R0)


@pytest.fixture(scope="module")
def model():
    """A box of turned orthotropic material."""
    return Model(box((0, 0, 0), (4, 3, 2), (3, 3, 2)), C)


def test_load_sets_superpose(model):
    """The answer to loads acting together is the sum of the answers, prescribed part aside."""
    a, b = Traction("x1", (1, 2, 3)), BodyForce((0, 0, -1))
    found = solve(model, [Fixed("x0")], [[a], [b], [a, b], [a, a, b]])
    u = found.displacement
    np.testing.assert_allclose(u[..., 0] + u[..., 1], u[..., 2], atol=1e-12)
    np.testing.assert_allclose(2 * u[..., 0] + u[..., 1], u[..., 3], atol=1e-12)
    s = found.stress
    np.testing.assert_allclose(s[..., 0] + s[..., 1], s[..., 2], atol=1e-9)


def test_prescribed_displacement_in_every_set(model):
    """A prescribed displacement acts in each load set, the empty one included."""
    supports = [Fixed("x0"), Fixed("x1", (0,), 0.02)]
    found = solve(model, supports, [[], [Traction("y1", (0, 1, 0))]])
    nodes = model.space.surface_nodes("x1")
    np.testing.assert_allclose(found.displacement[0, nodes], 0.02, rtol=1e-12)
    assert np.abs(found.displacement[..., 0] - found.displacement[..., 1]).max() > 1e-5


def test_one_factor_serves_later_loads(model, monkeypatch):
    """A supported model solves further loads without a second factorisation."""
    calls = []
    true = run.factorise

    def counted(*args):
        calls.append(args)
        return true(*args)

    monkeypatch.setattr(run, "factorise", counted)
    held = Supported(model, [Fixed("x0")])
    first = held.solve([[Traction("x1", (1, 0, 0))]])
    second = held.solve([[Traction("x1", (2, 0, 0))], [Resultant("x1", moment=(1, 0, 0))]])
    assert len(calls) == 1
    assert second.n_loads == 2
    np.testing.assert_allclose(
        second.displacement[..., 0], 2 * first.displacement[..., 0], atol=1e-14
    )


def test_no_load_set(model):
    """An empty list of load sets is refused, and what to write instead is said."""
    with pytest.raises(ValueError, match="No load set given; pass"):
        solve(model, [Fixed("x0")], [])


def _sloppy(factor):
    """A way to factorise whose answers are too large by a factor."""

    def factorise(model, held, method):
        true = linear.factorise(model, held, method)
        return linear.Factor(lambda f: factor * true.solve(f), "sloppy", [])

    return factorise


def test_small_error_of_the_solver_is_corrected(model, monkeypatch):
    """One correction with the residual takes a thousandth off to a millionth."""
    monkeypatch.setattr(run, "factorise", _sloppy(1.001))
    held, load = [Fixed("x0")], [[Traction("x1", (1, 0, 0))]]
    corrected = solve(model, held, load)
    assert corrected.residual < 1e-6
    monkeypatch.undo()
    exact = solve(model, held, load)
    np.testing.assert_allclose(
        corrected.displacement, exact.displacement, atol=2e-6 * np.abs(exact.displacement).max()
    )


def test_wrong_answer_is_not_given(model, monkeypatch):
    """A solver that returns something else than the solution is caught by the residual."""
    monkeypatch.setattr(run, "factorise", _sloppy(1.1))
    with pytest.raises(ModelError, match="left a relative residual of .* not to be trusted"):
        solve(model, [Fixed("x0")], [[Traction("x1", (1, 0, 0))]])


def test_nan_from_the_solver_is_not_given(model, monkeypatch):
    """NaN from a solver is caught too."""
    monkeypatch.setattr(
        run, "factorise", lambda *args: linear.Factor(lambda f: f * np.nan, "broken", [])
    )
    with pytest.raises(ModelError, match="left a relative residual of nan"):
        solve(model, [Fixed("x0")], [[Traction("x1", (1, 0, 0))]])


def test_residual_is_small(model):
    """The residual that a solution carries is round-off."""
    assert solve(model, [Fixed("x0")], [[Traction("x1", (1, 0, 0))]]).residual < 1e-11
