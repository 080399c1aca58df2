"""Sizes wanted at the places of an older mesh."""

from __future__ import annotations

import numpy as np
import pytest
from skfem import MeshTet1

from orthofem.mesh import SizeField, mesh_part, sizes_by_cell
from orthofem.mesh.quality import cell_volumes
from orthofem.mesh.size_field import GROWTH
from orthofem.parts import Shaft


def edges(mesh):
    """Edge of a regular tetrahedron as large as each cell."""
    return (6 * 2**0.5 * cell_volumes(mesh.doflocs, mesh.dofs.element_dofs)) ** (1 / 3)


def test_a_size_grows_with_the_distance_from_where_it_is_wanted():
    """Every corner has the wanted size or more, and no edge steeper than the growth allows."""
    mesh = MeshTet1.init_tensor(*[np.linspace(0, 1, 7)] * 3)
    wanted = np.full(mesh.nelements, np.inf)
    wanted[17] = 0.05
    field = sizes_by_cell(mesh, wanted)
    np.testing.assert_allclose(field.size[mesh.t[:, 17]], 0.05)
    a, b = mesh.edges
    length = np.linalg.norm(mesh.p[:, a] - mesh.p[:, b], axis=0)
    assert (np.abs(field.size[a] - field.size[b]) <= GROWTH * length + 1e-12).all()
    away = np.linalg.norm(mesh.p - mesh.p[:, mesh.t[:, 17]].mean(axis=1)[:, None], axis=0)
    assert np.corrcoef(away, field.size)[0, 1] > 0.9


def test_a_new_mesh_is_finer_where_asked_and_nowhere_else():
    """Cells near the place are about the size asked for; far from it they stay as they were."""
    part = Shaft(outer_diameter=12.0).part(60.0)
    old = mesh_part(part, refinement=0.6)

    def near(mesh, reach):
        middle = mesh.p[:, mesh.t].mean(axis=1)
        return np.linalg.norm(middle - [[30], [6], [0]], axis=0) < reach

    asked = np.where(near(old.mesh, 2.5), 0.6, np.inf)
    new = mesh_part(part, refinement=0.6, wanted=[sizes_by_cell(old.mesh, asked)])
    assert edges(new.mesh)[near(new.mesh, 1.5)].mean() == pytest.approx(0.6, rel=0.35)
    far = [edges(m.mesh)[~near(m.mesh, 15.0)].mean() for m in (old, new)]
    assert far[1] == pytest.approx(far[0], rel=0.15)
    assert new.report.n_unknowns < 8 * old.report.n_unknowns


def test_bad_sizes_are_refused():
    """A field without a wish, of another shape, or with a size of zero has its message."""
    mesh = MeshTet1()
    with pytest.raises(ValueError, match="No cell asks for a size"):
        sizes_by_cell(mesh, np.full(mesh.nelements, np.inf))
    with pytest.raises(ValueError, match=r"shape \(3,\).* each of the 8 points"):
        SizeField(mesh.p, mesh.t, np.ones(3))
    with pytest.raises(ValueError, match="start at 0.0"):
        SizeField(mesh.p, mesh.t, np.zeros(8))
