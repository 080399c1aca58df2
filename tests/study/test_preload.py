"""Joints judged with preload, with none, and with play: the algebra put together."""

from dataclasses import replace

import numpy as np
import pytest

from orthofem.loads.screw import gap_moment, preload_of_torque, shoulder_radius
from orthofem.loads.threads import metric, trapezoidal
from orthofem.loads.tightening import Friction, Tightening
from orthofem.materials import load, stiffness_of
from orthofem.parts import JOINTS, LooseStud, PrintedStud, Shaft, Spigot, TieRod
from orthofem.study import LYING, UPRIGHT, Print
from orthofem.study.screw.joint import axial_modulus, screwed
from orthofem.study.screw.states import STATES, judge_states, share_lines

SHAFT = Shaft(32.0)
PLA, STEEL = Print("pla"), Print("steel")
PRINTS = {"lower": PLA, "upper": PLA, "stud": PLA, "rod": STEEL, "washer": STEEL}
HAND = Tightening(4400.0)
PULL = np.array([350.0, 0, 0, 0, 0, 0])
KINDS = {"printed_stud": PrintedStud(), "loose_stud": LooseStud(), "tie_rod": TieRod()}


def judged(kind, loads=PULL, tightening=HAND, **options):
    """States of a joint under loads."""
    return judge_states(screwed(KINDS[kind], SHAFT, PRINTS), tightening, loads, **options)


def test_axial_modulus_follows_the_way_up():
    """Upright PLA is as stiff along the stick as across its layers, lying as along them."""
    pla = load("pla").constants
    assert axial_modulus(Print("pla", UPRIGHT)) == pytest.approx(pla.E3)
    assert axial_modulus(Print("pla", LYING)) == pytest.approx(pla.E1)
    round_beads = replace(UPRIGHT, beads="around")
    petg = Print("pla_ud_f", round_beads)
    at = stiffness_of(petg.loaded, round_beads, np.array([0.0, 5.0, 0.0]))
    assert axial_modulus(petg, 5.0) == pytest.approx(1 / np.linalg.inv(at.reshape(6, 6))[0, 0])


@pytest.mark.parametrize("kind", KINDS)
def test_three_states_in_order(kind):
    """Preload opens last and loads the stud most; without it the stud takes every pull."""
    tight, loose, play = judged(kind)
    assert tuple(state.name for state in (tight, loose, play)) == STATES
    assert tight.preload[0] < tight.preload[1]
    assert tight.opening_pull > tight.preload[0] > 0
    assert loose.opening_pull == loose.opening_factor == 0
    assert loose.stud_share == 1.0
    assert loose.stud_force == pytest.approx(350.0)
    assert tight.stud_force > tight.preload[1]
    assert loose.tilt == 0 < play.tilt
    assert replace(play, name=loose.name, tilt=0.0) == loose


@pytest.mark.parametrize("kind", KINDS)
def test_preload_is_that_of_the_torque(kind):
    """Least and most preload are those of the most and least friction at the turned face."""
    joint = screwed(KINDS[kind], SHAFT, PRINTS)
    tight = judged(kind)[0]
    radius = shoulder_radius(*joint.turned)
    for force, mu in zip(tight.preload, (0.38, 0.12), strict=True):
        assert force == pytest.approx(preload_of_torque(4400.0, joint.thread, mu, mu, radius))
    assert tight.opening_moment == pytest.approx(gap_moment(tight.preload[0], 0.0, *joint.shoulder))


def test_studs_of_one_material_share_by_their_sections():
    """Stud and ring of one print share a pull as their areas, bending as their second moments."""
    joint = screwed(PrintedStud(), SHAFT, PRINTS)
    ring, stud = 32.0**2 - 22.0**2, 16.0**2
    assert joint.springs.load_factor == pytest.approx(stud / (stud + ring))
    ring, stud = 32.0**4 - 22.0**4, 16.0**4
    assert joint.bending_share == pytest.approx(ring / (stud + ring))


def test_a_lying_stud_takes_a_larger_share():
    """A stud stiffer along the stick than its shaft carries more of a pull."""
    upright = screwed(LooseStud(), SHAFT, PRINTS).springs.load_factor
    lying = screwed(LooseStud(), SHAFT, {**PRINTS, "stud": Print("pla", LYING)}).springs.load_factor
    assert lying > upright


def test_walls_and_infill_soften_the_shoulder():
    """With a softer core the ring is softer than solid, and never softer than its infill."""
    solid = screwed(TieRod(), SHAFT, PRINTS).springs
    walled = Shaft(32.0, walls=2.0)
    prints = {
        **PRINTS,
        **{f"{piece}.wall": PLA for piece in ("lower", "upper")},
        **{f"{piece}.core": Print("tpu_95a") for piece in ("lower", "upper")},
    }
    soft = screwed(TieRod(), walled, prints).springs
    all_soft = screwed(TieRod(), SHAFT, {**PRINTS, "lower": Print("tpu_95a"),
                                         "upper": Print("tpu_95a")}).springs  # fmt: skip
    assert all_soft.clamped < soft.clamped < solid.clamped


def test_relaxation_lowers_the_opening_but_not_the_stress():
    """Openings are judged with what is left, threads with what there was."""
    for kind in KINDS:
        fresh, old = judged(kind)[0], judged(kind, remaining_modulus=0.65)[0]
        assert old.opening_pull < fresh.opening_pull
        assert old.thread_shear == fresh.thread_shear
        printed = kind != "tie_rod"
        kept = old.preload[0] / fresh.preload[0]
        assert kept == pytest.approx(0.65) if printed else 0.65 < kept < 1


def test_opening_factor_reaches_the_opening():
    """A pull times the factor found is the opening pull; the worst of several loads governs."""
    loads = np.zeros((6, 2))
    loads[0] = 350.0, 100.0
    tight = judged("tie_rod", loads)[0]
    assert tight.opening_factor * 350.0 == pytest.approx(tight.opening_pull)
    bent = np.array([0.0, 0, 0, 0, 600.0, -800.0])
    tight = judged("tie_rod", bent)[0]
    assert tight.opening_factor * 1000.0 == pytest.approx(tight.opening_moment)


def test_pushing_opens_nothing_and_rests_on_the_shoulder():
    """A push leaves the loose stud alone; its threads carry nothing."""
    _, loose, _ = judged("loose_stud", -PULL)
    assert loose.opening_factor == np.inf
    assert loose.stud_force == 0
    assert loose.shoulder_force == pytest.approx(350.0)
    assert loose.thread_shear == (0.0, 0.0)


def test_share_lines_are_those_of_the_springs():
    """Most, least and no preload in this order, each with its own opening."""
    joint, pull = screwed(TieRod(), SHAFT, PRINTS), np.linspace(0.0, 4000.0, 9)
    lines = share_lines(joint, (460.0, 1324.0), pull)
    for row, preload in enumerate((1324.0, 460.0, 0.0)):
        stud, shoulder = joint.springs.shares(preload, pull)
        assert lines.stud[row] == pytest.approx(stud)
        assert lines.shoulder[row] == pytest.approx(shoulder)
        assert lines.opening[row] == pytest.approx(joint.springs.opening_pull(preload))
    assert lines.states[-1] == STATES[1]


def test_seats():
    """A stud's joint bears on its shoulder, a tie rod's washer carries the rod's own force."""
    rod = judged("tie_rod")[0]
    area = np.pi / 4 * (18.0**2 - 7.0**2)
    assert rod.seat_pressure == pytest.approx(rod.stud_force / area)
    stud = judged("printed_stud", 0 * PULL)[0]
    assert stud.seat_pressure == pytest.approx(stud.preload[1] / (np.pi / 4 * (32**2 - 22**2)))


def test_a_twist_lets_a_joint_go_by_its_hand():
    """The twist that loosens a right-hand thread drives a left-hand one on."""
    twist = np.array([0, 0, 0, 25_000.0, 0, 0])
    right = judged("printed_stud", twist)[0]
    left = judged("printed_stud", twist, replace(HAND, hand="left"))[0]
    assert right.turns[0].sense == "loosens"
    assert right.lets_go
    assert left.turns[0].sense == "tightens"
    assert not left.lets_go
    small = judged("printed_stud", twist / 1000)[0]
    assert not small.lets_go
    assert judged("printed_stud", twist / 1000)[1].lets_go


def test_the_thread_may_be_given():
    """Without one it is trapezoidal on a stud and metric of coarse pitch on a rod."""
    assert screwed(LooseStud(), SHAFT, PRINTS).thread == trapezoidal(16.0, 4.0)
    assert screwed(TieRod(), SHAFT, PRINTS).thread == metric(6.0, 1.0)
    own = metric(6.0, 0.75)
    assert screwed(TieRod(), SHAFT, PRINTS, own).thread == own


@pytest.mark.parametrize("name", JOINTS)
def test_every_joint_is_judged_or_said_to_be_glued(name):
    """A joint of the dictionary is either read, or refused because nothing tightens it."""
    joint = JOINTS[name]()
    prints = {**PRINTS, "spigot": PLA, "glue": Print("epoxy_adhesive")}
    if name in ("spigot", "cored"):
        with pytest.raises(ValueError, match="glued, not screwed"):
            screwed(joint, SHAFT, prints)
    else:
        assert judge_states(screwed(joint, SHAFT, prints), HAND, PULL)[0].opening_pull > 0


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: screwed(Spigot(), SHAFT, PRINTS), "printed_stud, loose_stud, tie_rod"),
        (lambda: screwed(TieRod(core_diameter=7.0), SHAFT, PRINTS), "No coarse pitch.*7 mm"),
        (lambda: screwed(LooseStud(), SHAFT, {"lower": PLA, "upper": PLA}), "without a print"),
        (lambda: judged("tie_rod", np.zeros(5)), r"shape \(5,\); give \(6,\) or \(6, n\)"),
        (lambda: judged("tie_rod", np.zeros((6, 0))), r"shape \(6, 0\)"),
        (lambda: judged("tie_rod", np.full(6, np.nan)), "resultants is nan"),
        (lambda: judged("tie_rod", remaining_modulus=1.5), "clamped parts = 1.5"),
        (lambda: judged("tie_rod", carrying=0.0), "turns that carry = 0"),
        (lambda: judged("tie_rod", tightening=Tightening(1.0, Friction(1.0, 1.9))), "= 1.9"),
    ],
)
def test_impossible_questions_are_refused(make, message):
    """Each error names what was given and what is allowed."""
    with pytest.raises(ValueError, match=message):
        make()
