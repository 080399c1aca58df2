"""What a build direction costs, against closed forms of simple solids."""

from __future__ import annotations

import numpy as np
import pytest
from skfem import MeshTet, MeshTet2

from orthofem.mesh import boundary_triangles, flat_skin
from orthofem.mesh.bed import cheaper_way, hemisphere, print_costs, skin_costs
from orthofem.mesh.columns import crossings, space_below
from orthofem.mesh.overhang import corner_normals, overhanging

X, Y, Z = np.eye(3)
HALF = np.sqrt(0.5)


def revolved(profile, n=180):
    """Closed skin of a body of revolution about z; profile (r, z) from bottom to top on the axis.

    Only for profiles whose first and last radius is zero.
    """
    turn = 2 * np.pi * np.arange(n) / n
    points, rings = [], []
    for r, z in profile:
        rings.append(len(points) + (np.zeros(n, int) if r == 0 else np.arange(n)))
        points += [(0, 0, z)] if r == 0 else [(r * np.cos(t), r * np.sin(t), z) for t in turn]
    triangles = []
    for (low, high), ((r0, _), (r1, _)) in zip(
        zip(rings, rings[1:], strict=False), zip(profile, profile[1:], strict=False), strict=True
    ):
        after_low, after_high = np.roll(low, -1), np.roll(high, -1)
        if r0 > 0:
            triangles.append(np.stack([low, after_low, high]))
        if r1 > 0:
            triangles.append(np.stack([after_low, after_high, high]))
    return np.array(points, float).T, np.concatenate(triangles, axis=1)


def ring(profile, n=180):
    """Closed skin of a closed profile (r, z), counter-clockwise, turned about z."""
    turn = 2 * np.pi * np.arange(n) / n
    r, z = np.array(profile, float).T
    m = r.size
    points = np.stack([np.outer(r, np.cos(turn)), np.outer(r, np.sin(turn)), np.outer(z, turn**0)])
    a = (np.arange(m)[:, None] * n + np.arange(n)).ravel()
    b = (np.arange(m)[:, None] * n + np.roll(np.arange(n), -1)).ravel()
    c, d = (np.roll(k.reshape(m, n), -1, axis=0).ravel() for k in (b, a))
    triangles = np.concatenate([np.stack([a, b, c]), np.stack([a, c, d])], axis=1)
    return points.reshape(3, -1), triangles


def extruded(quads, corners, depth):
    """Closed skin of quadrilaterals (x, z) in a plane drawn out along y."""
    corners = np.array(corners, float).T
    n = corners.shape[1]
    back = np.stack([corners[0], np.full(n, depth), corners[1]])
    front = np.stack([corners[0], np.zeros(n), corners[1]])
    quads = np.array(quads).T  # counter-clockwise seen from -y, that is with x right and z up
    faces = np.concatenate([quads[[0, 1, 2]], quads[[0, 2, 3]]], axis=1)
    triangles = [faces, faces[[0, 2, 1]] + n]
    edges = [tuple(e) for k in range(4) for e in quads[[k, (k + 1) % 4]].T.tolist()]
    outer = np.array([e for e in edges if e[::-1] not in set(edges)]).T
    a, b = outer
    triangles += [np.stack([a, a + n, b + n]), np.stack([a, b + n, b])]
    return np.hstack([front, back]), np.concatenate(triangles, axis=1)


def cube(side=20.0):
    """A cube of one quadrilateral a side."""
    return extruded([(0, 1, 2, 3)], [(0, 0), (side, 0), (side, side), (0, side)], side)


def sphere(radius=10.0, n=90):
    """A ball, its centre at the origin."""
    t = np.linspace(-np.pi / 2, np.pi / 2, n + 1)
    profile = np.stack([radius * np.cos(t), radius * np.sin(t)], axis=1)
    profile[[0, -1], 0] = 0
    return revolved(profile.tolist(), 2 * n)


def cylinder(radius=6.0, length=50.0, n=720):
    """A cylinder about z."""
    return revolved([(0, 0), (radius, 0), (radius, length), (0, length)], n)


def tee(depth=10.0):
    """A T: a stem 10 wide and 30 high under a bar 40 wide and 8 high."""
    x, z = (-20, -5, 5, 20), (0, 30, 38)
    corners = [(x[1], z[0]), (x[2], z[0]), *[(a, z[1]) for a in x], *[(a, z[2]) for a in x]]
    return extruded([(0, 1, 4, 3), (2, 3, 7, 6), (3, 4, 8, 7), (4, 5, 9, 8)], corners, depth)


def arch(radius=12.0, depth=10.0, n=240):
    """A block 40 wide and 20 high with a half-round opening that stands on the bed."""
    t = np.pi * np.arange(n + 1) / n
    inner = [(-radius * np.cos(a), radius * np.sin(a)) for a in t]
    rim = []
    for a in t:  # straight out from the centre to the block's border
        x, z = -np.cos(a), np.sin(a)
        rim.append(np.array([x, z]) * min(20 / max(abs(x), 1e-12), 20 / max(abs(z), 1e-12)))
    m = n + 1
    return extruded([(k, k + 1, m + k + 1, m + k) for k in range(n)], inner + rim, depth)


def one(skin, way, **options):
    """Costs of one direction as plain numbers."""
    costs = skin_costs(flat_skin(*skin), np.array(way, float)[:, None], **options)
    return {name: values[0] for name, values in vars(costs).items()}


def volume(skin):
    """Volume inside a skin."""
    a, b, c = (skin[0][:, corner] for corner in skin[1])
    return np.einsum("in,in->", a, np.cross(b, c, axis=0)) / 6


def test_the_skins_of_the_tests_are_closed_and_face_outward():
    """Each test body has its closed-form volume and every edge twice, once each way."""
    expected = [
        (cube(), 8000), (sphere(), 4 / 3 * np.pi * 1000), (cylinder(), np.pi * 36 * 50),
        (tee(), 10 * (300 + 320)), (arch(), 10 * (800 - np.pi * 72)),
    ]  # fmt: skip
    for skin, true in expected:
        assert volume(skin) == pytest.approx(true, rel=2e-3)
        edges = np.concatenate([skin[1][[k, (k + 1) % 3]] for k in range(3)], axis=1).T.tolist()
        assert sorted(edges) == sorted(e[::-1] for e in edges)
        assert len({tuple(e) for e in edges}) == len(edges)


def test_cube_on_a_face_needs_nothing():
    """A cube flat on the bed: its side high, its face on the bed, no overhang, no support."""
    found = one(cube(), Z)
    assert found["height"] == pytest.approx(20)
    assert found["footprint"] == pytest.approx(400)
    assert found["bed_contact"] == pytest.approx(400)
    assert found["overhang_area"] == 0
    assert found["support_volume"] == 0


def test_cube_on_a_corner():
    """On a corner three lower faces overhang at 54.7 degrees if that is asked to be held up."""
    way, side = np.ones(3), 20.0
    assert one(cube(), way)["overhang_area"] == 0
    found = one(cube(), way, overhang_angle=60, layer=0.02)
    assert found["height"] == pytest.approx(side * np.sqrt(3))
    assert found["footprint"] == pytest.approx(side**2 * np.sqrt(3))
    assert found["overhang_area"] == pytest.approx(3 * side**2, rel=1e-4)
    # three faces, shadow side^2 / sqrt 3 each, mean height 2/4 of the way from corner to far corner
    mean = side * 2 / 2 / np.sqrt(3)
    assert found["support_volume"] == pytest.approx(3 * side**2 / np.sqrt(3) * mean, rel=2e-2)


def test_sphere_any_way_up():
    """A ball's cap below 45 degrees overhangs, whatever way is up."""
    radius, layer = 10.0, 0.2
    cap = radius * (1 - HALF)
    for way in (Z, X, (1, 2, 3), (-0.3, 0.2, -0.9)):
        found = one(sphere(), way, layer=layer)
        assert found["height"] == pytest.approx(2 * radius, rel=1e-3)
        assert found["footprint"] == pytest.approx(np.pi * radius**2, rel=2e-3)
        area = 2 * np.pi * radius * (cap - layer / 2)
        assert found["overhang_area"] == pytest.approx(area, rel=2e-2)
        column = np.pi * radius**2 * HALF**2 * radius
        under = column - 2 / 3 * np.pi * radius**3 * (1 - HALF**3)
        assert found["support_volume"] == pytest.approx(under, rel=2e-2)
        touch = np.pi * (2 * radius * layer / 2 - (layer / 2) ** 2)
        assert found["bed_contact"] == pytest.approx(touch, rel=2e-2)


def test_cone_on_its_base_and_on_its_tip():
    """A blunt cone needs nothing on its base; on its tip it stands in a ring of support."""
    radius, height = 20.0, 10.0
    cone = revolved([(0, 0), (radius, 0), (0, height)], 360)
    upright = one(cone, Z)
    assert upright["support_volume"] == 0
    assert upright["bed_contact"] == pytest.approx(np.pi * radius**2, rel=1e-3)
    tip = one(cone, -Z, layer=0.02)
    slant = np.pi * radius * np.hypot(radius, height)
    assert tip["overhang_area"] == pytest.approx(slant, rel=1e-3)
    # the cylinder round the cone less the cone
    assert tip["support_volume"] == pytest.approx(2 / 3 * np.pi * radius**2 * height, rel=1e-3)


def test_a_steep_cone_needs_nothing_on_its_tip():
    """Flanks at 63 degrees to the bed hold themselves at 45 and not at 70."""
    cone = revolved([(0, 0), (10, 0), (0, 20)], 360)
    assert one(cone, -Z)["support_volume"] == 0
    found = one(cone, -Z, overhang_angle=70)
    assert found["support_volume"] == pytest.approx(2 / 3 * np.pi * 100 * 20, rel=1e-3)


def test_tee_upright_upside_down_and_on_its_side():
    """A T needs two boxes under its bar upright, nothing upside down, two others on its side."""
    upright = one(tee(), Z)
    assert upright["overhang_area"] == pytest.approx(2 * 15 * 10)
    assert upright["support_volume"] == pytest.approx(2 * 15 * 10 * 30)
    assert upright["bed_contact"] == pytest.approx(100)
    assert upright["footprint"] == pytest.approx(400)
    assert one(tee(), -Z)["support_volume"] == 0
    side = one(tee(), X)  # the bar stands on its end, the stem sticks out 15 above the bed
    assert side["height"] == pytest.approx(40)
    assert side["support_volume"] == pytest.approx(30 * 10 * 15)
    assert one(tee(), Y)["support_volume"] == 0


def test_arch_upright_and_upside_down():
    """Below 45 degrees the crown of an arch overhangs, and stands on the bed or on the opening."""
    radius, depth = 12.0, 10.0
    # under the crown from -45 to 45 degrees: a sector and two triangles
    segment = radius**2 * (np.pi / 4 + 1 / 2)
    upright = one(arch(), Z)
    assert upright["overhang_area"] == pytest.approx(radius * np.pi / 2 * depth, rel=2e-2)
    assert upright["support_volume"] == pytest.approx(segment * depth, rel=2e-2)
    assert upright["footprint"] == pytest.approx(400)
    assert one(arch(), -Z)["support_volume"] == 0
    # on its end the opening is a half disc; its chords, half as many, stand on the part's own foot
    end = one(arch(), X)
    assert end["support_volume"] == pytest.approx(segment * depth, rel=2e-2)


def test_cylinder_lying_and_standing():
    """A lying cylinder is held up on both sides of the line it touches the bed along."""
    radius, length, layer = 6.0, 50.0, 0.2
    lying = one(cylinder(), X, layer=layer)
    section = 2 * HALF * radius**2 - radius**2 * (np.pi / 4 + 0.5)
    assert lying["height"] == pytest.approx(2 * radius, rel=1e-3)
    assert lying["support_volume"] == pytest.approx(section * length, rel=2e-2)
    resting = np.arccos(1 - layer / 2 / radius)
    area = 2 * radius * (np.pi / 4 - resting) * length
    assert lying["overhang_area"] == pytest.approx(area, rel=2e-2)
    strip = 2 * radius * np.sin(resting) * length
    assert lying["bed_contact"] == pytest.approx(strip, rel=2e-2)
    assert lying["footprint"] == pytest.approx(2 * radius * length, rel=1e-3)
    standing = one(cylinder(), Z)
    assert standing["support_volume"] == 0
    assert standing["bed_contact"] == pytest.approx(np.pi * radius**2, rel=1e-3)


@pytest.mark.parametrize(("n", "error"), [(24, 0.02), (36, 0.01), (90, 0.003)])
def test_a_coarse_cylinder_overhangs_as_a_round_one(n, error):
    """The border of the overhang runs through facets: 24 of them give the width within 2 %."""
    radius, length = 6.0, 50.0
    for turn in np.radians([0.0, 4.0, 7.5]):
        way = (np.cos(turn), np.sin(turn), 0)
        found = one(cylinder(radius, length, n), way, layer=1e-6)
        low = found["overhang_area"] + found["bed_contact"]  # a flat facet may lie on the bed
        assert low == pytest.approx(radius * np.pi / 2 * length, rel=error)


def test_a_chamfer_of_just_the_limit_does_not_overhang():
    """A countersink of 45 degrees, mouth down, needs support at 46 degrees and not at 45."""
    for n in (16, 24, 61):
        ring_of = [(5, 4), (9, 0), (15, 0), (15, 20), (5, 20)]
        bush = ring(ring_of, n)
        assert one(bush, Z)["support_volume"] == 0
        assert one(bush, Z, overhang_angle=46)["support_volume"] > 0.9 * np.pi * (81 - 25) * 1.5


def test_normals_turn_on_curved_surfaces_and_stop_at_edges():
    """On a cylinder's flank normals at the corners point away from the axis, on its ends along."""
    points, triangles = cylinder(6.0, 50.0, 36)
    normals = corner_normals(points, triangles)
    assert np.linalg.norm(normals, axis=0) == pytest.approx(1)
    flank = np.abs(normals[2]).max(axis=0) < 0.5
    away = points[:2, triangles[:, flank]] / 6.0
    assert normals[:2, :, flank] == pytest.approx(away, abs=1e-9)
    assert np.abs(normals[2][:, ~flank]) == pytest.approx(1)


def test_overhang_is_cut_at_the_limit():
    """Of a facet half over the limit, the half that is over is kept, as triangles."""
    corners = np.array([[0.0, 4, 0], [0, 0, 3], [5, 5, 5]])[:, :, None]
    down, side = np.array([0.0, 0, -1]), np.array([1.0, 0, 0])
    for normals in ((down, side, down), (side, down, side)):
        normals = np.stack(normals, axis=1)[:, :, None]
        pieces, owner = overhanging(corners, normals, Z, 60.0)
        a, b, c = np.moveaxis(pieces, 1, 0)
        area = np.linalg.norm(np.cross(b - a, c - a, axis=0), axis=0).sum() / 2
        assert set(owner) == {0}
        # the downward part falls to cos 60 half way along both edges from the odd corner
        assert area / 6 == pytest.approx(3 / 4 if normals[2, 0, 0] < 0 else 1 / 4, abs=0.01)


def test_a_slanting_cylinder_stands_on_a_wedge():
    """Leaning by 60 degrees, its lower end is a level disc no more: end and flank are held up."""
    skin = cylinder()
    lean = np.radians(60)
    found = one(skin, (np.sin(lean), 0, np.cos(lean)))
    assert found["height"] == pytest.approx(50 * np.cos(lean) + 12 * np.sin(lean), rel=1e-3)
    # the flank overhangs where cos(turn) sin(lean) is above cos 45; the end, sloping 60, does not
    turn = np.arccos(HALF / np.sin(lean))
    level, edge = 2 * np.sin(turn), 2 * np.sin(turn) - turn - np.sin(turn) * np.cos(turn)
    shadow, radius, length = 6 * np.sin(lean), 6.0, 50.0
    under = level * length**2 / 2 * np.cos(lean) + edge * length * radius * np.sin(lean)
    assert found["support_volume"] == pytest.approx(shadow * under, rel=1e-2)


def test_support_stands_on_the_part_itself():
    """Between the flanges of a spool the support reaches from flange to flange only."""
    spool = revolved([(0, 0), (10, 0), (10, 4), (4, 4), (4, 20), (10, 20), (10, 24), (0, 24)])
    found = one(spool, Z)
    assert found["support_volume"] == pytest.approx(np.pi * (100 - 16) * 16, rel=2e-3)
    assert found["overhang_area"] == pytest.approx(np.pi * (100 - 16), rel=2e-3)


def test_wider_flange_below_or_above():
    """A flange wider than the one below stands half on it and half on the bed."""
    wide = revolved([(0, 0), (8, 0), (8, 4), (4, 4), (4, 20), (12, 20), (12, 24), (0, 24)])
    found = one(wide, Z)["support_volume"]
    own, bed = np.pi * (64 - 16) * 16, np.pi * (144 - 64) * 20
    assert found == pytest.approx(own + bed, rel=5e-3)


def test_lying_tube_is_held_up_inside_too():
    """The bore of a lying tube is filled from its own floor to its ceiling."""
    outer, inner, length = 15.0, 10.0, 40.0
    tube = ring([(inner, 0), (outer, 0), (outer, length), (inner, length)], 720)
    found = one(tube, X)["support_volume"]
    under = 2 * HALF * outer**2 - outer**2 * (np.pi / 4 + 0.5)
    inside = inner**2 * (np.pi / 2 + 1)
    assert found == pytest.approx((under + inside) * length, rel=1e-2)
    standing = one(tube, Z)
    assert standing["support_volume"] == 0
    assert standing["footprint"] == pytest.approx(np.pi * outer**2, rel=1e-3)
    assert standing["bed_contact"] == pytest.approx(np.pi * (outer**2 - inner**2), rel=1e-3)


def test_columns_meet_every_surface_once():
    """Over a closed skin each column goes in as often as it comes out, and none is lost."""
    points, triangles = sphere(10.0, 24)
    grid = points * np.array([[3.1], [3.1], [1.0]]) + np.array([[40.2], [40.7], [20.0]])
    a, b, c = (grid[:, corner] for corner in triangles)
    up = np.cross(b - a, c - a, axis=0)[2] > 0
    columns = []
    for side in (up, ~up):
        column, height = crossings(grid[:, triangles[:, side]])
        assert np.ptp(height) < 20
        columns.append(sorted(zip(*column.tolist(), strict=True)))
    assert columns[0] == columns[1]
    assert len(set(columns[0])) == len(columns[0])
    assert len(columns[0]) == pytest.approx(np.pi * 31**2, rel=1e-2)


def test_nothing_above_means_nothing_below():
    """No facet, no space."""
    assert space_below(np.zeros((3, 3, 0)), *cube()) == 0.0


def test_a_piece_of_a_mesh_has_a_skin_of_its_own():
    """Half a block costs what a block of half the size does, the cut face counted as skin."""
    block = MeshTet2.from_mesh(
        MeshTet.init_tensor(np.linspace(0, 20, 5), np.linspace(0, 10, 3), np.linspace(0, 10, 3))
    )
    cells = np.flatnonzero(block.p[:, block.t].mean(axis=1)[0] < 10)
    found = print_costs(block, cells, np.eye(3))
    assert found.height == pytest.approx([10, 10, 10])
    assert found.bed_contact == pytest.approx([100, 100, 100])
    whole = print_costs(block, None, np.eye(3))
    assert whole.height == pytest.approx([20, 10, 10])
    assert whole.footprint == pytest.approx([100, 200, 200])
    assert boundary_triangles(block, cells=cells).nodes.shape[1] == 6 * 4 * 2 * 4


def test_length_of_a_direction_does_not_count():
    """A direction ten times as long costs the same."""
    twice = skin_costs(flat_skin(*tee()), np.array([[1.0, 10], [2, 20], [3, 30]]))
    for values in vars(twice).values():
        assert values[0] == pytest.approx(values[1], rel=1e-9)


def test_the_cheaper_end_of_a_direction_is_taken():
    """A T is turned upside down; a cone onto its base; a cube left as it was given."""
    for skin, given, wanted in ((tee(), Z, -Z), (tee(), -Z, -Z), (cube(), Z, Z)):
        turned, costs = cheaper_way(*as_mesh(skin), given[:, None])
        assert turned[:, 0] == pytest.approx(wanted)
        assert costs.support_volume[0] == 0


def test_without_supports_the_end_that_rests_better_is_taken():
    """A steep cone needs no support either way up and stands on its base."""
    cone = revolved([(0, 0), (10, 0), (0, 20)], 24)
    turned, costs = cheaper_way(*as_mesh(cone), -Z[:, None])
    assert turned[:, 0] == pytest.approx(Z)
    assert costs.bed_contact[0] > 300


def as_mesh(skin):
    """Tetrahedra that fill a skin seen whole from one inner point, or from two."""
    points, triangles = skin
    inner = points.mean(axis=1) if points.shape[1] != 20 else np.array([0.0, 5, 34])
    a, b, c = (points[:, k] - inner[:, None] for k in triangles)
    seen = np.einsum("in,in->n", a, np.cross(b, c, axis=0)) > 1e-9
    if not seen.all():
        pytest.skip("not a star")
    cells = np.vstack([triangles, np.full(triangles.shape[1], points.shape[1])])
    return MeshTet(np.hstack([points, inner[:, None]]), cells), None


def test_directions_are_spread_evenly():
    """500 directions are alike in their distance to the nearest, and cover the half sphere."""
    ways = hemisphere(500)
    assert ways.shape == (3, 500)
    assert np.linalg.norm(ways, axis=0) == pytest.approx(1)
    assert ways[0].min() > 0
    angle = np.degrees(np.arccos((ways.T @ ways - 2 * np.eye(500)).max(axis=1)))
    own = np.degrees(np.sqrt(2 * np.pi / 500))  # side of a square of each one's share
    assert angle.min() > 0.75 * own
    assert angle.max() < own
    # mean of the direction times itself over the half sphere is a third of the unit matrix
    assert ways @ ways.T / 500 == pytest.approx(np.eye(3) / 3, abs=2e-3)


def test_named_directions_come_first():
    """Upright and the four lying ones are exact when asked for, within the number asked for."""
    ways = hemisphere(60, named=True)
    assert ways.shape == (3, 60)
    assert ways[:, :5].T.tolist() == [[1, 0, 0], [0, 1, 0], [0, 0, 1], [0, -1, 0], [0, 0, -1]]
    assert hemisphere(5, named=True).shape == (3, 5)


def test_limits_make_a_direction_impractical():
    """Too high, too much support, too much overhang or too little on the bed: each is enough."""
    costs = skin_costs(flat_skin(*tee()), np.stack([Z, -Z, X], axis=1))
    assert costs.impractical().tolist() == [False, False, False]
    assert costs.impractical(height=39).tolist() == [False, False, True]
    assert costs.impractical(support_volume=5000).tolist() == [True, False, False]
    assert costs.impractical(overhang_area=250).tolist() == [True, False, True]
    assert costs.impractical(bed_contact=90).tolist() == [False, False, True]
    assert costs[1:].height.tolist() == pytest.approx([38, 40])


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"directions": np.ones((2, 4))}, r"directions have shape \(2, 4\); give \(3, n\)"),
        ({"directions": np.ones(3)}, r"directions have shape \(3,\)"),
        ({"directions": np.array([[1.0, 0], [0, 0], [0, 0]])}, r"Direction 1 is \(0, 0, 0\)"),
        ({"directions": np.full((3, 1), np.nan)}, "directions is nan"),
        ({"overhang_angle": 95.0}, "overhang_angle = 95 degree; it must lie between 0 and 90"),
        ({"layer": 0.0}, "layer = 0 mm; it must be above zero"),
    ],
)  # fmt: skip
def test_bad_input_is_named(change, message):
    """Directions, angle and layer that cannot be are refused."""
    given = {"directions": np.eye(3), **change}
    with pytest.raises(ValueError, match=message):
        skin_costs(flat_skin(*cube()), **given)


def test_too_few_directions_are_refused():
    """No direction at all, or fewer than the named ones, cannot be spread."""
    with pytest.raises(ValueError, match="n = 0 directions; ask for 1 or more"):
        hemisphere(0)
    with pytest.raises(ValueError, match="n = 4 directions; ask for 5 or more to hold upright"):
        hemisphere(4, named=True)
