from dataclasses import replace

import numpy as np
import pytest

from orthofem.parts import JOINTS, Cored, LooseStud, NotchFactor, PrintedStud, Shaft, Spigot
from orthofem.parts.joints.thread import Rings
from orthofem.parts.outline import Pen

SHAFT = Shaft(30.0)


def cone(depth, mouth, bore):
    """Volume of the countersink round a bore, bore included."""
    return np.pi * depth / 3 * (mouth**2 + mouth * bore + bore**2)


def round_bottom(bore, radius):
    """Volume beyond the stud's end: a disc and a quarter round ring, by Pappus."""
    disc = np.pi * (bore - radius) ** 2 * radius
    quarter = np.pi * radius**2 / 4
    return disc + 2 * np.pi * quarter * (bore - radius + 4 * radius / (3 * np.pi))


def volumes(part):
    """Closed-form volumes by piece."""
    return {piece.name: piece.solid.volume for piece in part.pieces}


@pytest.mark.parametrize("name", JOINTS)
@pytest.mark.parametrize("shoulder", ["open", "bonded"])
@pytest.mark.parametrize("walls", [None, 2.4])
def test_every_joint_gives_a_window(name, shoulder, walls):
    """Pieces lower and upper, two ends, a zone of interest inside the window."""
    part = JOINTS[name](shoulder=shoulder).part(Shaft(30.0, walls=walls), window=70.0)
    names = [piece.name for piece in part.pieces]
    assert {"lower", "upper"} <= set(names)
    assert part.surfaces["lower_end"].point == (-70, 0, 0)
    assert part.surfaces["upper_end"].point == (70, 0, 0)
    assert part.interest.high[0] < 70
    assert part.name == name
    walled = {"lower.wall", "lower.core", "upper.wall", "upper.core"}
    assert (walled <= set(part.regions)) == (walls is not None)


def test_printed_stud_volumes():
    """Shaft, stud and root fillet; shaft less countersink, bore and round bottom."""
    got = volumes(PrintedStud().part(SHAFT))
    square = np.pi * 2 * (10**2 - 8**2)  # ring 2 mm wide and high round the stud's root
    quarter = 2 * np.pi * (np.pi * 4 / 4) * (10 - 4 * 2 / (3 * np.pi))
    lower = np.pi * (225 * 60 + 64 * 27) + square - quarter
    assert got["lower"] == pytest.approx(lower, rel=1e-12)
    upper = np.pi * 225 * 59.8 - cone(2.8, 10.8, 8) - np.pi * 64 * 24 - round_bottom(8, 2)
    assert got["upper"] == pytest.approx(upper, rel=1e-12)


def test_loose_stud_volumes():
    """Two like sockets and a plain stud between them."""
    got = volumes(LooseStud().part(SHAFT))
    assert got["stud"] == pytest.approx(np.pi * 64 * 54)
    socket = np.pi * 225 * 59.9 - cone(2.9, 10.9, 8) - np.pi * 64 * 24 - round_bottom(8, 2)
    assert got["upper"] == pytest.approx(socket, rel=1e-12)
    assert got["lower"] == pytest.approx(socket, rel=1e-12)


def test_spigot_glue_is_as_thick_as_the_clearance():
    """Glue fills the ring between spigot and bore over the engaged length, on both sides."""
    part = Spigot(clearance=0.3).part(SHAFT)
    glue = part.piece("glue").solid.solids
    assert sum(ring.volume for ring in glue) == pytest.approx(2 * np.pi * 24 * (8.3**2 - 8**2))
    assert part.piece("spigot").solid.volume == pytest.approx(np.pi * 64 * 54)


def test_rod_reaches_through_the_window():
    """The rod of a cored joint is as long as the window, its glue to the neck."""
    part = Cored(core_diameter=8.0, clearance=0.2).part(SHAFT, window=50.0)
    assert part.piece("rod").solid.volume == pytest.approx(np.pi * 16 * 100)
    glue = sum(ring.volume for ring in part.piece("glue").solid.solids)
    assert glue == pytest.approx(2 * np.pi * 47 * (4.2**2 - 4**2))


@pytest.mark.parametrize("joint", [Spigot, Cored])
def test_no_clearance_no_glue(joint):
    """A clearance of zero bonds the core directly."""
    part = joint(clearance=0.0, gap=0.2).part(SHAFT)
    assert "glue" not in [piece.name for piece in part.pieces]


def test_bonded_shoulder_has_no_gap():
    """Both shoulder faces lie at x = 0 when bonded, a clearance apart when open."""
    upper = PrintedStud(shoulder="bonded").part(SHAFT).piece("upper").solid.outline
    assert upper.points()[0].min() == 0
    upper = PrintedStud(clearance=0.3).part(SHAFT).piece("upper").solid.outline
    assert upper.points()[0].min() == pytest.approx(0.3)
    upper = PrintedStud(gap=1.0).part(SHAFT).piece("upper").solid.outline
    assert upper.points()[0].min() == pytest.approx(1.0)


def test_countersink_clears_the_fillet():
    """Stud and socket outlines touch on the engaged length only."""
    part = PrintedStud(root_fillet=2.0, neck=2.5).part(SHAFT)
    stud = part.piece("lower").solid.outline.points(60)
    root = stud[:, (stud[0] >= 0) & (stud[0] <= 2.0) & (stud[1] < 15)]
    height = root[1] + root[0]  # the 45 degree cone is where x + r = neck + core radius
    assert (height < 2.5 + 8).all()


def test_bored_shaft_bores_the_printed_stud():
    """A bore goes through stud and socket; a loose stud stays whole."""
    shaft = Shaft(30.0, bore=6.0)
    bored, whole = volumes(PrintedStud().part(shaft)), volumes(PrintedStud().part(SHAFT))
    assert whole["lower"] - bored["lower"] == pytest.approx(np.pi * 9 * 87)
    assert whole["upper"] - bored["upper"] == pytest.approx(np.pi * 9 * (60 - 29))
    assert volumes(LooseStud().part(shaft))["stud"] == pytest.approx(np.pi * 64 * 54)


def test_rings_join_without_a_corner():
    """The arcs of a ring have one tangent where they meet, and reach the stated depth."""
    rings = Rings(pitch=4.0, depth=0.8)
    outline = rings.draw(Pen(0, 0).line(0, 8), 0.0, 20.0, 8.0).line(20, 0).close()
    points = outline.points(400)
    assert points[1].max() == pytest.approx(8.8)
    top = points[:, points[1] > 7.999]
    turn = np.diff(np.unwrap(np.arctan2(*np.diff(top)[::-1])))
    assert np.abs(turn).max() < 0.01
    assert len(rings.stations(0.0, 21.0)) == 5
    assert rings.stations(0.0, 21.0)[0] == pytest.approx(0.5)


def test_rings_are_shared_by_stud_and_socket():
    """Stud and socket have the same outline over the engaged length."""
    part = LooseStud(thread="rings").part(SHAFT)

    def engaged(name):
        points = part.piece(name).solid.outline.points(12)
        keep = (points[0] > 3.01) & (points[0] < 26.99) & (points[1] > 7.9) & (points[1] < 9)
        return points[:, keep][:, np.argsort(points[0, keep])]

    assert engaged("stud") == pytest.approx(engaged("upper"), abs=1e-12)
    assert "rounded rings" in part.notes[0]


def test_smooth_thread_states_its_notch_factor():
    """The factor and its grade stand in the notes, and no dimension depends on it."""
    part = LooseStud().part(SHAFT)
    assert "notch factor 2.6 (grade E" in part.notes[0]
    other = LooseStud(notch_factor=NotchFactor(1.5, "E", "a guess")).part(SHAFT)
    assert "notch factor 1.5 (grade E: a guess)" in other.notes[0]
    assert other.pieces == part.pieces


def test_stud_wider_than_its_shaft_is_refused():
    """Both when it is wider, and when what is left is too thin to print."""
    for joint in (PrintedStud(core_diameter=30.0), LooseStud(core_diameter=40.0)):
        with pytest.raises(ValueError, match=r"is wider than its shaft of 30 mm"):
            joint.part(SHAFT)
    with pytest.raises(ValueError, match=r"leaves a wall of 0.5 mm at the socket's mouth"):
        Spigot(core_diameter=22.6).part(SHAFT)


@pytest.mark.parametrize("kind", JOINTS.values())
@pytest.mark.parametrize("field", ["core_diameter", "engaged_length", "neck", "end_gap"])
@pytest.mark.parametrize("value", [-1.0, 0.0, float("nan"), float("inf")])
def test_dimensions_must_be_above_zero(kind, field, value):
    """Negative, zero, infinite and missing dimensions are named."""
    with pytest.raises(ValueError, match=field.replace("_", " ")):
        kind(**{field: value})


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: LooseStud(clearance=-0.1), r"clearance = -0.1 mm"),
        (lambda: LooseStud(gap=float("nan")), r"gap is nan"),
        (lambda: LooseStud(shoulder="glued"), r"Shoulder 'glued' is unknown.*open, bonded"),
        (lambda: LooseStud(clearance=0.0), r"gap of 0 mm would touch"),
        (lambda: LooseStud(neck=0.2), r"not longer than the shoulder gap"),
        (lambda: LooseStud(end_gap=8.0), r"not below the core radius of 8 mm"),
        (lambda: LooseStud(flat=8.0), r"Flat 8 mm deep on a core of radius 8 mm"),
        (lambda: LooseStud(flat=-0.5), r"Flat -0.5 mm"),
        (lambda: LooseStud(flat=float("nan")), r"flat is nan"),
        (lambda: LooseStud(thread="metric"), r"Thread 'metric' is unknown.*smooth, rings"),
        (lambda: LooseStud(thread="rings", depth=2.0), r"must not be above 1.8 mm"),
        (lambda: LooseStud(thread="rings", pitch=-4.0), r"ring pitch = -4"),
        (lambda: LooseStud(thread="rings", depth=0.0), r"ring depth = 0"),
        (lambda: LooseStud(thread="rings", pitch=25.0), r"not one ring fits"),
        (lambda: LooseStud(notch_factor=NotchFactor(0.0, "E", "")), r"thread notch factor = 0"),
        (lambda: PrintedStud(root_fillet=0.0), r"root fillet = 0"),
        (lambda: PrintedStud(root_fillet=3.0), r"Neck 3 mm is shorter than root fillet"),
        (
            lambda: PrintedStud(core_diameter=26.0, root_fillet=2.5).part(SHAFT),
            r"larger than the step of 2 mm",
        ),
        (lambda: LooseStud().part(SHAFT, window=30.0), r"must reach at least 36.5 mm"),
        (lambda: LooseStud().part(SHAFT, window=float("nan")), r"window is nan"),
        (lambda: LooseStud().part(Shaft(30.0, 25.0)), r"straight shaft.*shaft.at"),
        (lambda: LooseStud().part(Shaft(30.0, bore=14.0)), r"leaves no seat"),
        (lambda: Cored().part(Shaft(30.0, bore=6.0)), r"bored for its rod"),
        (lambda: Cored(core_diameter=16.0).part(Shaft(30.0, walls=3.2)), r"leave 0.4 mm of core"),
    ],
)
def test_impossible_joints_are_refused(make, message):
    """Each error names the numbers and the way out."""
    with pytest.raises(ValueError, match=message):
        make()


def test_walls_line_the_socket():
    """The core of the upper piece keeps the walls' thickness from skin, bore and bottom."""
    walls = 2.0
    core = LooseStud().part(Shaft(30.0, walls=walls)).piece("upper").core.outline.points()
    inside = core[:, core[0] < 3 + 24 + 2 + walls - 1e-9]
    assert inside[1].min() == pytest.approx(8 + walls)
    assert core[1].max() == pytest.approx(15 - walls)
    assert core[0].min() == pytest.approx(3 + walls)


def test_thick_walls_leave_no_core_round_the_socket():
    """Where walls meet between skin and bore the infill starts beyond the socket."""
    core = LooseStud().part(Shaft(30.0, walls=3.4)).piece("upper").core.outline.points()
    assert core[0].min() == pytest.approx(3 + 24 + 2 + 3.4)


def test_a_joint_is_varied_without_changing_it():
    """Joints are frozen values; replace gives a new one, checked again."""
    joint = LooseStud()
    assert replace(joint, flat=2.0).flat == 2.0
    assert joint.flat == 0.0
    with pytest.raises(ValueError, match=r"Flat 9 mm"):
        replace(joint, flat=9.0)
