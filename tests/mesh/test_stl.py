import numpy as np
import pytest

from orthofem.errors import ModelError
from orthofem.mesh import check_file, mesh_part
from orthofem.mesh.stl import problems, read_stl
from orthofem.parts import (
    FaceAt,
    Imported,
    InBox,
    OnCylinder,
    OnPlane,
    Part,
    PartFile,
    Piece,
    Plane,
)

CUBE = np.array([[x, y, z] for x in (0, 10) for y in (0, 10) for z in (0, 10)], float)
FACES = np.array(
    [[0, 1, 3], [0, 3, 2], [4, 6, 7], [4, 7, 5], [0, 4, 5], [0, 5, 1],
     [2, 3, 7], [2, 7, 6], [0, 2, 6], [0, 6, 4], [1, 5, 7], [1, 7, 3]]
)  # fmt: skip


@pytest.fixture
def stl(tmp_path):
    """Write points and triangles as an STL file and give its path."""

    def write(points, triangles, binary=False):
        path = tmp_path / "part.stl"
        corners = np.asarray(points, float)[np.asarray(triangles)]
        if binary:
            count = np.array(len(corners), "<u4").tobytes()
            rows = np.zeros(len(corners), dtype=[("normal", "<f4", 3), ("corner", "<f4", (3, 3)),
                                                 ("extra", "<u2")])  # fmt: skip
            rows["corner"] = corners
            path.write_bytes(b" " * 80 + count + rows.tobytes())
            return path
        facets = (
            "facet normal 0 0 0\n outer loop\n"
            + "".join(f"  vertex {x!r} {y!r} {z!r}\n" for x, y, z in triangle.tolist())
            + " endloop\nendfacet\n"
            for triangle in corners
        )
        path.write_text("solid part\n" + "".join(facets) + "endsolid part\n")
        return path

    return write


def tube_faces(count=48, inner=6.0, outer=10.0, length=20.0):
    """Closed surface of a tube along z, with flat facets."""
    turn = 2 * np.pi * np.arange(count) / count
    rings = [(outer, 0), (outer, length), (inner, length), (inner, 0)]
    points = np.concatenate(
        [
            np.stack([r * np.cos(turn), r * np.sin(turn), np.full(count, z)], axis=1)
            for r, z in rings
        ]
    )
    faces = []
    for ring in range(4):
        a, b = ring * count, (ring + 1) % 4 * count
        for k in range(count):
            n = (k + 1) % count
            faces += [[a + k, a + n, b + n], [a + k, b + n, b + k]]
    return points, np.array(faces)


@pytest.mark.parametrize("binary", [False, True])
def test_cube_is_read_and_found_sound(stl, binary):
    """Corners are joined again, volume and box are right, nothing is wrong."""
    surface = read_stl(Imported(str(stl(CUBE, FACES, binary))))
    assert surface.points.shape == (3, 8)
    assert surface.volume == pytest.approx(1000)
    assert surface.areas.sum() == pytest.approx(600)
    assert problems(surface) == ()


def test_unit_and_scale_count(stl):
    """A file in inches, half size."""
    report = check_file(stl(CUBE, FACES), unit="inch", scale=0.5)
    assert report.size == pytest.approx((127, 127, 127))
    assert report.volume == pytest.approx(127**3)
    assert (report.kind, report.unit, report.watertight) == ("STL", "inch", True)
    assert report.problems == ()


def test_tube_is_meshed_with_named_faces(stl):
    """A closed surface is filled; faces are chosen by plane, cylinder, box and point."""
    faces = {
        "foot": OnPlane((0, 0, 0), (0, 0, 1)),
        "bore": OnCylinder((0, 0, 0), (0, 0, 1), 6.0, tol=0.05),
        "top": InBox((-11, -11, 19.9), (11, 11, 21)),
        "rim": FaceAt((8, 0, 20)),
        "hole": FaceAt((0, 5, 10)),
    }
    got = mesh_part(PartFile(path=stl(*tube_faces()), surfaces=faces).part(), size=3.0)
    ring = 24 * np.sin(2 * np.pi / 48) * (100 - 36)
    assert got.report.solid_volumes["body"] == pytest.approx(ring * 20, rel=1e-6)
    assert got.report.volume_error < 1e-3
    assert np.array_equal(got.mesh.boundaries["rim"], got.mesh.boundaries["top"])
    assert np.array_equal(got.mesh.boundaries["hole"], got.mesh.boundaries["bore"])
    bore = got.mesh.p[:, got.mesh.facets[:, got.mesh.boundaries["bore"]]]
    assert np.hypot(bore[0], bore[1]).max() < 6.0 + 1e-6
    assert np.unique(bore[2]).min() == pytest.approx(0, abs=1e-9)
    assert np.unique(bore[2]).max() == pytest.approx(20, abs=1e-9)


def test_inward_facing_surface_is_turned(stl):
    """A closed surface whose triangles face inwards encloses the same solid."""
    path = stl(CUBE, FACES[:, ::-1])
    assert check_file(path).volume == pytest.approx(1000)
    got = mesh_part(PartFile(path=path).part(), size=5.0)
    assert got.report.volumes["body"] == pytest.approx(1000)


def test_open_file_says_where(stl):
    """A missing triangle leaves three open edges, named by their middles."""
    path = stl(CUBE, FACES[1:])
    report = check_file(path)
    assert not report.watertight
    assert report.volume == 0.0
    assert "open: 3 edges belong to one triangle only, near (0, 0, 5), " in report.problems[0]
    with pytest.raises(ModelError, match=r"does not enclose a solid: open: 3 edges.*\(0, 5, 5\)"):
        mesh_part(PartFile(path=path).part())


def test_non_manifold_file_says_where(stl):
    """Two cubes that share an edge have one edge with four triangles."""
    points = np.vstack([CUBE, CUBE + [10, 10, 0]])
    report = check_file(stl(points, np.vstack([FACES, FACES + 8])))
    assert report.problems[0] == (
        "non-manifold: 1 edges belong to more than two triangles, near (10, 10, 5) mm"
    )


def test_turned_triangle_says_where(stl):
    """One triangle facing the other way disagrees with its three neighbours."""
    faces = FACES.copy()
    faces[0] = faces[0, ::-1]
    report = check_file(stl(CUBE, faces))
    assert "3 edges join triangles that face opposite ways, near" in report.problems[0]


def test_triangle_without_area_says_where(stl):
    """Three corners on a line."""
    points = np.vstack([CUBE, [[5, 0, 0]]])
    report = check_file(stl(points, np.vstack([FACES, [[0, 8, 4]]])))
    assert "1 triangles without area, near (5, 0, 0) mm" in report.problems[0]


def test_self_crossing_file_says_where(stl):
    """Two boxes pushed into one another cross, near where their faces meet."""
    points = np.vstack([CUBE, CUBE * 0.5 + [7, 2, 3]])
    path = stl(points, np.vstack([FACES, FACES + 8]))
    found = check_file(path).problems
    assert len(found) == 1
    assert "the surface crosses itself:" in found[0]
    with pytest.raises(ModelError, match=r"crosses itself: \d+ pairs of triangles, near \("):
        mesh_part(PartFile(path=path).part())


def test_two_bodies_in_one_file_are_refused(stl):
    """Each body needs a file of its own."""
    points = np.vstack([CUBE, CUBE + [30, 0, 0]])
    report = check_file(stl(points, np.vstack([FACES, FACES + 8])))
    assert "2 separate closed surfaces" in report.problems[0]


def test_file_in_metres_is_refused_with_the_likely_unit(stl):
    """A part of a hundredth of a millimetre shows its box and what it might have meant."""
    path = stl(CUBE / 1000, FACES)
    with pytest.raises(
        ModelError, match=r"measures 0.01 x 0.01 x 0.01 mm.*between 1 mm and 3000 mm.*unit='m'"
    ):
        mesh_part(PartFile(path=path, unit="mm").part())
    assert check_file(path, unit="m").problems == ()
    assert "measures 0.01" in check_file(path).problems[-1]


def test_unreadable_files_are_refused(tmp_path, stl):
    """Text that is no STL, a file without triangles, a coordinate that is no number."""
    path = tmp_path / "notes.stl"
    path.write_text("a walk in the marsh\n" * 20)
    with pytest.raises(ModelError, match=r"notes.stl' could not be read as an STL file"):
        check_file(path)
    path.write_text("solid nothing\nendsolid nothing\n")
    with pytest.raises(ModelError, match=r"notes.stl'.*(no triangles|could not be read)"):
        check_file(path)
    points = CUBE.copy()
    points[3, 1] = np.nan
    with pytest.raises(ModelError, match=r"triangle \d+ has a coordinate that is no finite number"):
        check_file(stl(points, FACES, binary=True))


def test_bands_in_an_stl_are_refused(stl):
    """An STL is one piece; bands and cores need a STEP file."""
    solid = Imported(str(stl(CUBE, FACES)))
    piece = Piece("a", solid, None, (Plane((0, 0, 5), (0, 0, 1)),), ("low", "high"))
    with pytest.raises(ModelError, match=r"one piece without bands or core"):
        mesh_part(Part("p", (piece,)))
