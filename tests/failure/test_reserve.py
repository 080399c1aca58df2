"""Reserve on top of a stress that stays."""

from __future__ import annotations

import numpy as np
import pytest

from orthofem.failure import CRITERIA, reserve_factor
from orthofem.failure.criterion import reserve_of_polynomial
from orthofem.materials.strengths import Strengths

PLA = Strengths.transverse(Xt=50, Xc=70, Zt=28, Zc=65, S_in_plane=28, S_interlaminar=20)
UD = Strengths(Xt=54, Xc=70, Yt=37, Yc=60, Zt=28, Zc=65, S23=16, S13=20, S12=18)


@pytest.mark.parametrize("key", CRITERIA)
@pytest.mark.parametrize("strengths", [PLA, UD])
def test_without_fixed_stress_stepping_agrees_with_the_root(key, strengths):
    """Stepping and halving on top of no stress gives the closed root."""
    stress = np.random.default_rng(11927).normal(scale=30, size=(6, 400))
    closed = reserve_factor(CRITERIA[key], strengths, stress)
    stepped = reserve_factor(CRITERIA[key], strengths, stress, fixed=np.zeros(6))
    np.testing.assert_allclose(stepped, closed, rtol=1e-9)


@pytest.mark.parametrize("key", CRITERIA)
@pytest.mark.parametrize("strengths", [PLA, UD])
def test_index_is_one_at_the_reserve(key, strengths):
    """Fixed stress plus the reserve times the stress has an index of 1."""
    draw = np.random.default_rng(40087)
    stress, fixed = draw.normal(scale=30, size=(6, 400)), draw.normal(scale=4, size=(6, 400))
    reserve = reserve_factor(CRITERIA[key], strengths, stress, fixed)
    held = CRITERIA[key].index(fixed, strengths) < 1
    assert held.sum() > 300
    assert (reserve[~held] == 0.0).all()
    finite = held & np.isfinite(reserve)
    assert finite.sum() > 300
    total = fixed + reserve * stress
    np.testing.assert_allclose(CRITERIA[key].index(total, strengths)[finite], 1.0, atol=1e-9)


def test_fixed_stress_that_has_failed_leaves_nothing():
    """Where the fixed stress alone has failed, the reserve is zero."""
    fixed = [0, 0, 30, 0, 0, 0]
    assert reserve_factor(CRITERIA["layers"], PLA, [0, 0, 1, 0, 0, 0], fixed) == 0.0


def test_stress_that_relieves_never_fails_the_layers():
    """Compression across the layers on top of tension never parts them."""
    fixed = [0, 0, 14, 0, 0, 0]
    assert reserve_factor(CRITERIA["layers"], PLA, [0, 0, -1, 0, 0, 0], fixed) == np.inf


def test_stress_that_relieves_first_and_fails_later():
    """Tension is pulled back to zero before the part is crushed."""
    fixed = [0, 0, 14, 0, 0, 0]
    reserve = reserve_factor(CRITERIA["max_stress"], PLA, [0, 0, -1, 0, 0, 0], fixed)
    np.testing.assert_allclose(reserve, 14 + 65, rtol=1e-12)


def test_no_stress_on_top_never_fails():
    """Without a stress to scale, no factor fails."""
    assert reserve_factor(CRITERIA["tsai_hill"], PLA, np.zeros(6), np.ones(6)) == np.inf


def test_fixed_stress_broadcasts_over_loads():
    """One fixed stress per point serves all loads at that point."""
    draw = np.random.default_rng(70003)
    stress, fixed = draw.normal(scale=30, size=(6, 5, 3)), draw.normal(scale=4, size=(6, 5))
    reserve = reserve_factor(CRITERIA["tsai_hill"], PLA, stress, fixed)
    assert reserve.shape == (5, 3)
    single = reserve_factor(CRITERIA["tsai_hill"], PLA, stress[:, 4, 2], fixed[:, 4])
    np.testing.assert_allclose(reserve[4, 2], single)


@pytest.mark.parametrize("place", ["stress", "fixed stress"])
def test_nan_is_refused(place):
    """A NaN in either stress is refused and named."""
    bad, good = np.full(6, np.nan), np.ones(6)
    stress, fixed = (bad, good) if place == "stress" else (good, bad)
    with pytest.raises(ValueError, match=f"^{place} is nan"):
        reserve_factor(CRITERIA["layers"], PLA, stress, fixed)


def test_root_of_polynomial():
    """The root is the smallest positive one, without cancellation, or infinite."""
    linear = np.array([0.0, 1.0, -1.0, -1.0, 0.0, 3.0, 1.0])
    quadratic = np.array([4.0, 0.0, 0.0, 1e-12, 0.0, -2.0, -1.0])
    root = reserve_of_polynomial(linear, quadratic)
    np.testing.assert_allclose(root[:6], [0.5, 1.0, np.inf, 1e12 + 1, np.inf, 0.5], rtol=1e-12)
    assert root[6] == np.inf
