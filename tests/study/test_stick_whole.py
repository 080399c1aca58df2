"""The whole stick: table, bowing, buckling, foothold, weakest link."""

from __future__ import annotations

import math

import numpy as np
import pytest

from orthofem.loads import LOAD_CASES, Person, Stick, point_load
from orthofem.loads.case import LoadCase
from orthofem.loads.statics import on_tip_and_hand
from orthofem.materials import load
from orthofem.mesh import mesh_part
from orthofem.parts import JOINTS, Shaft, Waist
from orthofem.report.stick import stick_margins_picture
from orthofem.solve.beam import beam, euler_load, sway_amplification, uniform_sections
from orthofem.study import Option, Print, StickWindow
from orthofem.study.evaluate import evaluate
from orthofem.study.stick import (
    Crookedness,
    DetailWindow,
    StickPiece,
    WholeStick,
    case_bowing,
    foothold,
    lean_formula,
    line_stiffness,
    whole_stick,
)
from orthofem.study.stick.places import places_of, read_place
from orthofem.study.stick.whole import stick_line

PERSON = Person(mass=80.0, height=1700.0)
STICK = Stick(length=900.0, joints=(450.0,), diameter=32.0)
PLA = Print("pla")
NECK = Waist(position=200.0, diameter=22.0, length=20.0, fillet=6.0)
PIECES = (
    StickPiece(0.0, 450.0, Shaft(32.0, waist=NECK), PLA),
    StickPiece(450.0, 900.0, Shaft(32.0), PLA),
)
CASES = ("everyday_walking", "full_weight", "side_kick", "tip_caught", "joint_squeeze",
         "pull_apart")  # fmt: skip
EI = load("pla").constants.E3 * math.pi * 32**4 / 64
STRAIGHT = Crookedness(share=0.0)


@pytest.fixture(scope="module")
def result():
    """A stick of two pieces, one with a waist, without detailed answers."""
    return whole_stick(WholeStick(PERSON, STICK, PIECES, cases=(*CASES, "stepped_on"), step=90.0))


def eccentric(force, offset, stick=STICK):
    """Push along the stick beside its axis."""
    load = point_load((stick.length, 0.0, offset), (-force, 0.0, 0.0))
    return LoadCase("push", "Push", "load taken from a test", "E", 1.0, "a test", ("one",), stick,
                    on_tip_and_hand(load, stick.length))  # fmt: skip


def uniform_line(stick=STICK, joints=()):
    """Plain shaft without shear."""
    stiff = (1e7, math.inf, math.inf, 1e8, EI, EI)
    return beam(stick.length, uniform_sections(stiff, 1e-3), joints, stations=(stick.length / 2,))


# --- bowing --------------------------------------------------------------------------------------
@pytest.mark.parametrize("force", [400.0, 1200.0])
def test_eccentric_push_bows_as_the_closed_form(force):
    """A straight stick pushed beside its axis at the handle bows as beam-column theory says."""
    line = uniform_line()
    case = eccentric(force, 50.0)
    found = case_bowing(case, line, line_stiffness(STICK, line), STRAIGHT)
    limit = euler_load(EI, 900.0)
    assert found.limit == pytest.approx(limit / force, rel=1e-5)
    ours = np.hypot(*found.variants[0].bowed.moved(450.0)[1:3, 0])
    assert ours == pytest.approx(lean_formula(force, limit, 900.0), rel=1e-4)


def test_crooked_stick_bows_by_the_amplified_bow():
    """An axial push on a crooked stick bends it by N times the bow over 1 - N/P."""
    line, force = uniform_line(), 700.0
    case = eccentric(force, 0.0)
    found = case_bowing(case, line, line_stiffness(STICK, line), Crookedness())
    ratio = force / euler_load(EI, 900.0)
    moment = np.hypot(*found.bowed(450.0)[4:6, 0])
    simple = sway_amplification(ratio)["simple"]
    assert moment == pytest.approx(force * 3.0 * simple, rel=2e-3)  # bow 900/300
    assert np.hypot(*found.straight(450.0)[4:6, 0]) < 1e-6


def test_bow_lies_to_the_side_of_the_load():
    """The initial bow makes the load's own bending worse, whichever way it bends."""
    line = uniform_line()
    for offset in (30.0, -30.0):
        found = case_bowing(eccentric(400.0, offset), line, line_stiffness(STICK, line),
                            Crookedness())  # fmt: skip
        straight, bowed = (np.hypot(*f(450.0)[4:6, 0]) for f in (found.straight, found.bowed))
        assert bowed > 1.2 * straight


def test_joint_play_adds_a_kink():
    """Play at a mid joint adds an angle times a quarter of the length to the bow."""
    kinked = Crookedness(share=0.0, play=1.0).shape(np.array([450.0]), 900.0, (450.0,))
    assert kinked[0, 0] == pytest.approx(math.radians(1.0) * 900 / 4)
    x = np.linspace(0, 900, 1801)
    value, slope = Crookedness(play=0.5).shape(x, 900.0, (300.0, 600.0))
    away = (np.abs(x - 300) > 1) & (np.abs(x - 600) > 1)
    np.testing.assert_allclose(np.gradient(value, x)[away], slope[away], atol=2e-5)
    assert value[0] == 0 == pytest.approx(value[-1], abs=1e-12)


def test_breaking_factor_is_where_the_bowed_stick_fails():
    """At its breaking factor the bowed stick's own reserve is 1; the straight one's is more."""
    question = WholeStick(PERSON, STICK, PIECES, cases=("everyday_walking",))
    case = LOAD_CASES["everyday_walking"](PERSON, STICK)
    (place,) = [p for p in places_of(PIECES, (), 900.0) if p.words == "waist"][:1]
    line = stick_line(question, [case], [place.station])
    found = case_bowing(case, line, line_stiffness(STICK, line), Crookedness())
    read = read_place(place, ("tsai_hill", "layers"))
    one = found.variants[4]
    factor, buckles = one.breaking_factor(place.station, lambda r, f: read(r).reserve)
    assert not buckles
    at = one.at_load(factor).at(place.station)
    assert read(at).reserve[0] == pytest.approx(1.0, rel=5e-3)
    assert factor < 0.98 * read(found.straight(place.station)).reserve[4]


def test_strong_places_wait_for_buckling():
    """Where nothing breaks before the stick buckles, the buckling load is what there is."""
    line = uniform_line()
    found = case_bowing(eccentric(400.0, 0.0), line, line_stiffness(STICK, line), Crookedness())
    factor, buckles = found.variants[0].breaking_factor(450.0, lambda r, f: 1e9 + 0 * f)
    assert buckles
    assert factor == found.limit


def test_clamped_and_cut_out_cases():
    """A stick clamped in a grating takes its moment there; a cut-out piece does not bow."""
    plain = (StickPiece(0.0, 900.0, Shaft(32.0), PLA),)
    question = WholeStick(PERSON, STICK, plain, cases=("tip_caught", "joint_squeeze"))
    cases = question.built()
    line = stick_line(question, cases)
    caught, squeezed = (
        case_bowing(case, line, line_stiffness(STICK, line), Crookedness()) for case in cases
    )
    np.testing.assert_allclose(caught.straight(450.0), cases[0].resultants(450.0), atol=1e-3)
    tip = caught.variants[0].straight.moved(900.0)[1, 0]
    assert tip == pytest.approx(140 * 870**3 / (3 * EI), rel=0.02)  # and shear
    assert math.isinf(squeezed.limit)
    assert squeezed.amplification == 1.0


# --- the table -----------------------------------------------------------------------------------
def test_every_station_under_every_case(result):
    """Rows are stations times cases, and their resultants are those of the load cases."""
    stations = {row.station for row in result.rows}
    assert len(result.rows) == len(stations) * 7
    for row in result.rows:
        if row.case in ("everyday_walking", "tip_caught"):
            case = LOAD_CASES[row.case](PERSON, STICK)
            expected = case.resultants(row.station)[:, case.labels.index(row.label)]
            np.testing.assert_allclose(row.resultants, expected, atol=1e-6)
    assert {type(value) for line in result.table for value in line.values()} <= {float, str, bool}


def test_bowing_never_helps_a_pressed_stick(result):
    """With bowing a pressed stick stands no more than straight, and never beyond buckling."""
    for row in result.rows:
        limit = result.buckling_of(row.case)
        assert row.with_bowing <= limit * (1 + 1e-9)
        if row.case in ("everyday_walking", "full_weight"):
            assert row.with_bowing <= row.reserve * (1 + 1e-6)


def test_weakest_link_counts_no_report_only_load(result):
    """The weakest link is the least margin; a load that is only reported does not count."""
    weakest = result.weakest
    assert weakest.case != "stepped_on"
    assert weakest.margin == min(row.margin for row in result.rows if row.case != "stepped_on")
    assert weakest.margin <= min(row.margin for row in result.by_case if row.counts)
    assert weakest.place == "fillet of a waist"
    assert f"{weakest.station:.0f} mm" in weakest.words
    assert "an estimate" in weakest.words


def test_fillets_are_estimates_and_say_so(result):
    """Fillets carry a notch factor above 1 and its source; plain sections 1."""
    for row in result.rows:
        assert (row.notch > 1.05) == (row.basis == "notch estimate")
    assert any("NOTCH-1" in note for note in result.notes)
    assert any("no detailed answer for the joint at 450 mm" in note for note in result.notes)


def test_buckling_of_the_whole(result):
    """Buckling load of the whole: the plain shaft's, lowered by the waist and by shear."""
    row = next(row for row in result.bowing if row.case == "full_weight")
    assert row.compression == pytest.approx(1000.0)
    assert row.wanted == 3.0
    plain = euler_load(EI, 900.0)
    assert 0.85 * plain < row.limit * 1000.0 < 0.99 * plain
    assert row.hand == pytest.approx(1000.0 / 900.0)  # 1.1 N/mm of the reference
    assert row.amplification > 1.5
    pull = next(row for row in result.bowing if row.case == "pull_apart")
    assert math.isinf(pull.limit)


def test_lean_is_compared_and_not_claimed(result):
    """Off-axis lean: near the closed form for the same buckling load; words that claim nothing.

    The closed form is for a uniform stick: without a waist both agree within 0.3 %, with one at
    the middle within 1.3 %. Here the waist lies at 200 mm, which lowers the bow at mid-length.
    """
    lean = result.lean
    assert lean.bow == pytest.approx(lean.formula, rel=0.1)
    assert lean.crooked > lean.bow
    assert "load taken from SG CPSA 0073" in lean.words
    assert not any(word in lean.words for word in ("meets", "safe", "complies"))


@pytest.mark.parametrize(("length", "EI_wanted"), [(800, 66e6), (900, 84e6), (1000, 104e6)])
def test_lean_of_the_reference(length, EI_wanted):
    """Bending stiffness for 20 mm of bow at three lengths is that of the reference, D(S)."""
    bow = lean_formula(400.0, euler_load(EI_wanted, length), length)
    assert bow == pytest.approx(20.0, rel=0.02)
    assert math.isinf(lean_formula(400.0, 399.0, length))


def test_footholds(result):
    """Walking needs little friction; a kick on an unpressed tip is told as not held by friction."""
    hold = {row.case: row for row in result.footholds}
    assert "tip_caught" not in hold
    walking = hold["everyday_walking"]
    assert walking.needed == pytest.approx(math.hypot(5.9, 5.6) * 900 / 900 / 196.1, rel=0.2)
    assert not walking.slips
    assert hold["side_kick"].slips
    assert "something else than friction" in hold["side_kick"].words
    assert hold["pull_apart"].words == "no side force at the tip"


def test_slipping_tip_is_told():
    """A side push beyond friction times the press slips first."""
    load = point_load((450.0, 0, 0), (0, 400.0, 0)).joined(
        point_load((900.0, 0, 0), (-100.0, 0, 0))
    )
    case = LoadCase("side", "Side", "load taken from a test", "E", 1.0, "a test", ("one",), STICK,
                    on_tip_and_hand(load, 900.0))  # fmt: skip
    line = uniform_line()
    hold = foothold(case_bowing(case, line, line_stiffness(STICK, line), STRAIGHT))
    assert hold.needed == pytest.approx(2.0)
    assert hold.slips
    assert "it slips first" in hold.words


def test_picture_covers_the_stick(result):
    """The figure's stretches run from tip to handle and mark the weakest link."""
    picture = stick_margins_picture(result, "Marsh-walk stick")
    assert picture.edges[0] == 0
    assert picture.edges[-1] == 900
    assert picture.margin[picture.weakest] == pytest.approx(result.weakest.margin)
    assert picture.outline[1].min() == pytest.approx(11.0)
    assert not picture.detailed.any()


# --- with a detailed joint -----------------------------------------------------------------------
@pytest.fixture(scope="module")
def stud():
    """A coarse answer for a printed stud."""
    part = JOINTS["printed_stud"](core_diameter=20.0).part(Shaft(32.0))
    option = Option("stud", part, {"lower": PLA, "upper": PLA})
    return evaluate(
        option, mesh_part(part, refinement=0.5), StickWindow(PERSON, STICK, ("everyday_walking",))
    )


def test_detailed_joint_takes_its_place(stud):
    """In its window the detailed model answers, its flexibility softens the stick."""
    cases = ("everyday_walking", "full_weight")
    window = DetailWindow(450.0, stud)
    with_joint = whole_stick(WholeStick(PERSON, STICK, PIECES, (window,), cases, step=90.0))
    without = whole_stick(WholeStick(PERSON, STICK, PIECES, (), cases, step=90.0))
    rows = [row for row in with_joint.rows if row.basis == "detailed model"]
    assert {row.station for row in rows} == {450.0}
    assert not any(391 < row.station < 509 and row.station != 450 for row in with_joint.rows)
    walking = next(row for row in rows if row.case == "everyday_walking")
    assert walking.reserve == pytest.approx(stud.case("everyday_walking").reserve, rel=1e-6)
    assert math.isnan(walking.notch)
    limits = [result.buckling_of("full_weight") for result in (with_joint, without)]
    assert limits[0] < 0.99 * limits[1]
    assert not any("not of the same stick" in note for note in with_joint.notes)
    assert stick_margins_picture(with_joint).detailed.sum() == 1


def test_window_of_another_stick_is_told(stud):
    """A window that does not fit its pieces is noted; one off the stick or off centre refused."""
    thin = (StickPiece(0.0, 900.0, Shaft(28.0), PLA),)
    found = whole_stick(
        WholeStick(PERSON, STICK, thin, (DetailWindow(450.0, stud),), ("full_weight",), step=300.0)
    )
    assert any("not of the same stick" in note for note in found.notes)
    with pytest.raises(ValueError, match="leaves the stick"):
        whole_stick(WholeStick(PERSON, STICK, thin, (DetailWindow(20.0, stud),), ("full_weight",)))
    with pytest.raises(ValueError, match="give centre=0"):
        DetailWindow(450.0, stud, centre=5.0)


def test_stiffer_contact_flexibility_is_used(stud):
    """A flexibility found with contact takes the place of the bonded one."""
    half = DetailWindow(450.0, stud, flexibility=0.5 * stud.responses.flexibility)
    np.testing.assert_allclose(
        half.joint.matrix, 0.5 * DetailWindow(450.0, stud).joint.matrix, rtol=1e-9
    )


# --- what is refused -----------------------------------------------------------------------------
def test_bad_questions():
    """No load case, an unknown one, an unknown criterion, crookedness out of range."""
    with pytest.raises(ValueError, match="give a list of at least one load case"):
        WholeStick(PERSON, STICK, PIECES, cases=())
    with pytest.raises(ValueError, match="Unknown load case 'flying'"):
        whole_stick(WholeStick(PERSON, STICK, PIECES, cases=("flying",)))
    with pytest.raises(ValueError, match="Unknown criterion"):
        WholeStick(PERSON, STICK, PIECES, criteria=("luck",))
    with pytest.raises(ValueError, match="initial bow over length"):
        Crookedness(share=0.5)
