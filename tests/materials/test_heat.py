"""Temperature: factors near softening, statuses instead of numbers, and words about damp."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from orthofem.materials import (
    MOISTURE,
    Value,
    heat_factor,
    infill,
    load,
    modulus_factor,
    moisture_note,
    names,
    strength_factor,
)
from orthofem.materials.heat import STATUSES

PRINTED = [key for key in names() if load(key).printed]


@pytest.mark.parametrize("soft", [57.5, 60.0, 78.5, 104.0, 145.0])
def test_modulus_falls_without_a_jump_to_nothing_at_glass_transition(soft):
    """1 at 23 degC, no jump at either corner, 0.3 five degrees below softening, 0 at it."""
    t = np.linspace(-20, soft + 20, 4001)
    factor = np.array([modulus_factor(x, soft) for x in t])
    assert (np.diff(factor) <= 0).all()
    assert np.abs(np.diff(factor)).max() < 0.1 * (t[1] - t[0]) + 1e-12
    corners = [modulus_factor(x, soft) for x in (23.0, soft - 15.0, soft - 5.0, soft)]
    assert corners == pytest.approx([1.0, 1.0 - 0.004 * (soft - 38.0), 0.3, 0.0])


def test_strength_never_rises_and_never_lies_above_the_modulus():
    """Strength keeps its room value in the cold and falls at least as fast as stiffness."""
    t = np.linspace(-20, 60, 161)
    strength = np.array([strength_factor(x, 60.0) for x in t])
    assert (np.diff(strength) <= 0).all()
    assert strength.max() == 1.0
    assert all(s <= modulus_factor(x, 60.0) for s, x in zip(strength, t, strict=True))


@pytest.mark.parametrize("key", names())
@pytest.mark.parametrize("temperature", [-40.0, 0.0, 20.0, 44.0, 60.0, 100.0, 200.0])
def test_every_material_has_an_answer_at_every_temperature(key, temperature):
    """Rated gives two numbers up to 1.1 and 1; otherwise no number but what to do or test."""
    found = heat_factor(load(key), temperature)
    assert found.status in STATUSES
    if found.status == "rated":
        assert 0 < found.strength <= 1.0
        assert found.strength <= found.stiffness <= 1.2
    else:
        assert np.isnan([found.stiffness, found.strength]).all()
        assert "test coupons" in found.note
    assert found.grade == "E"


@pytest.mark.parametrize("key", [key for key in PRINTED if "use_limit" in load(key).values])
def test_nothing_printed_is_rated_above_its_use_limit(key):
    """A tenth of a degree above the use limit there is a status and no number."""
    material = load(key)
    assert heat_factor(material, material.use_limit + 0.1).status == "not rated"


def test_a_hot_car_is_too_hot_for_pla_and_petg():
    """At 70 degC PLA and PETG are not rated, ABS and ASA are."""
    status = {k: heat_factor(load(k), 70.0).status for k in ("pla", "petg", "abs", "asa", "pc")}
    assert status == {
        "pla": "not rated", "petg": "not rated", "abs": "rated", "asa": "rated", "pc": "rated",
    }  # fmt: skip


def test_within_fifteen_degrees_of_softening_is_not_rated():
    """Without a use limit, softening alone decides: PLA with fibres stops at 45 degC."""
    fibres = load("pla_cf15_ud_f")
    assert heat_factor(fibres, 45.0).status == "rated"
    warm = heat_factor(fibres, 45.1)
    assert warm.status == "not rated"
    assert "within 15 degrees of softening at 60 degC" in warm.note


@pytest.mark.parametrize("key", ["pa_dry", "pa_50rh", "pa_cf", "tpu_95a"])
def test_what_is_no_glass_has_no_value_off_room_temperature(key):
    """Nylon and rubber do not follow the rule for glasses: no value at 40 degC, 1 at 20 degC."""
    assert heat_factor(load(key), 40.0).status == "no value"
    room = heat_factor(load(key), 20.0)
    assert (room.status, room.stiffness, room.strength) == ("rated", 1.0, 1.0)


def test_rods_and_glue_stay_as_they_are_up_to_their_limit():
    """Steel at 60 degC is unchanged and says so; glue at 60 degC is not rated; cold is no value."""
    steel = heat_factor(load("steel"), 60.0)
    assert (steel.stiffness, steel.strength) == (1.0, 1.0)
    assert "unchanged up to its use limit" in steel.note
    assert heat_factor(load("epoxy_adhesive"), 60.0).status == "not rated"
    unlimited = replace(load("steel"), use_limit=np.nan)
    assert heat_factor(unlimited, 60.0).status == "no value"


def test_cold_is_told():
    """Below 5 degC the note speaks of brittleness; below -20 degC there is no value."""
    assert "brittle in the cold" in heat_factor(load("pla"), 0.0).note
    assert "brittle" not in heat_factor(load("pla"), 20.0).note
    frozen = heat_factor(load("pla"), -30.0)
    assert frozen.status == "no value"
    assert "keep it warmer" in frozen.note


def test_a_material_that_softens_at_room_temperature_is_no_glass():
    """A glass transition too near to room temperature gives no value, not an error."""
    soft = {"glass_transition": Value(30.0, "E", "a test of ours", "degC")}
    material = replace(load("pla"), values=soft, use_limit=np.nan)
    assert heat_factor(material, 40.0).status == "no value"


@pytest.mark.parametrize("temperature", [-273.2, np.nan, np.inf, 1e4])
def test_impossible_temperatures_are_refused(temperature):
    """Below absolute zero, above 1000 degC and NaN are refused, in every function."""
    with pytest.raises(ValueError, match="temperature"):
        heat_factor(load("pla"), temperature)
    with pytest.raises(ValueError, match="temperature"):
        modulus_factor(temperature, 60.0)
    with pytest.raises(ValueError, match="glass transition = 20 degC"):
        modulus_factor(20.0, 20.0)


def test_infill_softens_with_its_polymer():
    """Infill keeps the glass transition, the use limit and the polymer of its material."""
    sparse = infill(load("pla"), "grid", 0.2)
    assert heat_factor(sparse, 40.0).stiffness == heat_factor(load("pla"), 40.0).stiffness
    assert (sparse.polymer, sparse.fill) == ("pla", 0.2)
    assert heat_factor(sparse, 70.0).status == "not rated"


@pytest.mark.parametrize("key", PRINTED)
def test_every_print_has_a_word_on_damp(key):
    """Each printed material of the library has a graded note, or is told to be unknown."""
    note = moisture_note(load(key))
    assert note.startswith(load(key).title)
    assert ("M-h" in note) == (load(key).polymer in MOISTURE)


def test_rods_have_no_note_on_damp():
    """Steel needs none."""
    assert moisture_note(load("steel")) == ""
