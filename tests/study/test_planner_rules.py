"""Joints sized to their shaft, and wishes that are refused with what gives."""

from __future__ import annotations

import numpy as np
import pytest

from orthofem.errors import ModelError
from orthofem.loads import Person
from orthofem.materials import Printer, infill, load
from orthofem.parts import Shaft, Waist
from orthofem.study.planner import JointRule, Wish
from orthofem.study.planner.printable import check_printable, longest, stud_ways
from orthofem.study.planner.rules import SEPARATE, fits, kind_of, stud_beyond, window_of

COMMON = Printer(width=220.0, depth=220.0, height=250.0)


def wish(**changes):
    """A stick that can be made."""
    given = {"length": 852.0, "outline": 32.0, "joints": ["printed_stud", "loose_stud"],
             "printer": COMMON}  # fmt: skip
    return Wish(**{**given, **changes})


@pytest.mark.parametrize("kind", SEPARATE)
@pytest.mark.parametrize("diameter", [18.0, 24.0, 32.0, 40.0])
def test_every_rule_makes_a_joint_that_fits_its_shaft(kind, diameter):
    """From 18 to 40 mm each joint of the planner can be built by its rule alone."""
    joint = JointRule(kind).joint(diameter)
    shaft = Shaft(diameter)
    assert fits(joint, (shaft,), window_of(joint, diameter)) == ""
    assert kind_of(joint) == kind
    assert joint.core_diameter == pytest.approx(0.62 * diameter, abs=0.25)


def test_sizes_given_go_before_the_rule():
    """A core and an engaged length of one's own are kept."""
    joint = JointRule("spigot", sizes={"core_diameter": 11.0, "engaged_length": 30.0}).joint(30.0)
    assert (joint.core_diameter, joint.engaged_length) == (11.0, 30.0)


def test_only_a_stud_in_one_with_its_piece_makes_the_piece_longer():
    """A loose stud stands out of no piece."""
    joints = {kind: JointRule(kind).joint(32.0) for kind in SEPARATE}
    assert stud_beyond(joints["printed_stud"]) == joints["printed_stud"].end
    assert stud_beyond(joints["loose_stud"]) == stud_beyond(joints["spigot"]) == 0.0


@pytest.mark.parametrize(
    ("make", "match"),
    [
        (lambda: JointRule("printed_stut"), "Did you mean 'printed_stud'"),
        (lambda: JointRule("cored"), "does not plan with 'cored'.*study a 'cored'"),
        (lambda: JointRule("spigot", core=1.2), "core of 'spigot' over its shaft = 1.2"),
        (lambda: JointRule("spigot", engaged=0.0), "engaged length of 'spigot'"),
        (lambda: JointRule("spigot", sizes={"diametre": 3}), "Unknown dimension of 'spigot'"),
    ],
)
def test_rules_that_make_no_sense(make, match):
    """A typo, a joint that runs on, shares out of range: each has its message."""
    with pytest.raises(ValueError, match=match):
        make()


@pytest.mark.parametrize(
    ("changes", "match"),
    [
        ({"length": 100.0}, "Stick length = 100 mm; it must lie between 300 and 2500"),
        ({"outline": 0.0}, "outer diameter = 0 mm; it must be above zero"),
        ({"ways": ("sideways",)}, "Unknown way up 'sideways'"),
        ({"ways": "upright"}, "give a list of 'upright', 'lying' or both"),
        ({"cases": ()}, "give a list of at least one load case"),
        ({"cases": ("side_kik",)}, "Did you mean 'side_kick'"),
        ({"criteria": ("tsai_hil",)}, "Did you mean 'tsai_hill'"),
        ({"joints": ["spigot", "spigot"]}, "Joints share a name: spigot"),
        ({"material": "plaa"}, "Unknown material 'plaa'"),
        ({"most_pieces": 0}, "most pieces = 0; it must lie between 1 and 8"),
        ({"confirm": -1}, "plans to confirm = -1"),
        ({"coarseness": 0.0}, "coarseness = 0"),
        ({"refinements": (1.0, 0.5)}, "give them coarse to fine"),
        ({"keep_from_handle": -5.0}, "keep_from_handle = -5 mm"),
        ({"outline": Shaft(32.0, walls=3.0)}, "walls 3.0 and infill None; give both"),
        ({"infill": infill(load("pla"), "gyroid", 0.25)}, "walls None and infill"),
        ({"outline": Shaft(32.0, waist=Waist(5.0, 20.0, 20.0, 6.0))}, "waist position = 5 mm"),
    ],
)
def test_a_wish_that_makes_no_sense_is_refused_when_it_is_written(changes, match):
    """Each bad field of a wish gets its own message."""
    with pytest.raises(ValueError, match=match):
        wish(**changes)


@pytest.mark.parametrize("mass", [0.0, 400.0])
def test_a_person_of_no_mass_or_too_much_is_refused(mass):
    """A mass of 0 or 400 kg is told with the range that is allowed."""
    with pytest.raises(ValueError, match=f"{mass:g} kg; it must lie between 20 and 250 kg"):
        wish(person=Person(mass=mass))


def test_longer_than_the_printer_without_a_joint():
    """The message says how long a piece can be each way up, and what gives."""
    with pytest.raises(ModelError, match=(
        "852 mm long.*upright 250 mm, lying 279 mm, and no joint is allowed. What gives: allow a "
        "joint"
    )):  # fmt: skip
        check_printable(wish(joints=()))


def test_a_printer_smaller_than_a_stud():
    """The message names the joint, the stud's size and what gives."""
    small = Printer(width=40.0, depth=40.0, height=50.0)
    with pytest.raises(ModelError, match=(
        "loose stud: its stud is 54 mm long and 20 mm thick, more than the printer takes.*thinner "
        "or shorter stud"
    )):  # fmt: skip
        check_printable(wish(printer=small, joints=["loose_stud"]))


def test_a_printer_smaller_than_the_shortest_piece():
    """A printer that takes the stud but no piece between two joints is told apart."""
    small = Printer(width=70.0, depth=70.0, height=110.0)
    with pytest.raises(ModelError, match="between two joints is at least 1\\d\\d mm.*What gives"):
        check_printable(wish(printer=small))


def test_more_pieces_than_are_allowed():
    """The least number of pieces is told."""
    with pytest.raises(ModelError, match="at least 4 pieces, 2 are allowed. What gives: allow"):
        check_printable(wish(most_pieces=2))


def test_no_allowed_joint_fits_the_diameter():
    """Every joint's own reason is told, and what gives."""
    with pytest.raises(ModelError, match=(
        "None of the allowed joints fits a stick 8 mm thick.*printed stud: .*leaves a wall of.*"
        "What gives: a thicker outline"
    )):  # fmt: skip
        check_printable(wish(outline=8.0, joints=["printed_stud"]))
    wide = JointRule("spigot", sizes={"core_diameter": 40.0})
    with pytest.raises(ModelError, match="a core of 40 mm is wider than its shaft of 32 mm"):
        check_printable(wish(joints=[wide]))


def test_a_joint_that_does_not_fit_is_left_out_where_others_do():
    """One of two allowed joints is enough."""
    wide = JointRule("spigot", sizes={"core_diameter": 40.0})
    assert list(wish(joints=[wide, "loose_stud"]).designs) == ["loose stud"]


@pytest.mark.parametrize("side", [100.0, 220.0, 300.0])
def test_a_lying_piece_reaches_across_the_bed(side):
    """On a square bed a rod of thickness D lies as long as the diagonal less D."""
    printer = Printer(width=side, depth=side, height=250.0)
    assert longest(printer, 30.0, "lying") == pytest.approx(side * np.sqrt(2) - 30.0, abs=0.01)


def test_a_long_bed_is_used_along():
    """On a narrow bed a rod lies nearly straight, and no longer than one placed along it."""
    printer = Printer(width=400.0, depth=30.0, height=250.0)
    assert longest(printer, 30.0, "lying") == pytest.approx(400.0, abs=0.01)
    assert longest(printer, 31.0, "lying") == 0.0
    assert longest(printer, 31.0, "upright") == 0.0
    assert longest(Printer(height=20.0), 30.0, "lying") == 0.0


def test_a_stud_is_printed_only_the_ways_that_it_fits():
    """A stud longer than the printer is high is printed lying."""
    low = Printer(width=220.0, depth=220.0, height=50.0)
    made = wish(printer=low, joints=["loose_stud"])
    assert stud_ways(made, made.designs["loose stud"]) == ("lying",)
    printed = wish().designs["printed stud"]
    assert stud_ways(wish(), printed) == ("",)


def test_pieces_of_a_taper_and_a_waist_have_their_own_outline():
    """A piece's shaft begins as thick as the stick is there, its waist at its own station."""
    taper = wish(outline=Shaft(24.0, outer_end=32.0), length=800.0)
    piece = taper.piece_shaft(200.0, 600.0)
    assert (piece.outer_diameter, piece.outer_end) == (26.0, 30.0)
    waisted = wish(outline=Shaft(32.0, waist=Waist(350.0, 22.0, 20.0, 6.0)))
    assert waisted.piece_shaft(300.0, 500.0).waist.position == 50.0
    assert waisted.piece_shaft(400.0, 500.0).waist is None
    far = waisted.free_of_waist(np.array([200.0, 350.0, 430.0, 500.0]), 60.0)
    assert far.tolist() == [True, False, False, True]


def test_a_length_in_words_is_told():
    """What is no number is named with what it was given as."""
    with pytest.raises(ValueError, match="length of the stick = 'long'; give a number"):
        wish(length="long")
