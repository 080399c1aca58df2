"""Many variants at once against one at a time."""

from __future__ import annotations

import sys
from dataclasses import replace

import numpy as np
import pytest

from orthofem.failure import CRITERIA, evaluate, governing_mode, reserve_factor, worst_of
from orthofem.materials.strengths import Strengths

room = sys.modules["orthofem.failure.evaluate"]  # the function has the name of its module
PLA = Strengths.transverse(Xt=50, Xc=70, Zt=28, Zc=65, S_in_plane=28, S_interlaminar=20)


def loads(n_points=300, n_variants=40, seed=17707):
    """Random unit stresses and combinations."""
    draw = np.random.default_rng(seed)
    return draw.normal(size=(6, n_points, 6)), draw.normal(scale=3, size=(6, n_variants))


@pytest.mark.parametrize("key", CRITERIA)
@pytest.mark.parametrize("chunk", [64, 1000, 10**6])
def test_chunks_agree_with_all_at_once(key, chunk, monkeypatch):
    """Reserve, place, index, stress and mode are those of the full table of stresses."""
    monkeypatch.setattr(room, "_CHUNK", chunk)
    unit, combinations = loads()
    criterion = CRITERIA[key]
    verdict = evaluate(unit, combinations, PLA, criterion)
    stress = np.einsum("ipu,uv->ipv", unit, combinations)
    reserve = criterion.reserve(stress, PLA)
    point = reserve.argmin(axis=0)
    variants = np.arange(combinations.shape[1])
    np.testing.assert_allclose(verdict.reserve, reserve.min(axis=0), rtol=1e-12)
    np.testing.assert_array_equal(verdict.point, point)
    np.testing.assert_allclose(verdict.stress, stress[:, point, variants], atol=1e-9)
    np.testing.assert_allclose(verdict.index, criterion.index(verdict.stress, PLA))
    expected = governing_mode(verdict.stress, PLA, criterion.modes)
    np.testing.assert_array_equal(verdict.mode, expected)


@pytest.mark.parametrize("chunk", [64, 10**6])
def test_fixed_stress_is_not_scaled(chunk, monkeypatch):
    """With a fixed stress the reserve is the one on top of it, point by point."""
    monkeypatch.setattr(room, "_CHUNK", chunk)
    unit, combinations = loads(n_points=50, n_variants=8)
    fixed = np.random.default_rng(90901).normal(scale=3, size=(6, 50))
    verdict = evaluate(unit, combinations, PLA, CRITERIA["tsai_hill"], fixed)
    stress = np.einsum("ipu,uv->ipv", unit, combinations)
    reserve = reserve_factor(CRITERIA["tsai_hill"], PLA, stress, fixed)
    np.testing.assert_allclose(verdict.reserve, reserve.min(axis=0), rtol=1e-9)
    np.testing.assert_array_equal(verdict.point, reserve.argmin(axis=0))
    total = stress[:, verdict.point, np.arange(8)] + fixed[:, verdict.point]
    np.testing.assert_allclose(verdict.stress, total, atol=1e-9)


def test_layer_criterion_names_a_layer_mode():
    """The interlayer criterion names a layer mode even where a bead is nearer to breaking."""
    unit = np.zeros((6, 1, 1))
    unit[:, 0, 0] = [45, 0, 14, 0, 15, 0]
    assert evaluate(unit, [[1.0]], PLA, CRITERIA["layers"]).mode[0] == 1
    assert evaluate(unit, [[1.0]], PLA, CRITERIA["max_stress"]).mode[0] == 2


def test_load_that_strains_nothing_has_infinite_reserve():
    """A variant without load never fails."""
    unit, _ = loads()
    assert evaluate(unit, np.zeros((6, 1)), PLA, CRITERIA["tsai_hill"]).reserve[0] == np.inf


@pytest.mark.parametrize(
    ("unit", "combinations", "fixed", "message"),
    [
        (np.zeros((6, 4)), np.zeros((2, 3)), None, r"unit_stress has shape \(6, 4\)"),
        (np.zeros((6, 0, 2)), np.zeros((2, 3)), None, "at least one point"),
        (np.zeros((6, 4, 2)), np.zeros((3, 5)), None, r"it must be \(2, n_variants\)"),
        (np.zeros((6, 4, 2)), np.zeros((2, 3)), np.zeros((6, 3)), r"it must be \(6, 4\)"),
        (np.full((6, 4, 2), np.nan), np.zeros((2, 3)), None, "unit_stress is nan"),
        (np.zeros((6, 4, 2)), np.full((2, 3), np.inf), None, "combinations is inf"),
    ],
)
def test_what_does_not_fit_is_refused(unit, combinations, fixed, message):
    """Shapes that do not fit and numbers that are not finite are refused."""
    with pytest.raises(ValueError, match=message):
        evaluate(unit, combinations, PLA, CRITERIA["layers"], fixed)


def test_worst_region_of_each_variant():
    """Over several regions the smallest reserve names the region."""
    unit, combinations = loads()
    strong = PLA.scaled(in_plane=3.0, across=3.0)
    one = evaluate(unit, combinations, strong, CRITERIA["layers"])
    two = evaluate(unit, combinations, PLA, CRITERIA["layers"])
    two = replace(two, reserve=np.where(np.arange(40) < 10, 99.0, two.reserve))
    region, reserve = worst_of({"upper": one, "stud": two})
    assert (region[:10] == "upper").all()
    assert (region[10:] == "stud").all()
    np.testing.assert_allclose(reserve, np.minimum(one.reserve, two.reserve))


def test_no_region_to_compare_is_refused():
    """An empty comparison is refused."""
    with pytest.raises(ValueError, match="No region to compare"):
        worst_of({})
