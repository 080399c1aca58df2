"""Every load case: statics balance, both sides of a section agree, sources stand beside it."""

import dataclasses
import math

import numpy as np
import pytest

from orthofem.loads import LOAD_CASES, Person, Stick, StickStiffness, point_load
from orthofem.loads.case import LoadCase
from orthofem.loads.cases.kick import STRAIGHT_LEG, Foot
from orthofem.materials import ALLOWED

PERSON = Person(mass=80, height=1700)
STICK = Stick(length=900, joints=(225, 450, 675), diameter=30, EI=3000 * math.pi / 64 * 30**4)
W = 80 * 9.80665
BLOWS = ("side_kick", "side_kick_tip_slips")  # each station has its own worst instant


def case_of(name, **options):
    """Return a case of the example user and stick."""
    return LOAD_CASES[name](PERSON, STICK, **options)


@pytest.mark.parametrize("name", LOAD_CASES)
def test_reactions_balance(name):
    """Forces and moments of loads and reactions add up to nothing, in every variant."""
    case = case_of(name)
    loads = case.all_loads()
    size = np.abs(loads.forces).max() * 900 + np.abs(loads.moments).max()
    assert size > 1000
    np.testing.assert_allclose(case.balance(), 0, atol=1e-12 * size)


@pytest.mark.parametrize("name", LOAD_CASES)
@pytest.mark.parametrize("x", [1.0, 100.0, 224.9, 450.0, 899.0])
def test_both_sides_of_a_section_agree(name, x):
    """The handle side's resultant is the opposite of the sum over the tip side."""
    case = case_of(name)
    loads = case.all_loads()
    below = (loads.stations < x) | ((loads.stations == 0) & (x > 0))
    tip_side = loads.net((x, 0, 0), only=below)
    ours = loads.resultants(x) if name in BLOWS else case.resultants(x)
    np.testing.assert_allclose(ours, -tip_side, atol=1e-9 * max(1.0, np.abs(ours).max()))


@pytest.mark.parametrize("name", LOAD_CASES)
def test_case_says_where_it_comes_from(name):
    """Each case has a source that claims nothing, a grade, a factor with its reason, labels."""
    case = case_of(name)
    assert case.name == name
    assert case.source.startswith("load taken from")
    assert case.grade in ALLOWED
    assert case.factor >= 1
    assert case.factor_reason
    assert len(set(case.labels)) == len(case.labels) == case.resultants(450).shape[1]
    text = " ".join([case.title, case.source, case.factor_reason, *case.notes, *case.labels])
    assert not any(word in text.lower() for word in ("safe", "meets", "complies", "comply"))


def test_blows_are_known():
    """The cases whose loads come from a blow are those set apart in these tests."""
    assert {name for name in LOAD_CASES if case_of(name).blow is not None} == set(BLOWS)


@pytest.mark.parametrize("name", [name for name in LOAD_CASES if name not in BLOWS])
def test_moment_is_the_slope_of_shear(name):
    """Between loads, shear is the slope of the bending moment along the stick."""
    case = case_of(name)
    low, high = case.resultants(500.0), case.resultants(600.0)
    np.testing.assert_allclose((high[5] - low[5]) / 100, -low[1], atol=1e-9)
    np.testing.assert_allclose((high[4] - low[4]) / 100, low[2], atol=1e-9)


def test_walking_example():
    """Everyday walking at the peak: 196 N, 5900 N mm in the handle plane, 5000 to the side."""
    case = case_of("everyday_walking", instants=[0.5])
    r = case.resultants(900.0)
    np.testing.assert_allclose(r[0], -0.25 * W)
    assert pytest.approx(196, abs=0.5) == 0.25 * W
    np.testing.assert_allclose(r[4], -0.25 * W * 30)
    assert pytest.approx(5900, rel=5e-3) == 0.25 * W * 30
    np.testing.assert_allclose(r[5], [5000, -5000])
    np.testing.assert_allclose(r[1], [-5000 / 900, 5000 / 900])
    assert pytest.approx(5.6, abs=0.05) == 5000 / 900
    np.testing.assert_allclose(case.resultants(0.0)[3:], 0, atol=1e-9)


@pytest.mark.parametrize(
    ("name", "force", "moment"),
    [("light_walking", 78, 1600), ("heavy_support", 275, 8200), ("full_weight", 1000, 10000)],
)
def test_leaning_examples(name, force, moment):
    """Axial force and moment at the handle are those of the table of presets."""
    worst = np.abs(case_of(name).resultants(900.0)).max(axis=1)
    assert worst[0] == pytest.approx(force, rel=7e-3)
    assert worst[4] == pytest.approx(moment, rel=2.5e-2)  # printed to two figures


def test_a_step_rises_and_falls():
    """The force of a step is a half sine over the contact."""
    force = -case_of("light_walking", instants=[0.1, 0.5, 0.9]).resultants(400.0)[0]
    np.testing.assert_allclose(force, 0.1 * W * np.sin(np.pi * np.array([0.1, 0.5, 0.9])))


def test_full_weight_grows_with_a_heavy_user():
    """Above 100 kg the full weight is 10 N per kg."""
    heavy = LOAD_CASES["full_weight"](Person(mass=130), STICK).resultants(450.0)
    assert heavy[0, 0] == pytest.approx(-1300)


def test_handle_push_example():
    """1100 N at half of a 60 mm overhang: 33 000 N mm below the handle, none below the clamp."""
    case = case_of("handle_push")
    np.testing.assert_allclose(case.resultants(899.0)[4, 0], -33000)
    np.testing.assert_allclose(case.resultants(800.0)[:, 0], 0, atol=1e-9)
    np.testing.assert_allclose(case.resultants(800.0)[0, 1], -1100)
    heavy = LOAD_CASES["handle_push"](Person(mass=120), STICK).resultants(899.0)
    np.testing.assert_allclose(heavy[0], -1320)


def test_joint_forces():
    """Squeeze 1200 N, pull 350 N, at any station, without bending."""
    for name, force in (("joint_squeeze", -1200), ("pull_apart", 350)):
        r = case_of(name).resultants(123.0)[:, 0]
        np.testing.assert_allclose(r, [force, 0, 0, 0, 0, 0], atol=1e-12)


def test_tip_caught_example():
    """140 N at the handle of a stick held at 30 mm: 122 000 N mm there, nothing below."""
    r = case_of("tip_caught").resultants(30.001)
    np.testing.assert_allclose(np.hypot(r[4], r[5]), 140 * 870, rtol=1e-5)
    assert pytest.approx(122000, rel=5e-3) == 140 * 870
    np.testing.assert_allclose(case_of("tip_caught").resultants(29.0), 0, atol=1e-8)


def test_stepped_on_example():
    """Body weight at mid-length: 177 000 N mm, twice that if sudden."""
    r = case_of("stepped_on").resultants(450.0)
    moment = np.hypot(r[4], r[5])
    np.testing.assert_allclose(moment[:12], W * 900 / 4)
    np.testing.assert_allclose(moment[12:], W * 900 / 2)
    assert pytest.approx(177000, rel=5e-3) == W * 900 / 4


def test_twist_examples():
    """15 000, 25 000 and the hand's torque on a 30 mm staff, both ways."""
    np.testing.assert_allclose(
        case_of("twist").resultants(450.0)[3], [-15000, 15000, -25000, 25000, -4400, 4400]
    )


def test_hand_tightening_example():
    """Average and strong hand on 30 mm; preload falls with friction; core torque is smaller."""
    case = case_of("hand_tightening")
    np.testing.assert_allclose(case.resultants(100.0)[3], [-4400] * 3 + [-7920] * 3)
    assert (np.diff(case.extras["preload_N"][:3]) < 0).all()
    assert (case.extras["core_torque_N_mm"] < -case.extras["torque_N_mm"]).all()


def test_kick_heights_and_directions():
    """Struck at 100 mm, at joints up to 350 mm and at mid-length, all round."""
    case = case_of("side_kick", angle_step=90)
    np.testing.assert_allclose(case.extras["struck_height_mm"], np.repeat([100, 225, 450], 4))
    assert case.blow.energy == pytest.approx(14700, rel=2e-3)


def test_kick_turns_with_its_direction():
    """A kick from another side turns the resultants about the stick."""
    case = case_of("side_kick", angle_step=90)
    r = case.resultants(300.0)[:, :4]
    np.testing.assert_allclose(r[1:3, 1], [-r[2, 0], r[1, 0]], atol=1e-9)
    np.testing.assert_allclose(r[4:6, 1], [-r[5, 0], r[4, 0]], atol=1e-6)
    np.testing.assert_allclose(r[:, 2], -r[:, 0], atol=1e-6)


def test_force_that_slips_the_tip():
    """Pushed slowly until the tip slips, moments are those of the reference example (D(E))."""
    case = case_of("side_kick_tip_slips", angle_step=180)
    slip = case.extras["slip_force_N"]
    x = case.extras["struck_height_mm"]
    moment = slip * x * (900 - x) / 900
    assert moment[0] == pytest.approx(18000, rel=0.02)
    assert moment[4] == pytest.approx(79000, rel=0.01)
    assert case.blow.grip == pytest.approx(0.9 * 0.25 * W)


def test_slipping_tip_spares_the_stick():
    """A tip that slips takes less than one that is held, and more than a slow push says."""
    held = case_of("side_kick", angle_step=180)
    slips = case_of("side_kick_tip_slips", angle_step=180)
    assert slips.resultants(50.0)[0] == pytest.approx(-0.25 * W)
    slow = slips.extras["slip_force_N"][0] * 100 * 800 / 900
    for x in (100.0, 225.0, 300.0):
        struck_low = np.abs(slips.resultants(x)[5, 0])
        assert struck_low < 0.75 * np.abs(held.resultants(x)[5, 0])
        assert struck_low > 1.2 * slow * min(1.0, (900 - x) / 800)


def test_kick_uses_the_stiffness_that_it_is_given():
    """A softer stick draws less force and bends less."""
    case = case_of("side_kick", angle_step=180)
    soft = StickStiffness(STICK, EI=STICK.EI / 4)
    assert (case.history(soft).contact.max(axis=0) < case.history().contact.max(axis=0)).all()
    assert np.abs(case.resultants(225.0, soft)[5]).max() < np.abs(case.resultants(225.0)[5]).max()


def test_kick_is_found_once_for_a_stick():
    """Asked again for the same stick, a blow is not stepped through again; for another it is."""
    case = case_of("side_kick", angle_step=180)
    stiff = StickStiffness(STICK, EI=STICK.EI)
    assert case.history(stiff) is case.history(stiff)
    assert case.history() is case.history()
    assert case.history(StickStiffness(STICK, EI=STICK.EI)) is not case.history(stiff)
    other = case_of("side_kick", angle_step=180, method="energy")
    assert other.history(stiff) is not case.history(stiff)


def test_kick_of_a_straight_leg():
    """The straight leg brings the energy of the table of presets, under its own source."""
    case = case_of("side_kick", angle_step=180, foot=STRAIGHT_LEG)
    assert case.blow.energy == pytest.approx(47600, rel=2e-3)
    assert "Corcoran" in case.source
    with pytest.raises(ValueError, match="mass_share = 44"):
        Foot(44.0, 5200.0, 50.0, "load taken from nowhere")


def test_kick_without_stiffness():
    """A blow on a stick of unknown stiffness is refused, and the remedy named."""
    bare = Stick(length=900, joints=(450,))
    with pytest.raises(ValueError, match=r"Give stiffness=StickStiffness.*or a Stick with EI"):
        LOAD_CASES["side_kick"](PERSON, bare).resultants(300.0)


def test_given_loads_have_no_history():
    """Asking a case without a blow for its history is refused."""
    with pytest.raises(ValueError, match="has no blow"):
        case_of("twist").history()


def test_station_off_the_stick():
    """A section beyond the ends is refused with the range."""
    with pytest.raises(ValueError, match="station = 950 mm; it must lie between 0 and 900"):
        case_of("twist").resultants(950.0)


@pytest.mark.parametrize("instants", [[0.0, 0.5], [1.2], [], [math.nan]])
def test_bad_instants(instants):
    """Instants outside the contact are refused."""
    with pytest.raises(ValueError, match="instants"):
        case_of("light_walking", instants=instants)


@pytest.mark.parametrize("step", [0.0, 7.0, 400.0])
def test_bad_angle_step(step):
    """A step that does not divide the circle is refused."""
    with pytest.raises(ValueError, match="angle_step = "):
        case_of("side_kick", angle_step=step)


def test_bad_clamp():
    """A clamp above the handle is refused."""
    with pytest.raises(ValueError, match="clamp_below"):
        case_of("handle_push", clamp_below=-5.0)


def test_case_needs_loads_and_matching_labels():
    """A case without loads, or with another number of labels, is refused."""
    good = case_of("twist")
    with pytest.raises(ValueError, match="neither loads nor a blow"):
        dataclasses.replace(good, loads=None, extras={})
    with pytest.raises(ValueError, match="2 labels but"):
        dataclasses.replace(good, labels=("a", "b"))
    assert isinstance(good, LoadCase)


def test_variants_of_unequal_size():
    """Loads with another number of points cannot be variants of one load."""
    from orthofem.loads.statics import by_variant

    one = point_load((1, 0, 0))
    with pytest.raises(ValueError, match="same number"):
        by_variant(one, one.joined(one))
