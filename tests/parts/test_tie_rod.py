"""The tie rod: its solids in closed form, where things touch, and what is refused."""

import numpy as np
import pytest

from orthofem.errors import ModelError
from orthofem.materials import load, stiffness_of
from orthofem.materials.frame import PrintFrame
from orthofem.mesh import mesh_part
from orthofem.parts import Shaft, TieRod
from orthofem.solve import Model, balanced_unit_responses

SHAFT = Shaft(30.0)
JOINT = TieRod(
    nut_diameter=10.0, nut_height=5.0, washer_diameter=18.0, washer_thickness=1.5, neck=1.0
)


def test_volumes():
    """Rod with its head, flanged nut and bored pieces have Pappus' volumes."""
    part = JOINT.part(SHAFT)
    one = np.pi * ((81 - 9) * 1.5 + (25 - 9) * 5)
    rod = np.pi * 9 * (2 * (36 + 1.5 + 5) + 2)
    assert part.piece("rod").solid.volume == pytest.approx(rod + one)
    assert part.piece("washer").solid.volume == pytest.approx(one)
    chamfer = np.pi / 3 * (4.5**2 + 4.5 * 3.5 + 3.5**2)
    square, quarter = 9.5, 9 + 4 / (3 * np.pi)  # radii of their middles: the fillet is between
    fillet = 2 * np.pi * (square - np.pi / 4 * quarter)
    upper = np.pi * (225 * 60 - 3.5**2 * 35 - 100 * 24) - chamfer + fillet
    assert part.piece("upper").solid.volume == pytest.approx(upper, rel=1e-12)
    assert part.piece("lower").solid.volume == pytest.approx(upper, rel=1e-12)


def test_sizes_follow_the_rod():
    """Without sizes of their own nut and washer grow with the rod; M6 has about 10, 5, 18, 1.6."""
    joint = TieRod()
    sizes = (joint.nut, joint.height, joint.washer, joint.thickness)
    assert sizes == pytest.approx((10.0, 5.2, 18.0, 1.6), abs=0.05)
    assert TieRod(core_diameter=12.0).washer == pytest.approx(2 * joint.washer)


def test_the_rod_stays_inside_the_window():
    """The rod ends in its pocket, so nothing but print lies in the window's ends."""
    part = TieRod().part(SHAFT, window=60.0)
    for name in ("rod", "washer"):
        reach = part.piece(name).solid.support(np.array([1.0, 0, 0]))
        assert reach < 60.0 - 0.4 * SHAFT.radius
    assert "tube" in part.notes[1]


def test_walls_line_seat_and_pocket():
    """Infill keeps the walls' thickness from bore, shoulder, seat, pocket and skin."""
    walls, joint = 1.5, TieRod()
    core = joint.part(Shaft(30.0, walls=walls)).piece("upper").core.outline.points()
    inside = core[:, core[0] < joint.engaged_length - walls + 1e-9]
    assert inside[1].min() == pytest.approx(3.5 + walls)
    beyond = core[:, core[0] > joint.engaged_length]
    assert beyond[1].min() == pytest.approx(joint.pocket + walls)
    assert core[1].max() == pytest.approx(15 - walls)
    thick = joint.part(Shaft(30.0, walls=2.4)).piece("upper").core.outline.points()
    assert thick[0].max() == pytest.approx(joint.engaged_length - 2.4)


@pytest.fixture(scope="module")
def meshed():
    """Mesh the default joint once."""
    return mesh_part(TieRod().part(SHAFT))


def test_only_what_should_touch_touches(meshed):
    """Shoulders, seats and thread meet their partners; the rod itself touches no print."""
    found = {name for name in meshed.mesh.boundaries if "|" in name}
    assert found == {"lower|upper", "rod|washer", "rod|lower", "washer|upper"}


def test_interfaces_have_their_areas(meshed):
    """Shoulder and seats are the rings they should be."""
    area = {}
    for name in ("lower|upper", "washer|upper", "rod|lower"):
        nodes = meshed.mesh.p[:, meshed.mesh.facets[:, meshed.mesh.boundaries[name]]]
        sides = nodes[:, 1:] - nodes[:, :1]
        area[name] = np.linalg.norm(np.cross(sides[:, 0], sides[:, 1], axis=0), axis=0).sum() / 2
    assert area["lower|upper"] == pytest.approx(np.pi * (15**2 - 4.5**2), rel=0.02)
    for seat in ("washer|upper", "rod|lower"):
        assert area[seat] == pytest.approx(np.pi * (81 - 3.5**2), rel=0.04)


def test_a_stick_in_tension_pulls_mostly_on_the_print(meshed):
    """Bonded all over, the section's force is shared by print and rod and balances."""
    pla, steel = load("pla"), load("steel")
    upright = PrintFrame(build=(1, 0, 0), beads="alternating")
    own = {r: steel if p in ("rod", "washer") else pla for r, p in meshed.piece_of.items()}
    model = Model(meshed.mesh, {r: stiffness_of(m, upright) for r, m in own.items()})
    answer = balanced_unit_responses(model, "upper_end", "lower_end", (0, 0, 0))
    stretch = answer.flexibility[0, 0]
    tube, solid = np.pi * (225 - 100), np.pi * (225 - 12.25)
    E = 1 / np.linalg.inv(stiffness_of(pla, upright))[0, 0]
    print_only = 2 * ((60 - 36) / tube + 36 / solid) / E
    with_rod = 2 * (24 / tube / E + 36 / (solid * E + np.pi * 9 * 210e3))
    assert with_rod < stretch < print_only


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: TieRod(washer_diameter=7.0), r"washer of 7 mm would slip into the bore of 7 mm"),
        (lambda: TieRod(nut_diameter=6.0), r"Nut diameter 6 mm.*rod's 6 mm.*washer's 18 mm"),
        (lambda: TieRod(nut_diameter=19.0), r"Nut diameter 19 mm"),
        (lambda: TieRod(neck=40.0), r"Neck 40 mm is not shorter than the engaged length of 36"),
        (lambda: TieRod(core_diameter=30.0).part(SHAFT), r"wider than its shaft of 30 mm"),
        (lambda: TieRod(washer_diameter=27.0).part(SHAFT), r"leaves a wall of 0.5 mm round"),
        (lambda: TieRod().part(SHAFT, window=45.0), r"window of 45 mm must reach at least"),
        (lambda: TieRod().part(Shaft(30.0, bore=8.0)), r"bored for its rod; a bore of 8 mm"),
        (lambda: TieRod().part(Shaft(30.0, walls=5.5)), r"Walls of 5.5 mm leave no core"),
    ],
)
def test_impossible_tie_rods_are_refused(make, message):
    """Each error names the numbers and the way out."""
    with pytest.raises(ValueError, match=message):
        make()


@pytest.mark.parametrize(
    "field",
    ["nut_diameter", "nut_height", "washer_diameter", "washer_thickness", "pocket_fillet"],
)
@pytest.mark.parametrize("value", [0.0, -1.0, float("nan")])
def test_sizes_must_be_above_zero(field, value):
    """Zero, negative and missing sizes are named."""
    with pytest.raises(ValueError, match=field.replace("_", " ")):
        TieRod(**{field: value})


def test_a_size_too_coarse_for_the_rod_is_refused():
    """A mesh that is not the part is an error, not an answer."""
    part = TieRod().part(SHAFT)
    with pytest.raises(ModelError, match=r"% off"):
        mesh_part(part, refinement=0.05, order=1)
