"""Surface of a region and its inward normals."""

from __future__ import annotations

import numpy as np
from skfem import MeshTet1

from orthofem.solve import region_surface
from orthofem.solve.space import ElementSpace


def test_normals_of_half_a_cube_point_inward():
    """Every face's normal points in, the cut between the halves too; edges get the bisector."""
    mesh = MeshTet1.init_tensor(*[np.linspace(0, 1, 5)] * 3)
    space = ElementSpace(mesh, 1)
    cells = np.flatnonzero(mesh.p[0, mesh.t].mean(axis=0) < 0.5)
    points, inward = region_surface(space, cells)
    low, high = np.array([[0], [0], [0]]), np.array([[0.5], [1], [1]])
    sides = (np.abs(points - low) < 1e-9).astype(int) - (np.abs(points - high) < 1e-9)
    on = np.abs(sides).sum(axis=0)
    assert (on >= 1).all()
    assert (points[0] <= 0.5 + 1e-12).all()
    flat = on == 1
    np.testing.assert_allclose(inward[:, flat], sides[:, flat], atol=1e-12)
    assert ((inward * sides).sum(axis=0) > 0.5).all()
    np.testing.assert_allclose(np.linalg.norm(inward, axis=0), 1.0)
