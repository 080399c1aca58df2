import numpy as np
import pytest

from orthofem.errors import ModelError
from orthofem.mesh import mesh_part
from orthofem.mesh.build import build
from orthofem.mesh.session import session
from orthofem.parts import (
    COUPONS,
    JOINTS,
    Box,
    Common,
    Cut,
    Cylinder,
    Extruded,
    Fused,
    HalfSpace,
    LooseStud,
    Part,
    Piece,
    Plane,
    PrintedStud,
    RoundBar,
    Shaft,
    Waist,
    polygon,
    with_bands,
)


def solid_volumes(part):
    """Volumes of the built regions."""
    with session() as gmsh:
        return build(gmsh, part).solid_volume


def segment(radius, height):
    """Area of a circle's cap."""
    angle = np.arccos(1 - height / radius)
    return radius**2 * (angle - np.sin(angle) * np.cos(angle))


CLOSED = {
    **{name: kind().part(Shaft(30.0)) for name, kind in JOINTS.items()},
    **{f"{name} walled": kind().part(Shaft(30.0, walls=2.4)) for name, kind in JOINTS.items()},
    "bored": PrintedStud().part(Shaft(30.0, bore=6.0, walls=2.0)),
    "rings": LooseStud(thread="rings").part(Shaft(30.0)),
    "waist": Shaft(30.0, waist=Waist(60.0, 18.0, 10.0, 9.0), walls=2.0).part(120.0),
    **{name: kind().part() for name, kind in COUPONS.items() if name != "snap"},
}


def closed_volume(solid):
    """Pappus' volume, summed where solids lie apart."""
    if isinstance(solid, Fused):
        return sum(one.volume for one in solid.solids)
    return solid.volume


@pytest.mark.parametrize("name", CLOSED)
def test_built_solids_have_their_closed_form_volumes(name):
    """Pappus' volumes and those of the built solids agree, walls and core apart."""
    part = CLOSED[name]
    built = solid_volumes(part)
    assert list(built) == list(part.regions)
    for piece in part.pieces:
        whole = sum(volume for region, volume in built.items() if region in piece.regions)
        assert whole == pytest.approx(closed_volume(piece.solid), rel=1e-8)
        if piece.core is not None:
            assert built[f"{piece.name}.core"] == pytest.approx(piece.core.volume, rel=1e-8)


def test_boolean_solids():
    """Cut, common, fused, extruded and half space give the volumes of boxes."""
    cube, corner = Box((0, 0, 0), (2, 2, 2)), Box((1, 1, 1), (2, 2, 2))
    wedge = Extruded(polygon([(0, 0), (3, 0), (0, 4)]), (1, 0, 5))
    half = HalfSpace((0, 0, 0.5), (0, 0, 3))
    for solid, volume in (
        (Cut(cube, corner), 7),
        (Common(cube, corner), 1),
        (Fused((cube, corner)), 15),
        (Fused((cube,)), 8),
        (wedge, 30),
        (Cut(cube, half), 2),
    ):
        assert solid_volumes(Part("p", (Piece("a", solid),)))["a"] == pytest.approx(volume)


def test_flat_leaves_a_void_in_the_socket():
    """A flat takes the cap's area over the stud's length, and nothing from the sockets."""
    whole = solid_volumes(LooseStud().part(Shaft(30.0)))
    planed = solid_volumes(LooseStud(flat=2.0).part(Shaft(30.0)))
    assert whole["stud"] - planed["stud"] == pytest.approx(54 * segment(8, 2), rel=1e-8)
    assert planed["upper"] == pytest.approx(whole["upper"], rel=1e-10)


@pytest.mark.parametrize("build_direction", [(0, -1, 0), (1, 0, 0), (0.3, -0.8, 0.5)])
def test_no_cell_straddles_a_layer_plane(build_direction):
    """Every node of a band lies between its planes to round-off, for straight and tilted planes."""
    bar = RoundBar(length=40.0, diameter=10.0).part()
    part = with_bands(bar, "bar", build_direction, (2.5, 5.0, 7.5), ("a", "b", "c", "d"))
    mesh = mesh_part(part, size=4.0).mesh
    normal = np.array(part.pieces[0].splits[0].normal)
    levels = [-np.inf, *(np.dot(p.point, normal) for p in part.pieces[0].splits), np.inf]
    nodes = mesh.doflocs[:, mesh.dofs.element_dofs]
    for band, name in enumerate("abcd"):
        height = np.einsum("i,ijn->jn", normal, nodes[:, :, mesh.subdomains[f"bar.{name}"]])
        assert height.min() > levels[band] - 1e-9
        assert height.max() < levels[band + 1] + 1e-9


def test_bands_have_the_volume_of_the_circle_between_their_planes():
    """Four bands of a round bar lying down are circle segments."""
    bar = RoundBar(length=40.0, diameter=10.0).part()
    part = with_bands(bar, "bar", (0, 0, 1), (2.5, 5.0, 7.5), ("a", "b", "c", "d"))
    volume = mesh_part(part, size=2.0).report.volumes
    low, rest = segment(5, 2.5) * 40, (np.pi * 25 / 2 - segment(5, 2.5)) * 40
    assert list(volume.values()) == pytest.approx([low, rest, rest, low], rel=2e-4)


def test_bands_and_core_combine():
    """A piece with both has a wall and a core in each band."""
    shaft = Shaft(20.0, walls=2.0).part(60.0)
    part = with_bands(shaft, "shaft", (1, 0, 0), (30.0,), ("grey", "red"))
    built = solid_volumes(part)
    half = np.pi * 8**2 * 28
    assert built["shaft.grey.core"] == pytest.approx(half)
    assert built["shaft.red.core"] == pytest.approx(half)
    assert built["shaft.red.wall"] == pytest.approx(np.pi * 100 * 30 - half)


def test_overlapping_pieces_are_refused():
    """The overlap is named with its volume."""
    part = Part("p", (Piece("a", Box((0, 0, 0), (2, 2, 2))), Piece("b", Box((1, 0, 0), (2, 2, 2)))))
    with pytest.raises(ModelError, match=r"Regions 'a' and 'b'.*overlap by 4 mm3"):
        solid_volumes(part)


def test_plane_that_misses_its_piece_is_refused():
    """A band without volume is named, with those that have some."""
    split = (Plane((0, 0, 9), (0, 0, 1)),)
    piece = Piece("a", Box((0, 0, 0), (2, 2, 2)), None, split, ("low", "high"))
    with pytest.raises(ModelError, match=r"No volume is left for region a.high.*: a.low"):
        solid_volumes(Part("p", (piece,)))


def test_solid_cut_away_is_refused():
    """A cut that leaves nothing says so."""
    cube = Box((0, 0, 0), (2, 2, 2))
    with pytest.raises(ModelError, match=r"Nothing is left of the solid Cut"):
        solid_volumes(Part("p", (Piece("a", Cut(cube, Cylinder((1, 1, -1), (0, 0, 9), 9.0))),)))
