import numpy as np
import pytest

from orthofem.mesh import mesh_part
from orthofem.mesh.sizes import _distance
from orthofem.parts import (
    JOINTS,
    Box,
    GroovedBar,
    InBox,
    NearCircle,
    NearPoint,
    NearTube,
    Part,
    Piece,
    PrintedStud,
    Refinement,
    Shaft,
    ShoulderBar,
)

CUBE = Piece("a", Box((0, 0, 0), (20, 20, 20)))


@pytest.mark.parametrize(
    "zone",
    [
        InBox((-1, -2, -3), (1, 2, np.inf)),
        NearCircle((1, 2, -3), (1, 2, 2), 2.5, 0.00001),
        NearTube((1, 2, -3), (1, -2, 2), 2.5, 0.5),
        NearPoint((1, 2, -3), 1.5),
    ],
)
def test_size_expressions_are_the_zones_distances(zone):
    """The expression handed to the mesh generator has the zone's own distance everywhere."""
    points = np.random.default_rng(40911).uniform(-6, 6, (3, 300))
    text = _distance(zone).replace("^", "**")
    names = {"sqrt": np.sqrt, "abs": np.abs, "x": points[0], "y": points[1], "z": points[2]}
    assert eval(text, {}, names) == pytest.approx(zone.distance(points), abs=1e-9)


def arc_edges(mesh, centre, radius):
    """Element edges whose two ends and middle lie on a circle in the plane z = 0, y > 0."""
    ends, middle = mesh.p[:, mesh.edges], mesh.doflocs[:, mesh.dofs.edge_dofs[0]]
    points = np.concatenate([ends, middle[:, None]], axis=1)
    away = np.hypot(points[0] - centre[0], points[1] - centre[1])
    on = (np.abs(points[2]) < 1e-6) & (np.abs(away - radius) < 1e-6) & (points[1] > 0)
    return int(on.all(axis=0).sum())


@pytest.mark.parametrize(
    ("part", "centre", "radius", "quarters", "edges"),
    [
        (ShoulderBar(diameter=20.0, neck=12.0, fillet=1.5).part(), (0, 7.5), 1.5, 1, 8),
        (GroovedBar(diameter=16.0, neck=12.0, fillet=1.0).part(), (0, 7.0), 1.0, 2, 8),
        (PrintedStud(root_fillet=2.0).part(Shaft(30.0)), (2, 10), 2.0, 1, 4),
        (PrintedStud(root_fillet=2.0, fillet_edges=8).part(Shaft(30.0)), (2, 10), 2.0, 1, 8),
    ],
)
def test_fillets_hold_the_asked_number_of_edges(part, centre, radius, quarters, edges):
    """At least as many curved element edges round a quarter of a fillet as were asked for."""
    assert arc_edges(mesh_part(part).mesh, centre, radius) >= quarters * edges


def test_size_follows_request_feature_or_thickness():
    """The asked size wins, then half the feature, then twice volume over surface."""
    assert mesh_part(Part("p", (CUBE,), feature=10.0), size=7.0).size == 7.0
    assert mesh_part(Part("p", (CUBE,), feature=10.0)).size == 5.0
    plate = Part("p", (Piece("a", Box((0, 0, 0), (80, 80, 4))),))
    assert mesh_part(plate, refinement=0.5).size == pytest.approx(2 * 2 * 25600 / 14080)


def test_refinement_divides_all_sizes():
    """Twice the refinement gives about eight times the cells."""
    part = Part("p", (CUBE,), feature=8.0, refine=(Refinement(NearPoint((0, 0, 0), 3.0), 1.5),))
    coarse, fine = mesh_part(part), mesh_part(part, refinement=2.0)
    assert fine.size == coarse.size / 2
    assert 5 < fine.report.n_cells / coarse.report.n_cells < 11


@pytest.mark.parametrize(("firm", "length"), [(False, 2.0), (True, 1.0)])
def test_firm_zones_do_not_coarsen(firm, length):
    """At half the refinement a plain zone's edges double, a firm one's keep their length."""
    zone = Refinement(NearPoint((0, 0, 0), 5.0), 1.0, firm)
    mesh = mesh_part(Part("p", (CUBE,), feature=12.0, refine=(zone,)), refinement=0.5).mesh
    ends = mesh.p[:, mesh.edges]
    edges = np.linalg.norm(ends[:, 0] - ends[:, 1], axis=0)
    near = np.linalg.norm(ends.mean(axis=1), axis=0) < 5
    assert np.median(edges[near]) == pytest.approx(length, rel=0.25)


@pytest.mark.parametrize("name", JOINTS)
def test_coarse_windows_are_still_sound(name):
    """At half the refinement every joint is meshed, within 1 % of its solid."""
    report = mesh_part(JOINTS[name]().part(Shaft(30.0)), refinement=0.5).report
    assert report.volume_error < 0.01
    assert report.smallest_jacobian > 0.05


def test_zones_are_refined_and_nothing_else():
    """Edges near a refined corner have the asked size, those far from it the bulk size."""
    zone = Refinement(NearPoint((0, 0, 0), 4.0), 0.8)
    mesh = mesh_part(Part("p", (CUBE,), feature=10.0, refine=(zone,))).mesh
    ends = mesh.p[:, mesh.edges]
    length = np.linalg.norm(ends[:, 0] - ends[:, 1], axis=0)
    away = np.linalg.norm(ends.mean(axis=1), axis=0)
    assert np.median(length[away < 4]) == pytest.approx(0.8, rel=0.25)
    assert np.median(length[away > 18]) == pytest.approx(5.0, rel=0.25)


@pytest.mark.parametrize("value", [0.0, -1.0, float("nan"), float("inf")])
def test_impossible_sizes_are_refused(value):
    """Size and refinement must be finite and above zero."""
    with pytest.raises(ValueError, match="element size"):
        mesh_part(Part("p", (CUBE,)), size=value)
    with pytest.raises(ValueError, match="refinement"):
        mesh_part(Part("p", (CUBE,)), refinement=value)
