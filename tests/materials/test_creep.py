"""Loads that stay: creep, preload and the share of strength for long."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from orthofem.materials import (
    CREEP,
    infill,
    load,
    mittag_leffler,
    names,
    remaining_modulus,
    remaining_preload,
    sustained_cap,
)

PLA = load("pla")


def test_stiffness_falls_with_time_and_starts_whole():
    """The factor falls from nearly 1 after a second and is never above 1."""
    left = [remaining_modulus(PLA, t).factor for t in (1 / 3600, 0.1, 10, 1000, 7900, 1e5)]
    assert left[0] > 0.99
    assert (np.diff(left) < 0).all()
    assert left[4] == pytest.approx(0.5)


def test_preload_falls_a_little_more_than_stiffness():
    """Held at one length, force lies below 1/J(t), but never by more than sin(n pi)/(n pi)."""
    n = CREEP["pla"].exponent
    least = math.sin(n * math.pi) / (n * math.pi)
    for hours in (1.0, 100.0, 1000.0, 10000.0):
        force = remaining_preload(PLA, hours).factor
        modulus = remaining_modulus(PLA, hours).factor
        assert least * modulus < force < modulus


def test_an_elastic_tie_keeps_its_preload():
    """The smaller the share of the compliance that creeps, the more force is left."""
    shares = (1.0, 0.5, 0.1, 0.001)
    left = [remaining_preload(PLA, 1000.0, share=share).factor for share in shares]
    assert (np.diff(left) > 0).all()
    assert left[-1] == pytest.approx(1.0, abs=1e-3)


def test_relaxation_solves_the_integral_equation():
    """Stepping force so that creep keeps the length at 1 gives the closed form."""
    law = CREEP["pla"]
    n_steps, end = 4000, 2000.0
    time = end * np.linspace(0, 1, n_steps + 1) ** 3  # fine where force falls fastest
    force = np.zeros(n_steps + 1)
    force[0] = 1.0
    rise = np.zeros(n_steps + 1)
    rise[0] = 1.0
    middle = 0.5 * (time[1:] + time[:-1])
    for k in range(1, n_steps + 1):
        ages = time[k] - np.concatenate([[0.0], middle[:k]])
        growth = 1.0 + (ages / law.time_scale) ** law.exponent
        past = growth[:k] @ rise[:k]
        rise[k] = (1.0 - past) / growth[k]
        force[k] = force[k - 1] + rise[k]
    for k in (1000, 2000, n_steps):
        exact = remaining_preload(PLA, float(time[k])).factor
        assert force[k] == pytest.approx(exact, rel=2e-3)


@pytest.mark.parametrize("z", [0.0, 0.01, 0.3, 1.0, 3.0, 10.0])
def test_half_order_is_the_error_function(z):
    """E_1/2(-z) is exp(z²) erfc(z)."""
    assert mittag_leffler(0.5, z) == pytest.approx(math.exp(z * z) * math.erfc(z), rel=1e-10)


@pytest.mark.parametrize("order", [0.2, 0.3, 0.8])
def test_small_arguments_follow_the_power_series(order):
    """The series sum (-z)^k / Gamma(1 + k n) gives the same number."""
    z = 0.4
    series = sum((-z) ** k / math.gamma(1 + k * order) for k in range(60))
    assert mittag_leffler(order, z) == pytest.approx(series, rel=1e-10)


def test_order_and_argument_are_checked():
    """Orders outside 0.1 to 0.9 and arguments below zero are refused."""
    with pytest.raises(ValueError, match="order = 1"):
        mittag_leffler(1.0, 1.0)
    with pytest.raises(ValueError, match="argument = -1"):
        mittag_leffler(0.5, -1.0)


@pytest.mark.parametrize("key", [key for key in names() if load(key).polymer not in CREEP])
def test_no_creep_law_is_no_value(key):
    """A print or glue without a law has no value and says what to test; metal rods keep all."""
    left = remaining_modulus(load(key), 100.0)
    if key in ("steel", "aluminium", "carbon_rod"):
        assert left.factor == 1.0
        assert left.known
    else:
        assert not left.known
        assert "hang a weight" in left.note
        assert not remaining_preload(load(key), 100.0).known


def test_petg_is_published_but_not_here():
    """PETG's note says that its creep is published, so that nobody thinks it does not creep."""
    assert "Polymers 17(15):2075" in remaining_modulus(load("petg"), 10.0).note


def test_too_warm_for_the_law():
    """Above 25 degC there is no value, not the one of room temperature."""
    warm = remaining_modulus(PLA, 10.0, 40.0)
    assert not warm.known
    assert "up to 25 degC, not at 40 degC" in warm.note


def test_infill_and_one_way_prints_creep_as_their_polymer():
    """Infill of PLA and the unidirectional PLA sets share its law; a print by another name not."""
    whole = remaining_modulus(PLA, 1000.0).factor
    assert remaining_modulus(infill(PLA, "grid", 0.3), 1000.0).factor == whole
    assert remaining_modulus(load("pla_ud_f"), 1000.0).factor == whole
    assert not remaining_modulus(replace(PLA, polymer="mine"), 1000.0).known


def test_a_printed_part_called_steel_creeps_as_nobody_knows():
    """Only bought rods are steady."""
    assert not remaining_modulus(replace(load("steel"), printed=True), 1.0).known


@pytest.mark.parametrize("hours", [0.0, -1.0, np.nan, np.inf])
def test_impossible_times_are_refused(hours):
    """Times that are not above zero and finite are refused."""
    with pytest.raises(ValueError, match="hours"):
        remaining_modulus(PLA, hours)
    with pytest.raises(ValueError, match="hours"):
        remaining_preload(PLA, hours)
    with pytest.raises(ValueError, match="hours"):
        CREEP["pla"].growth(hours)


def test_impossible_shares_and_temperatures_are_refused():
    """A share above 1 and a temperature below absolute zero are refused."""
    with pytest.raises(ValueError, match="share of the compliance = 1.5"):
        remaining_preload(PLA, 1.0, share=1.5)
    with pytest.raises(ValueError, match="temperature = -300"):
        remaining_modulus(PLA, 1.0, -300.0)


def test_sustained_caps():
    """A quarter in the layer and a fifth across; less near softening; a tenth for weeks."""
    cap = sustained_cap(PLA)
    assert (cap.in_plane, cap.across) == (0.25, 0.20)
    soft = sustained_cap(PLA, 50.0)
    assert (soft.in_plane, soft.across) == (0.15, 0.15)
    stored = sustained_cap(PLA, hours=1000.0)
    assert (stored.in_plane, stored.across) == (0.10, 0.10)
    assert sustained_cap(load("pc")) is None
    assert {cap.grade, soft.grade, stored.grade} == {"E"}
    with pytest.raises(ValueError, match="hours = 0"):
        sustained_cap(PLA, hours=0.0)
