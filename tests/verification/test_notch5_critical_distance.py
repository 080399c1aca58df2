"""NOTCH-5: theory of critical distances at cracks and holes, closed form and on a mesh."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from holes import Hole, plane_strain

from meshes import plate_with_hole
from orthofem.failure import critical_length, line_value, point_value
from orthofem.solve import Fixed, Model, solve
from orthofem.study.hot_spot import hot_spot_weights
from orthofem.tensors import ElasticConstants, compliance

STRENGTH, TOUGHNESS = 60.0, 3.0 * np.sqrt(1000.0)  # 3 MPa sqrt(m)
SOURCE = dict(source="theory of critical distances, Taylor 2009", grade="D")
CRACKS = {1.0: (41.9250, 39.9411, 53.5237), 5.0: (22.6089, 22.2326, 23.9365)}
HOLES = {1.0: (36.3923, 40.2943), 3.0: (26.0731, 29.9060), 6.0: (23.0770, 25.5370)}
L = critical_length(TOUGHNESS, STRENGTH)


def test_material_length(verify):
    """Length from toughness and strength."""
    verify("NOTCH-5", "material length [mm]", L, 0.795775, rtol=1e-6, **SOURCE)


def test_both_methods_give_the_toughness_of_a_crack_tip(verify):
    """On the field K/sqrt(2 pi r) the strength is reached at K = K_c exactly, by both."""
    for name, value in (("point", point_value), ("line", line_value)):
        at_one = value(lambda r: 1 / np.sqrt(2 * np.pi * r), L)
        verify("NOTCH-5", f"K at failure over K_c, {name}", STRENGTH / at_one / TOUGHNESS, 1.0,
               rtol=1e-12, **SOURCE)  # fmt: skip


@pytest.mark.parametrize("half", CRACKS)
def test_centre_crack(half, verify):
    """Point and line method and linear fracture mechanics for a crack in an infinite plate."""

    def ahead(r):
        return (half + r) / np.sqrt((half + r) ** 2 - half**2)

    ours = [
        STRENGTH / point_value(ahead, L), STRENGTH / line_value(ahead, L),
        TOUGHNESS / np.sqrt(np.pi * half),
    ]  # fmt: skip
    assert ours[1] == pytest.approx(TOUGHNESS / np.sqrt(np.pi * (half + L)), rel=1e-12)
    verify("NOTCH-5", f"crack of half length {half:g}: point, line, fracture mechanics [MPa]",
           ours, CRACKS[half], rtol=1e-5, **SOURCE)  # fmt: skip


@pytest.mark.parametrize("radius", HOLES)
def test_hole_closed_form(radius, verify):
    """Point and line method for holes: small ones weaken less than their peak says."""

    def beside(r):
        x = radius / (radius + r)
        return 1 + x**2 / 2 + 1.5 * x**4

    ours = STRENGTH / point_value(beside, L), STRENGTH / line_value(beside, L)
    assert all(STRENGTH / 3 < value < STRENGTH for value in ours)
    verify("NOTCH-5", f"hole of radius {radius:g}: point, line [MPa]", ours, HOLES[radius],
           rtol=1e-5, **SOURCE)  # fmt: skip


@cache
def plate():
    """Plate round a hole of radius 1 under remote stress 1 along x, its edge moved as the exact.

    The shear modulus is 0.05 % off the isotropic one: the exact field used at the edge does not
    exist for equal roots; the factor of the hole moves by 0.01 %.
    """
    E, nu = 3000.0, 0.3
    S = compliance(ElasticConstants.isotropic(E, nu))
    S[5, 5] *= 1.0005
    exact = Hole(plane_strain(S))
    mesh = plate_with_hole(1.0, 5.0, 0.4, (22, 12, 2), False, 200.0)
    supports = [Fixed("outer", (0, 1), exact.displacement), Fixed("z0", (2,)), Fixed("z1", (2,))]
    return solve(Model(mesh, {"body": np.linalg.inv(S)}), supports, [[]])


@pytest.mark.parametrize("radius", HOLES)
def test_hole_on_a_mesh(radius, verify):
    """The weights of the program at the hole's edge, on solved stress, read the same within 1 %."""
    found = plate()
    space, length = found.model.space, L / radius
    edge = space.surface_nodes("hole")
    at = edge[np.argmin(np.linalg.norm(space.nodes[:, edge] - [[0], [1], [0.2]], axis=0))]
    np.testing.assert_allclose(space.nodes[:, at], [0, 1, 0.2], atol=1e-9)
    cells = space.cells("body")
    ours = []
    for form in ("point", "line"):
        weights, held = hot_spot_weights(form, space, cells, np.array([at]), length)
        ours.append(STRENGTH / (weights @ found.stress[0, cells, :, 0].ravel())[0])
        assert held[0] >= 10
    verify("NOTCH-5", f"hole of radius {radius:g} on a mesh: point, line [MPa]", ours,
           HOLES[radius], rtol=0.01, **SOURCE)  # fmt: skip
