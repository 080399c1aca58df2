from dataclasses import replace

import numpy as np
import pytest
from skfem import Basis, ElementTetP2, Functional, MeshTet1, MeshTet2
from skfem.quadrature import get_quadrature
from skfem.refdom import RefTri

from orthofem.errors import ModelError
from orthofem.mesh import generate, mesh_part
from orthofem.mesh.names import facet_nodes
from orthofem.parts import (
    COUPONS,
    JOINTS,
    Box,
    Cylinder,
    FaceAt,
    LooseStud,
    OnPlane,
    Part,
    Piece,
    RoundBar,
    Shaft,
    with_bands,
)

WINDOWS = {
    **{name: kind().part(Shaft(30.0)) for name, kind in JOINTS.items() if name != "cored"},
    "cored": JOINTS["cored"](clearance=0.0, gap=0.2).part(Shaft(30.0, walls=2.4)),
    "flat": JOINTS["loose_stud"](flat=2.0, shoulder="bonded").part(Shaft(30.0)),
    **{name: kind().part() for name, kind in COUPONS.items() if name != "grooved_bar"},
}


@pytest.fixture(scope="module")
def meshes():
    """Give the mesh of each window and coupon, made once."""
    made = {}

    def get(name):
        if name not in made:
            made[name] = mesh_part(WINDOWS[name])
        return made[name]

    return get


@pytest.mark.parametrize("name", WINDOWS)
def test_meshes_fill_their_solids(name, meshes):
    """Regions part the cells, volumes agree with the solid, no cell is turned inside out."""
    got = meshes(name)
    cells = np.concatenate(list(got.mesh.subdomains.values()))
    assert np.array_equal(np.sort(cells), np.arange(got.mesh.t.shape[1]))
    assert tuple(got.mesh.subdomains) == got.part.regions
    assert got.report.volume_error < 1e-3
    assert got.report.smallest_jacobian > 0.05
    assert got.report.n_straightened <= 2
    assert got.report.n_unknowns == 3 * got.mesh.doflocs.shape[1]


@pytest.mark.parametrize("name", WINDOWS)
def test_end_faces_have_their_areas(name, meshes):
    """The named ends are whole: their facets, flat and curved-edged, cover the end's area."""
    got = meshes(name)
    mesh = got.mesh
    for end in ("lower_end", "upper_end"):
        x = mesh.p[0].min() if end == "lower_end" else mesh.p[0].max()
        assert np.abs(mesh.p[0, mesh.facets[:, mesh.boundaries[end]]] - x).max() < 1e-9
        assert mesh_area(mesh, end) == pytest.approx(END_AREAS[name][end == "upper_end"], rel=1e-3)


ROUND = np.pi * 15**2
END_AREAS = {
    "printed_stud": (ROUND, ROUND),
    "loose_stud": (ROUND, ROUND),
    "flat": (ROUND, ROUND),
    "spigot": (ROUND, ROUND),
    "cored": (ROUND, ROUND),
    "tie_rod": (ROUND - np.pi * 10**2, ROUND - np.pi * 10**2),
    "flat_bar": (40.0, 40.0),
    "round_bar": (np.pi * 25, np.pi * 25),
    "shoulder_bar": (np.pi * 100, np.pi * 36),
    "snap": (900.0, np.pi * 25),
}


def mesh_area(mesh, name):
    """Area of named facets with their curved edges, by quadrature on their six nodes."""
    nodes = facet_nodes(mesh, mesh.boundaries[name])
    (u, v), weights = get_quadrature(RefTri, 6)
    w = 1 - u - v
    along_u = np.stack([1 - 4 * w, 4 * u - 1, 0 * u, 4 * (w - u), 4 * v, -4 * v])
    along_v = np.stack([1 - 4 * w, 0 * u, 4 * v - 1, -4 * u, 4 * u, 4 * (w - v)])
    first = np.einsum("ikn,kq->inq", nodes, along_u)
    second = np.einsum("ikn,kq->inq", nodes, along_v)
    return float((np.linalg.norm(np.cross(first, second, axis=0), axis=0) @ weights).sum())


def test_curved_bar_volume_within_one_in_ten_thousand():
    """Ten-node cells with curved sides hold a round bar's volume, straight ones do not."""
    bar = RoundBar(length=40.0, diameter=20.0).part()
    exact = np.pi * 100 * 40
    curved = mesh_part(bar, size=5.0)
    assert sum(curved.report.volumes.values()) == pytest.approx(exact, rel=1e-4)
    basis = Basis(curved.mesh, ElementTetP2(), intorder=4)
    measured = Functional(lambda w: 1.0 + 0 * w.x[0]).assemble(basis)
    assert measured == pytest.approx(exact, rel=1e-4)
    straight = mesh_part(bar, size=2.0, order=1)
    assert 1e-3 < 1 - sum(straight.report.volumes.values()) / exact < 1e-2


def test_all_nodes_of_the_side_lie_on_the_cylinder():
    """Mid-edge nodes of the round skin lie on it, not on the chord."""
    bar = mesh_part(RoundBar(length=40.0, diameter=20.0).part(), size=6.0).mesh
    edges = np.unique(bar.f2e[:, bar.boundaries["side"]])
    middle = bar.doflocs[:, bar.dofs.edge_dofs[0][edges]]
    assert np.hypot(middle[1], middle[2]) == pytest.approx(10.0, abs=1e-9)


def test_mid_edge_nodes_lie_between_their_corners():
    """Node order is scikit-fem's: on a box each mid-edge node is the mean of its two corners."""
    mesh = mesh_part(Part("p", (Piece("a", Box((0, 0, 0), (3, 4, 5))),)), size=2.0).mesh
    assert isinstance(mesh, MeshTet2)
    middle = mesh.doflocs[:, mesh.dofs.edge_dofs[0]]
    assert middle == pytest.approx(mesh.p[:, mesh.edges].mean(axis=1), abs=1e-12)


def test_order_one_gives_four_node_cells():
    """Straight tetrahedra on request; another order is refused."""
    part = Part("p", (Piece("a", Box((0, 0, 0), (3, 4, 5))),))
    got = mesh_part(part, order=1)
    assert type(got.mesh) is MeshTet1
    assert got.report.volume_error < 1e-12
    with pytest.raises(ValueError, match=r"order 3 is not available; choose 1 or 2"):
        mesh_part(part, order=3)


@pytest.mark.parametrize("order", [1, 2])
def test_round_skin_leaves_out_the_end_faces(order, monkeypatch):
    """On a coarse bar a cap's facet can have all corners on the rim; it is not on the skin."""
    monkeypatch.setattr(generate, "VOLUME_ERROR", 0.05)  # a coarse bar of flat facets
    got = mesh_part(RoundBar(length=40.0, diameter=20.0).part(), size=9.0, order=order).mesh
    named = [set(got.boundaries[name].tolist()) for name in ("side", "lower_end", "upper_end")]
    assert set().union(*named) == set(got.boundary_facets().tolist())
    assert sum(map(len, named)) == got.boundary_facets().size


def test_same_part_same_mesh():
    """Meshing twice gives the same nodes and cells to the last bit."""
    part = LooseStud(flat=2.0).part(Shaft(30.0))
    first, second = mesh_part(part, refinement=0.7).mesh, mesh_part(part, refinement=0.7).mesh
    assert np.array_equal(first.doflocs, second.doflocs)
    assert np.array_equal(first.t, second.t)


def test_interfaces_have_the_bonded_area(meshes):
    """Stud and socket share the round skin over the engaged length and nothing else."""
    mesh = meshes("loose_stud").mesh
    for name in ("lower|stud", "stud|upper"):
        assert mesh_area(mesh, name) == pytest.approx(2 * np.pi * 8 * 24, rel=1e-3)
    assert "lower|upper" not in mesh.boundaries


def test_flat_is_not_bonded(meshes):
    """A flat takes its share of the round skin from the bond; a bonded shoulder adds its face."""
    mesh = meshes("flat").mesh
    rest = 2 * np.pi - 2 * np.arccos(1 - 2 / 8)
    assert mesh_area(mesh, "stud|upper") == pytest.approx(rest * 8 * 24, rel=1e-3)
    assert mesh_area(mesh, "lower|upper") == pytest.approx(np.pi * (15**2 - 11**2), rel=1e-3)


def test_open_shoulder_is_not_bonded(meshes):
    """Printed stud and socket share the engaged skin only."""
    mesh = meshes("printed_stud").mesh
    assert mesh_area(mesh, "lower|upper") == pytest.approx(2 * np.pi * 8 * 24, rel=1e-3)


def test_glue_parts_spigot_and_shafts(meshes):
    """Spigot and shafts touch through the glue only."""
    mesh = meshes("spigot").mesh
    assert mesh_area(mesh, "spigot|glue") == pytest.approx(2 * 2 * np.pi * 8 * 24, rel=1e-3)
    assert mesh_area(mesh, "upper|glue") == pytest.approx(2 * np.pi * 8.2 * 24, rel=1e-3)
    assert not {"lower|spigot", "spigot|upper"} & set(mesh.boundaries)


def test_interfaces_between_bands():
    """Bands of one piece meet on the layer plane; both region and piece pairs are named."""
    bar = with_bands(RoundBar(length=40.0, diameter=20.0).part(), "bar", (1, 0, 0), (15.0,), "ab")
    cap = Piece("cap", Cylinder((40, 0, 0), (5, 0, 0), 10.0))
    mesh = mesh_part(Part("p", (*bar.pieces, cap)), size=5.0).mesh
    assert set(mesh.boundaries) == {"bar.a|bar.b", "bar.b|cap", "bar|cap"}
    for name in mesh.boundaries:
        assert mesh_area(mesh, name) == pytest.approx(np.pi * 100, rel=1e-3)
    assert np.abs(mesh.p[0, mesh.facets[:, mesh.boundaries["bar.a|bar.b"]]] - 15).max() < 1e-12


def test_pieces_of_regions():
    """Each region knows its piece."""
    part = with_bands(RoundBar().part(), "bar", (1, 0, 0), (15.0,), ("a", "b"))
    assert mesh_part(part).piece_of == {"bar.a": "bar", "bar.b": "bar"}


def test_empty_surface_is_refused():
    """The message shows the selector, the surfaces found and the part's box."""
    bar = Box((0, 0, 0), (10, 4, 5))
    surfaces = {"end": OnPlane((0, 0, 0), (1, 0, 0)), "grip": OnPlane((12, 0, 0), (1, 0, 0))}
    with pytest.raises(
        ModelError, match=r"surface 'grip' = OnPlane.*found: end \(\d+ facets\).*to \(10, 4, 5\) mm"
    ):
        mesh_part(Part("p", (Piece("a", bar),), surfaces))


def test_whole_faces_by_a_point():
    """FaceAt takes the whole face of the solid nearest to a point."""
    bar = Part(
        "p",
        (Piece("a", Cylinder((0, 0, 0), (30, 0, 0), 6.0)),),
        {"skin": FaceAt((15, 0, 6)), "cap": FaceAt((31, 0, 0))},
    )
    mesh = mesh_part(bar, size=3.0).mesh
    assert mesh_area(mesh, "skin") == pytest.approx(2 * np.pi * 6 * 30, rel=1e-3)
    assert mesh_area(mesh, "cap") == pytest.approx(np.pi * 36, rel=1e-3)


def test_wrong_volume_is_refused(monkeypatch):
    """A mesh whose volume is off says by how much and what to do."""
    monkeypatch.setattr(generate, "VOLUME_ERROR", 1e-9)
    with pytest.raises(ModelError, match=r"Region 'bar'.*% off.*smaller element size"):
        mesh_part(RoundBar().part())


def test_second_way_of_filling_steps_in():
    """A plate two thirds of an element thick, of which one way makes a flat cell, is meshed."""
    got = mesh_part(Part("p", (Piece("a", Box((0, 0, 0), (80, 80, 4))),)), size=7.2727272727)
    assert got.report.volume_error < 1e-12
    straight = got.mesh.p[:, got.mesh.t]
    edges = np.moveaxis(straight[:, 1:] - straight[:, :1], 2, 0)
    assert np.abs(np.linalg.det(edges)).min() > 1.0


def test_inverted_cells_are_refused(monkeypatch):
    """A cell turned inside out is never handed on."""
    monkeypatch.setattr(generate, "scaled_jacobians", lambda points, cells: np.array([-0.1]))
    with pytest.raises(ModelError, match=r"turned inside out \(scaled Jacobian -0.1"):
        mesh_part(RoundBar().part())


def test_failure_of_the_generator_names_the_part():
    """The generator's bare exception becomes a message with the part and a remedy."""
    part = JOINTS["spigot"](clearance=0.02).part(Shaft(30.0))
    with pytest.raises(ModelError, match=r"Part 'spigot' could not be meshed.*smaller"):
        mesh_part(replace(part, refine=()), size=8.0)
