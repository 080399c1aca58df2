"""Conditions of a study: what they do to materials, and what they refuse."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from orthofem.errors import ModelError
from orthofem.loads import Person, Stick, Use
from orthofem.materials import heat_factor, load, remaining_modulus
from orthofem.parts import Shaft
from orthofem.study import Conditions, HeldPart, Option, Print, StickWindow, Study, SurfaceLoad
from orthofem.study.batch import case_key, case_of
from orthofem.study.border import Border
from orthofem.study.time_heat.conditions import HOT_CAR, LEANING, STORED

PART = Shaft(outer_diameter=12.0).part(40.0)
PLA = load("pla")
PULL = SurfaceLoad("pull", "Pull", (100.0, 0.0, 0.0))
HELD = HeldPart("lower_end", "upper_end", [PULL])
PERSON, STICK = Person(), Stick(length=900.0, joints=(300.0,), diameter=12.0)


def option(material="pla"):
    """Return a bar of one material."""
    return Option("bar", PART, {"shaft": Print(material)})


def study(conditions, material="pla"):
    """Return a study of that bar."""
    return Study("bar", [option(material)], HELD, conditions=conditions)


def material_under(conditions, material="pla"):
    """Material of the bar as the conditions leave it."""
    return conditions.applied(option(material)).prints["shaft"].loaded


def test_all_off_changes_nothing():
    """Without temperature and hours the very same option comes back."""
    bar = option()
    assert Conditions().applied(bar) is bar
    assert Conditions(use=Use(), damp=True).applied(bar) is bar
    assert Conditions().notes(bar) == ()


def test_temperature_scales_stiffness_and_strength():
    """All moduli by one factor, all strengths by another; Poisson's ratios and density stay."""
    warm, heat = material_under(Conditions(temperature=40.0)), heat_factor(PLA, 40.0)
    for name in ("E1", "E2", "E3", "G12", "G13", "G23"):
        ratio = getattr(warm.constants, name) / getattr(PLA.constants, name)
        assert ratio == pytest.approx(heat.stiffness)
    for name, value in vars(warm.strengths).items():
        assert value == pytest.approx(heat.strength * getattr(PLA.strengths, name))
    assert (warm.constants.nu12, warm.constants.nu13) == (PLA.constants.nu12, PLA.constants.nu13)
    assert (warm.density, warm.critical_length) == (PLA.density, PLA.critical_length)


def test_hours_scale_stiffness_only():
    """Creep softens; strength is left to the table of loads that stay."""
    late = material_under(Conditions(hours=1000.0))
    ratio = late.constants.E3 / PLA.constants.E3
    assert ratio == pytest.approx(remaining_modulus(PLA, 1000.0).factor)
    assert late.strengths == PLA.strengths


def test_presets_take_their_hours_from_the_reference():
    """Leaning is 600 s, storage 1000 h, a hot car 70 degC."""
    assert LEANING.hours == pytest.approx(600 / 3600)
    assert STORED.hours == 1000.0
    assert HOT_CAR.temperature == 70.0
    assert 0.95 < LEANING.factors(PLA).stiffness < 0.97


def test_time_and_heat_multiply():
    """At 24 degC for 100 h both factors count."""
    both = Conditions(temperature=24.0, hours=100.0).factors(PLA)
    heat, creep = heat_factor(PLA, 24.0), remaining_modulus(PLA, 100.0, 24.0)
    assert both.stiffness == pytest.approx(heat.stiffness * creep.factor)
    assert both.strength == heat.strength


@pytest.mark.parametrize(
    ("conditions", "material", "message"),
    [
        (Conditions(temperature=70.0), "pla", r"PLA at 70 degC: not rated.*test coupons"),
        (Conditions(temperature=40.0), "pa_dry", r"no value.*unchanged=\('pa_dry',\)"),
        (Conditions(hours=10.0), "petg", r"PETG: no value.*hang a weight.*unchanged=\('petg',\)"),
        (Conditions(temperature=40.0, hours=10.0), "pla", r"up to 25 degC, not at 40 degC"),
    ],
)
def test_what_nobody_knows_is_refused_with_what_to_test(conditions, material, message):
    """Not rated and no value stop the option; the message says what to test."""
    with pytest.raises(ModelError, match=message):
        conditions.applied(option(material))


def test_not_rated_cannot_be_talked_away():
    """The message of a material that is too warm offers no way round it."""
    with pytest.raises(ModelError) as caught:
        Conditions(temperature=70.0).applied(option())
    assert "unchanged" not in str(caught.value)


def test_unchanged_is_told():
    """A material taken unchanged stays as it is, and every report says whose decision it was."""
    conditions = Conditions(hours=10.0, unchanged=("petg",))
    assert material_under(conditions, "petg").constants == load("petg").constants
    assert any("as the study asks" in note for note in conditions.notes(option("petg")))


def test_a_borders_glue_warms_with_it():
    """A border's glue above its use limit stops the option; bonds and own numbers do not."""
    part = Shaft(outer_diameter=12.0, walls=2.0).part(40.0)
    warm, name = Conditions(temperature=44.0), "shaft.wall|shaft.core"
    for border in (Border(glue="epoxy_adhesive"), "second_nozzle"):
        bar = Option("bar", part, {"shaft": Print("pla")}, borders={name: border})
        told = warm.applied(bar).joined[name].told
        assert told == bar.joined[name].told
    hot = Conditions(temperature=60.0)
    glued = Option(
        "bar", part, {"shaft": Print("abs")},
        borders={name: Border(glue="epoxy_adhesive")},
    )  # fmt: skip
    with pytest.raises(ModelError, match="Epoxy adhesive.*60 degC: not rated"):
        hot.applied(glued)


def test_notes_tell_conditions_sources_and_damp_once():
    """Every number that changes is told with grade and source; nothing twice."""
    conditions = Conditions(temperature=24.0, hours=10.0, use=Use(), damp=True)
    notes = conditions.notes(option())
    assert len(set(notes)) == len(notes)
    text = " ".join(notes)
    for word in ("24 degC", "10 h", "1,003,750 times a year", "(E)", "arXiv:2302.11240", "brittle"):
        assert word in text, word


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"temperature": -300.0}, "temperature = -300"),
        ({"temperature": np.nan}, "temperature is nan"),
        ({"hours": 0.0}, "hours = 0"),
        ({"hours": -5.0}, "hours = -5"),
        ({"hours": 1e9}, "hours = 1e"),
        ({"use": 5500}, "use = 5500"),
        ({"joined_at": 20.0}, "joined_at = 20 degC says from where"),
        ({"joined_at": -400.0, "temperature": 20.0}, "joined_at = -400"),
        ({"unchanged": "petg"}, "give a tuple of material keys"),
    ],
)
def test_impossible_conditions_are_refused(wrong, message):
    """Each impossible number is refused with what is allowed."""
    with pytest.raises(ValueError, match=message):
        Conditions(**wrong)


def test_a_blow_does_not_last_for_hours():
    """Hours and a kick do not go together."""
    kicked = StickWindow(PERSON, STICK, ("everyday_walking", "side_kick"))
    with pytest.raises(ValueError, match="'side_kick' is a blow"):
        Study("s", [option()], kicked, conditions=Conditions(hours=1.0))
    Study("s", [option()], kicked, conditions=Conditions(temperature=30.0))


def test_use_needs_a_load_that_comes_back():
    """Steps without a walking load in the study are refused, with the loads it has."""
    with pytest.raises(ValueError, match=r"none of the load cases .*which has pull"):
        study(Conditions(use=Use()))
    study(Conditions(use=Use(cases=("pull",))))


def test_warming_without_expansion_is_told_before_solving():
    """A material that nobody has measured says who has been."""
    with pytest.raises(ValueError, match=r"PLA has no thermal expansion.*steel"):
        Conditions(temperature=30.0, joined_at=20.0).applied(option())


def test_warming_is_the_change_since_joining():
    """Only with both temperatures is there a warming."""
    assert Conditions(temperature=30.0, joined_at=20.0).warming == 10.0
    assert Conditions(temperature=30.0).warming == 0.0


def test_conditions_are_in_the_content_key():
    """Each condition gives a case of its own, even those that change no material."""
    expanding = replace(PLA, expansion=(7e-5,) * 3)
    many = [
        None, Conditions(), Conditions(temperature=30.0), Conditions(hours=10.0),
        Conditions(use=Use(cases=("pull",))), Conditions(use=Use(cases=("pull",), years=2.0)),
        Conditions(use=Use(cases=("pull",), steps_per_day=2000.0)),
        Conditions(temperature=30.0, joined_at=20.0), Conditions(damp=True),
        Conditions(hours=10.0, unchanged=("pla",)),
    ]  # fmt: skip
    studies = [study(conditions, expanding) for conditions in many]
    keys = [case_key(case_of(s, s.options[0])) for s in studies]
    assert len(set(keys)) == len(keys)
