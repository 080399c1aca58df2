"""Split meshes: what is doubled, what stays together, which names survive."""

from __future__ import annotations

import numpy as np
import pytest

from meshes import box
from orthofem.errors import ModelError
from orthofem.mesh import mesh_part
from orthofem.mesh.quality import cell_volumes
from orthofem.mesh.split import side_name, split, split_mesh
from orthofem.parts import JOINTS, Shaft
from orthofem.solve.space import ElementSpace
from orthofem.solve.supports import connected_bodies

THREE = {
    "low": lambda c: c[2] < 1,
    "left": lambda c: (c[2] > 1) & (c[0] < 1),
    "right": lambda c: (c[2] > 1) & (c[0] > 1),
}


@pytest.fixture(scope="module")
def corner():
    """Three boxes that meet in one edge: low under left and right."""
    return box((0, 0, 0), (2, 2, 2), (2, 2, 2), regions=THREE)


def sides(mesh, name):
    """Facets of both sides, in order."""
    return [mesh.boundaries[side_name(name, piece)] for piece in name.split("|")]


def bodies_of(mesh):
    """Node sets of what hangs together."""
    return connected_bodies(ElementSpace(mesh))


def test_sides_lie_on_each_other(corner):
    """Facet by facet the two sides have the same corners and each has one cell only."""
    mesh = split_mesh(corner, corner.subdomains, ["low|left", "low|right", "left|right"])
    for name in ("low|left", "low|right", "left|right"):
        first, second = sides(mesh, name)
        assert first.size == second.size > 0
        for side in (first, second):
            assert (mesh.f2t[1, side] == -1).all()
        corners = [np.sort(mesh.p[:, mesh.facets[:, side]], axis=1) for side in (first, second)]
        np.testing.assert_array_equal(*corners)
        for piece, side in zip(name.split("|"), (first, second), strict=True):
            assert np.isin(mesh.f2t[0, side], mesh.subdomains[piece]).all()


def test_cells_and_other_names_stay(corner):
    """Cells keep their order and shape, regions and outer surfaces their extent."""
    mesh = split_mesh(corner, corner.subdomains, ["low|left"])
    np.testing.assert_array_equal(
        mesh.doflocs[:, mesh.dofs.element_dofs], corner.doflocs[:, corner.dofs.element_dofs]
    )
    for name, facets in corner.boundaries.items():
        before = np.sort(corner.p[:, corner.facets[:, facets]].mean(axis=1), axis=1)
        new = mesh.boundaries[name]
        np.testing.assert_allclose(before, np.sort(mesh.p[:, mesh.facets[:, new]].mean(axis=1)))
    assert all((mesh.subdomains[k] == v).all() for k, v in corner.subdomains.items())


@pytest.mark.parametrize(
    ("cut", "bodies"),
    [
        (["low|left"], 1),
        (["low|left", "left|right"], 2),
        (["low|left", "low|right"], 2),
        (["low|left", "low|right", "left|right"], 3),
    ],
)
def test_a_bond_beside_holds_together(corner, cut, bodies):
    """Bodies fall apart only when all ways round are cut; at the common edge too."""
    mesh = split_mesh(corner, corner.subdomains, cut)
    assert len(bodies_of(mesh)) == bodies
    edge = np.isclose(mesh.p[0], 1) & np.isclose(mesh.p[2], 1) & np.isclose(mesh.p[1], 1)
    assert edge.sum() == bodies


def test_reversed_and_unknown_names_are_refused(corner):
    """The error says how the interface is called, or which there are."""
    with pytest.raises(ValueError, match=r"'left\|low' is called 'low\|left'"):
        split_mesh(corner, corner.subdomains, ["left|low"])
    with pytest.raises(ValueError, match=r"Unknown interface 'low\|middle'.*low\|left.*touching"):
        split_mesh(corner, corner.subdomains, ["low|middle"])


def test_pieces_that_do_not_touch_have_no_interface():
    """Two pieces with a third between them cannot be split from each other."""
    thirds = {k: (lambda c, k=k: (c[2] > k) & (c[2] < k + 1)) for k in range(3)}
    mesh = box((0, 0, 0), (1, 1, 3), (1, 1, 3), regions={"abc"[k]: t for k, t in thirds.items()})
    with pytest.raises(ValueError, match=r"interface 'a\|c'.*Only pieces that share a face"):
        split_mesh(mesh, mesh.subdomains, ["a|c"])
    assert split_mesh(mesh, mesh.subdomains, []) is mesh


def test_an_interface_held_all_round_is_refused():
    """A facet whose corners are all on a bond cannot open; the error says where."""
    mesh = box((0, 0, 0), (3, 1, 2), (3, 1, 2))
    x, _, z = mesh.p[:, mesh.t].mean(axis=1)
    bodies = {
        "low": np.flatnonzero(z < 1),
        "plug": np.flatnonzero((z > 1) & (x > 1) & (x < 2)),
        "side": np.flatnonzero((z > 1) & ((x < 1) | (x > 2))),
    }
    with pytest.raises(ModelError, match=r"'low\|plug' cannot open at .*Use smaller elements"):
        split_mesh(mesh, bodies, ["low|plug"])


def test_joint_comes_apart_curved():
    """A meshed joint falls into its pieces, their volumes and curved sides kept."""
    whole = mesh_part(JOINTS["loose_stud"]().part(Shaft(outer_diameter=28.0)), refinement=0.4)
    names = [name for name in whole.mesh.boundaries if "|" in name]
    apart = split(whole, names)
    assert len(bodies_of(whole.mesh)) == 1
    assert len(bodies_of(apart.mesh)) == 3
    assert apart.report.n_nodes == apart.mesh.doflocs.shape[1] > whole.report.n_nodes
    assert apart.piece_of == whole.piece_of
    volumes = [cell_volumes(m.doflocs, m.dofs.element_dofs).sum() for m in (apart.mesh, whole.mesh)]
    assert volumes[0] == pytest.approx(volumes[1], rel=1e-12)
    assert set(names).isdisjoint(apart.mesh.boundaries)
    assert {"lower_end", "upper_end"} < set(apart.mesh.boundaries)
