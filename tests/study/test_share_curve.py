"""Stud and shoulder under a pull, by finite elements with contact, against the two springs."""

from dataclasses import replace

import numpy as np
import pytest

from orthofem.errors import ModelError
from orthofem.mesh import mesh_part
from orthofem.parts import JOINTS, PrintedStud, Shaft, Spigot, TieRod
from orthofem.study import Option, Print, ShareCurve, screwed, share_curve
from orthofem.study.screw.share_curve import TIGHTENED

SHAFT = Shaft(32.0)
PRINTS = {"lower": Print("pla"), "upper": Print("pla"), "stud": Print("pla"),
          "rod": Print("steel"), "washer": Print("steel"), "spigot": Print("pla"),
          "glue": Print("epoxy_adhesive")}  # fmt: skip
CURVE = ShareCurve(
    preload=100.0,
    travel=0.01,
    pull=np.array([50.0, 100.0, 150.0, 220.0]),
    stud=np.array([125.0, 150.0, 175.0, 220.0]),
    shoulder=np.array([75.0, 50.0, 25.0, 0.0]),
    closed=np.array([1.0, 1.0, 0.6, 0.0]),
)


def option(joint):
    """Give a joint in PLA, its rod in steel."""
    part = joint.part(SHAFT)
    return Option(part.name, part, {piece.name: PRINTS[piece.name] for piece in part.pieces})


def test_factor_and_opening_come_from_the_closed_joint():
    """Half of each newton goes to the stud, so twice the preload parts the shoulder."""
    assert CURVE.load_factor == pytest.approx(0.5)
    assert CURVE.opening_pull == pytest.approx(200.0)
    assert CURVE.parts_between == (150.0, 220.0)


def test_a_shoulder_that_is_never_closed_has_no_factor():
    """Two wholly closed points are needed for a line."""
    half = replace(CURVE, closed=np.array([1.0, 0.9, 0.6, 0.0]))
    with pytest.raises(ModelError, match="wholly closed under 1 of the pulls"):
        assert half.load_factor
    assert replace(CURVE, closed=np.zeros(4)).parts_between == (-np.inf, 50.0)


@pytest.mark.parametrize("name", sorted(TIGHTENED))
def test_every_tightened_joint_names_interfaces_that_its_mesh_has(name):
    """The laws stand on interfaces of the joint's own mesh."""
    mesh = mesh_part(JOINTS[name](shoulder="bonded").part(SHAFT), refinement=0.5).mesh
    assert set(TIGHTENED[name].laws(0.01)) <= set(mesh.boundaries)


@pytest.mark.slow
def test_a_tie_rod_parts_where_the_algebra_says(verify):
    """Load factor and opening pull of the tie rod's algebra hold within a tenth."""
    joint = TieRod()
    chosen = option(joint)
    mesh = mesh_part(chosen.part, refinement=0.5)
    springs = screwed(joint, SHAFT, chosen.prints).springs
    opens = springs.opening_pull(500.0)
    curve = share_curve(chosen, mesh, 500.0, np.array([0.2, 0.8, 1.2]) * opens)
    verify("THR-2", "opening pull of a tie rod joint, contact", curve.opening_pull, opens,
           source="two springs, cone of pressure, fitted place of the load", grade="E",
           rtol=0.10, why="the algebra is an estimate; its notes say within a tenth")  # fmt: skip
    low, high = curve.parts_between
    assert low < curve.opening_pull < high
    assert curve.stud[-1] == pytest.approx(1.2 * opens, rel=1e-4)


@pytest.mark.slow
def test_a_printed_studs_shoulder_opens_from_its_rim():
    """Its rim is open once tightened, stud and shoulder still share a pull as the springs do."""
    joint = PrintedStud(shoulder="bonded")
    chosen = option(joint)
    springs = screwed(joint, SHAFT, chosen.prints).springs
    pulls = np.array([0.2, 0.5]) * springs.opening_pull(500.0)
    curve = share_curve(chosen, mesh_part(chosen.part, refinement=0.5), 500.0, pulls)
    stud, shoulder = springs.shares(500.0, pulls)
    assert curve.stud == pytest.approx(stud, rel=0.05)
    assert curve.shoulder == pytest.approx(shoulder, rel=0.05)
    assert (curve.closed < 0.7).all()


@pytest.fixture(scope="module")
def open_mesh():
    """A printed stud whose shoulders do not touch."""
    return mesh_part(PrintedStud().part(SHAFT), refinement=0.5)


@pytest.mark.parametrize(
    ("joint", "preload", "pulls", "error", "message"),
    [
        (Spigot(), 1.0, [1.0], ValueError, "Unknown screwed joint 'spigot'.*tie_rod"),
        (PrintedStud(), -1.0, [1.0], ValueError, "Preload -1 N"),
        (PrintedStud(), 1.0, [], ValueError, r"pulls = \[\]; give at least one"),
        (PrintedStud(), 1.0, [1.0, 0.0], ValueError, "none of zero"),
        (PrintedStud(), 1.0, [np.nan], ValueError, "pulls is nan"),
        (PrintedStud(), 1.0, [1.0], ModelError, "do not touch.*shoulder=.bonded"),
    ],
)
def test_impossible_curves_are_refused(open_mesh, joint, preload, pulls, error, message):
    """Each error says what was given and what to do."""
    with pytest.raises(error, match=message):
        share_curve(option(joint), open_mesh, preload, pulls)
