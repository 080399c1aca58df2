"""Error estimate by smoothing, against the known error of a manufactured solution."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from manufactured import SIDES, C, body_force, exact, slope, strain
from sets import PO
from skfem import MeshTet1

from meshes import box, placed, sides
from orthofem.solve import BodyForce, Fixed, Model, Traction, estimate_error, solve
from orthofem.solve.solution import strains
from orthofem.tensors import ElasticConstants, stiffness


def solved(n, order, moved):
    """Manufactured cube, n cells a side, its inner corners moved by that share of a cell."""
    t = np.linspace(0, 1, n + 1)
    mesh = MeshTet1.init_tensor(t, t, t)
    inner = ((mesh.p > 1e-9) & (mesh.p < 1 - 1e-9)).all(axis=0)
    shift = np.random.default_rng(51077).uniform(-moved / n, moved / n, mesh.p.shape)
    mesh = placed(replace(mesh, doflocs=mesh.p + inner * shift), sides((0, 0, 0), (1, 1, 1)))
    model = Model(mesh, {"body": C}, order=order, exactness=order)
    return solve(model, [Fixed(side, value=exact) for side in SIDES], [[BodyForce(body_force)]])


def true_error(found):
    """Energy norm squared of the error in each cell, on a finer quadrature."""
    fine = Model(found.model.mesh, {"body": C}, order=found.model.order, exactness=6).space
    lost = strains(fine.gradients, found.displacement[:, fine.cell_nodes])[..., 0]
    lost = lost - strain(slope(fine.points))
    return np.einsum("icq,ij,jcq,cq->c", lost, C, lost, fine.volumes)


@pytest.mark.parametrize("moved", [0.0, 0.15])
@pytest.mark.parametrize(("order", "low", "high"), [(1, 0.95, 1.1), (2, 0.65, 0.8)])
def test_effectivity(order, moved, low, high, verify):
    """Estimated over true error: near 1 for linear elements; for quadratic ones 0.7, steady.

    Smoothing gains an order for linear elements; for quadratic ones it gains none, and so reads
    30 % low. It tells where the error is, and how it shrinks, not how large it is.
    """
    ratios = []
    for n in (4, 8):
        found = solved(n, order, moved)
        estimate, truth = estimate_error(found), true_error(found)
        ratios.append(estimate.norm[0] / np.sqrt(truth.sum()))
        local = np.sqrt(estimate.squared[:, 0] / truth)
        print(f"order {order}, {n} a side: effectivity {ratios[-1]:.3f}; by cell, 5 to 95 %: "
              f"{np.percentile(local, 5):.2f} to {np.percentile(local, 95):.2f}")  # fmt: skip
        assert low < ratios[-1] < high
        assert np.percentile(local, 5) > 0.4
        assert np.percentile(local, 95) < 1.8
    assert abs(ratios[1] / ratios[0] - 1) < 0.08


def test_cells_with_most_error_are_found():
    """Of the tenth of the cells with the largest true error, most are in the estimate's tenth."""
    found = solved(8, 2, 0.15)
    estimate, truth = estimate_error(found).squared[:, 0], true_error(found)
    tenth = truth.size // 10
    both = np.intersect1d(np.argsort(-estimate)[:tenth], np.argsort(-truth)[:tenth])
    print(f"{both.size} of {tenth} in common")
    assert both.size > 0.6 * tenth


def test_a_jump_between_materials_is_no_error():
    """Two materials side by side under one strain: the stress jumps, and nothing is estimated."""
    mesh = box((0, 0, 0), (2, 1, 1), (4, 2, 2),
               regions={"a": lambda x: x[0] < 1, "b": lambda x: x[0] > 1})  # fmt: skip
    soft, hard = (stiffness(ElasticConstants.isotropic(E, 0.0)) for E in (1000.0, 3000.0))
    model = Model(mesh, {"a": soft, "b": hard})
    stretch = np.array([[0.0, 0, 0], [0, 0.01, 0.002], [0, 0.001, -0.003]])
    supports = [Fixed(side, value=lambda x: stretch @ x) for side in SIDES]
    found = solve(model, supports, [[]])
    stress = [found.stress[1, mesh.subdomains[name]].mean() for name in ("a", "b")]
    assert stress[1] == pytest.approx(3 * stress[0], rel=1e-6)
    assert estimate_error(found).relative[0] < 1e-10


def test_combinations_are_of_the_stress():
    """The error of a sum of load sets is that of the summed field, not a sum of errors."""
    mesh = box((0, 0, 0), (1, 1, 1), (2, 2, 2))
    loads = [[Traction("x1", (1.0, 0, 0))], [Traction("x1", (-2.0, 0, 0))]]
    found = solve(Model(mesh, {"body": stiffness(PO)}), [Fixed("x0")], loads)
    estimate = estimate_error(found, np.array([[1.0, 2.0], [0.0, 1.0]]))
    alone = estimate_error(found)
    np.testing.assert_allclose(estimate.squared[:, 0], alone.squared[:, 0], rtol=1e-9)
    assert estimate.squared[:, 1].max() < 1e-20 * alone.squared.max() + 1e-25
    with pytest.raises(ValueError, match=r"combinations has shape \(3, 1\); with 2 load sets"):
        estimate_error(found, np.ones((3, 1)))
