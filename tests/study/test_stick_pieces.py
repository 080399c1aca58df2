"""Pieces of a whole stick: outline, sections, notch estimates, nominal stress."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest

from orthofem.loads import JointFlexibility, Stick, StickStiffness, beam_flexibility
from orthofem.materials import PrintFrame, infill, load
from orthofem.parts import Shaft, Waist
from orthofem.solve.beam import beam, round_stiffness, uniform_sections
from orthofem.study import LYING, Print
from orthofem.study.stick import (
    LineStiffness,
    Neck,
    StickPiece,
    fillet_estimate,
    fillet_fit,
    line_stiffness,
    stick_sections,
)
from orthofem.study.stick.nominal import section_reader, unit_stress
from orthofem.study.stick.notch import RAISED
from orthofem.study.stick.piece import check_pieces
from orthofem.study.stick.shaft_section import moduli, piece_inertia, piece_stiffness

WAIST = Waist(position=80.0, diameter=20.0, length=16.0, fillet=8.0)
PLA = Print("pla")
# NOTCH-1: wide, thin, fillet, largest stress over nominal in tension, bending, torsion (F)
FILLETS = (
    (18, 12, 1.2, 2.116, 1.800, 1.380),
    (24, 12, 1.2, 2.229, 1.824, 1.393),
    (24, 12, 2.4, 1.754, 1.483, 1.228),
    (14.4, 12, 0.6, 2.312, 2.090, 1.528),
    (20, 12, 1.5, 2.011, 1.692, 1.328),
)


def test_outline_follows_the_solid():
    """Radius along a waist is that of the drawn outline: neck, quarter arcs, shaft."""
    piece = StickPiece(100.0, 300.0, Shaft(32.0, waist=WAIST), PLA)
    reach = WAIST.reach(16.0)
    at = 100 + 80 + np.array([0.0, 7.9, 8.0 + reach / 2, 8.0 + reach, 60.0])
    arc = 10 + 8 - math.sqrt(8**2 - (reach / 2) ** 2)
    np.testing.assert_allclose(piece.radius(at), [10, 10, arc, 16, 16])
    outline = piece.shaft.part(200.0).pieces[0].solid.outline.points(40)
    inner = (outline[0] > 60) & (outline[0] < 100) & (outline[1] > 1)
    np.testing.assert_allclose(piece.radius(100 + outline[0, inner]), outline[1, inner], atol=0.05)
    assert [neck.station for neck in piece.necks] == [172.0, 188.0]


def test_taper():
    """A tapered piece narrows evenly from its low end to its high end."""
    piece = StickPiece(10.0, 110.0, Shaft(30.0, outer_end=20.0), PLA)
    np.testing.assert_allclose(piece.radius([10.0, 60.0, 110.0]), [15.0, 12.5, 10.0])


def test_section_of_one_material():
    """A solid upright piece has the stiffness of the round bar of its moduli."""
    material = load("pla").constants
    ours = piece_stiffness(StickPiece(0.0, 100.0, Shaft(30.0), PLA), np.array([50.0]))[:, 0]
    np.testing.assert_allclose(ours, round_stiffness(material.E3, material.G13, 30.0), rtol=1e-9)
    lying = moduli(Print("pla", LYING))
    assert pytest.approx(material.E1) == lying.E
    assert lying.G_y == pytest.approx(material.G13)  # build along y: x-y shears the layers
    assert lying.G_z == pytest.approx(material.G12)
    wound = moduli(Print("pla", PrintFrame(beads="around")))
    assert pytest.approx(material.E3) == wound.E


def test_walls_and_core_add_up():
    """Walls round an infill: rings add, and a core of the same material changes nothing."""
    shaft, core = Shaft(30.0, walls=3.0, bore=6.0), Print(infill(load("pla"), "gyroid", 0.2))
    x = np.array([50.0])
    same = piece_stiffness(StickPiece(0.0, 100.0, shaft, PLA, PLA), x)
    solid = piece_stiffness(StickPiece(0.0, 100.0, Shaft(30.0, bore=6.0), PLA), x)
    np.testing.assert_allclose(same, solid, rtol=1e-12)
    piece = StickPiece(0.0, 100.0, shaft, PLA, core)
    light = piece_stiffness(piece, x)
    area = math.pi * (15**2 - 12**2 + 6**2 - 3**2), math.pi * (12**2 - 6**2)
    EA = area[0] * load("pla").constants.E3 + area[1] * core.loaded.constants.E3
    assert light[0, 0] == pytest.approx(EA)
    mass = 1e-6 * (area[0] * load("pla").density + area[1] * core.loaded.density)
    assert piece_inertia(piece, x)[0, 0] == pytest.approx(mass)


def test_sections_change_from_piece_to_piece():
    """Each station has the section of the piece that it lies in."""
    pieces = [StickPiece(0.0, 100.0, Shaft(30.0), PLA), StickPiece(100.0, 300.0, Shaft(20.0), PLA)]
    sections = stick_sections(pieces)
    ratio = sections.at([50.0])[5] / sections.at([200.0])[5]
    assert float(ratio[0]) == pytest.approx(1.5**4)
    assert sections.breaks == (0.0, 100.0, 300.0)


@pytest.mark.parametrize("joints", [(), (0.3, 1.0), (4.0, 0.2)])
def test_side_stiffness_agrees_with_the_plain_shaft_form(joints):
    """On a uniform shaft, joints included, both forms of the side stiffness agree."""
    L, stiff = 900.0, round_stiffness(3000.0, 1100.0, 30.0)
    EA, GA, _, GJ, EI, _ = stiff
    windows = tuple(
        JointFlexibility(x - 60, x + 60, beam_flexibility(120.0, *ratio * stiff[[4, 1, 0, 3]]))
        for x, ratio in zip((225.0, 675.0), joints, strict=False)
    )
    stick = Stick(length=L, diameter=30.0, mass=0.8)
    plain = StickStiffness(stick, EI, GA, windows)
    line = beam(L, uniform_sections(stiff, 0.8 / L), windows, stations=(100.0, 450.0))
    ours = line_stiffness(stick, line)
    for station, angle in ((100.0, 0.0), (450.0, 37.0), (313.0, 200.0)):
        assert ours.at(station, angle) == pytest.approx(plain.at(station, angle), rel=1e-4)
        factors = ours.shape_factor(station, angle), plain.shape_factor(station, angle)
        # the plain form lumps what a joint adds at its middle, the beam spreads it
        assert factors[0] == pytest.approx(factors[1], rel=1e-2 if joints else 5e-4)
    x = np.array([90.0, 450.0, 800.0])
    np.testing.assert_allclose(ours.flexibility(x, 313.0), plain.flexibility(x, 313.0), atol=3e-4)


def test_side_stiffness_needs_its_line():
    """Without a beam there is nothing to ask."""
    with pytest.raises(ValueError, match="needs line=beam"):
        LineStiffness(Stick(length=900.0, diameter=30.0), 1e8).at(450.0)


# --- notches -------------------------------------------------------------------------------------
@pytest.mark.parametrize(("wide", "thin", "fillet", "tension", "bending", "torsion"), FILLETS)
def test_raised_fit_lies_above_the_truth(wide, thin, fillet, tension, bending, torsion):
    """The estimate is not below the independent factor, and at most 15 % above it."""
    made = fillet_estimate(Neck(0.0, wide, thin, fillet))
    pairs = ((made.tension, tension), (made.bending, bending), (made.torsion, torsion))
    for ours, truth in pairs:
        assert truth * 0.999 < ours.value < 1.15 * truth
        assert "NOTCH-1" in ours.source
        assert ours.grade == "S"


def test_raise_is_what_the_cases_ask_for():
    """The raise of each load is the largest ratio of independent factor to fit, to 1 %."""
    for load_name, column in (("tension", 3), ("bending", 4)):
        ratios = [row[column] / fillet_fit(load_name, *row[:3]) for row in FILLETS]
        assert RAISED[load_name] == pytest.approx(max(ratios), rel=0.01)
    assert max(row[5] / fillet_fit("torsion", *row[:3]) for row in FILLETS) < 1.0


def test_shape_outside_the_fit_is_told():
    """A very sharp fillet is marked as outside the fit's range."""
    assert fillet_estimate(Neck(0.0, 30.0, 20.0, 2.0)).within
    assert not fillet_estimate(Neck(0.0, 30.0, 20.0, 0.1)).within
    scale = fillet_estimate(Neck(0.0, 30.0, 20.0, 2.0)).scale
    assert scale[1] == scale[2] == 1.0
    assert scale[4] == scale[5] > 1.0


# --- stress --------------------------------------------------------------------------------------
def test_unit_stress_adds_up_to_its_resultants():
    """Skin stress of a solid round bar: N/A, 32 M/(pi d^3), 16 T/(pi d^3), 4/3 of mean shear."""
    piece = StickPiece(0.0, 100.0, Shaft(30.0), PLA)
    ((_, points, stress),) = unit_stress(piece, 50.0)
    area, modulus = math.pi * 30**2 / 4, math.pi * 30**3 / 32
    np.testing.assert_allclose(stress[0, :, 0], 1 / area)
    np.testing.assert_allclose(stress[0, :, 5], -points[1] / 15 / modulus, atol=1e-12)
    np.testing.assert_allclose(stress[0, :, 4], points[2] / 15 / modulus, atol=1e-12)
    turn = (points[1] * stress[4, :, 3] - points[2] * stress[5, :, 3]) / 15
    np.testing.assert_allclose(turn, 1 / (2 * modulus))
    assert stress[5, :, 1].max() == pytest.approx(4 / 3 / area)
    assert abs(points[1][np.argmax(stress[5, :, 1])]) < 1e-9  # where bending toward y is zero


def test_stress_makes_the_resultants_of_a_section():
    """Bending stress over the section gives back the moment, with its sign."""
    piece = StickPiece(0.0, 100.0, Shaft(30.0), PLA)
    ((_, points, stress),) = unit_stress(piece, 50.0)
    angle = np.arctan2(points[2], points[1])
    # linear in the radius: integral over the disc of r^3 times the skin's value over R
    disc = 15.0**3 / 4 * 2 * math.pi / angle.size
    assert -(disc * np.cos(angle) * stress[0, :, 5]).sum() == pytest.approx(1.0)
    assert (disc * np.sin(angle) * stress[0, :, 4]).sum() == pytest.approx(1.0)


def test_plain_reserve_of_a_pull():
    """An upright rod under tension stands its layer strength over the stress."""
    piece = StickPiece(0.0, 100.0, Shaft(30.0), PLA)
    read = section_reader(piece, 50.0, ("tsai_hill", "layers"))
    stand = read(np.array([[1000.0, 0, 0, 0, 0, 0]]).T)
    sigma = 1000.0 / (math.pi * 15**2)
    assert stand.reserve[0] == pytest.approx(load("pla").strengths.Zt / sigma, rel=1e-6)
    assert stand.mode == ("layers part",)
    raised = section_reader(piece, 50.0, ("tsai_hill",), np.array([2.0, 1, 1, 1, 1, 1]))
    assert raised(np.array([[1000.0, 0, 0, 0, 0, 0]]).T).reserve[0] == pytest.approx(
        stand.reserve[0] / 2
    )


# --- what is refused -----------------------------------------------------------------------------
def test_bad_pieces():
    """Ends the wrong way round, walls without a core, gaps, and no piece at all."""
    good = StickPiece(0.0, 100.0, Shaft(30.0), PLA)
    with pytest.raises(ValueError, match="low end must lie below"):
        dataclasses.replace(good, high=-5.0)
    with pytest.raises(ValueError, match="give both or neither"):
        dataclasses.replace(good, shaft=Shaft(30.0, walls=2.0))
    with pytest.raises(ValueError, match="do not fill the stick from 0 to 300 mm"):
        check_pieces([good, StickPiece(120.0, 300.0, Shaft(30.0), PLA)], 300.0)
    with pytest.raises(ValueError, match="at least one piece"):
        check_pieces([], 300.0)
