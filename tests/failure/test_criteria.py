"""Contract of every criterion, and of every material that has strengths."""

from __future__ import annotations

import numpy as np
import pytest

from orthofem import materials
from orthofem.failure import CRITERIA, MODES, governing_mode, utilisation
from orthofem.materials.strengths import Strengths
from orthofem.tensors import rotation, stress_bond

UD = Strengths(Xt=54, Xc=70, Yt=37, Yc=60, Zt=28, Zc=65, S23=16, S13=20, S12=18)
LAMINA = Strengths(Xt=1500, Xc=1500, Yt=40, Yc=246, Zt=40, Zc=246, S23=60, S13=68, S12=68)
EVEN = Strengths(Xt=50, Xc=50, Yt=50, Yc=50, Zt=30, Zc=30, S23=20, S13=20, S12=45.2267)
GLUE = Strengths.isotropic(tension=25, compression=50, shear=15)
LIBRARY = {
    name: materials.load(name).strengths
    for name in materials.names()
    if not materials.load(name).strengths.missing
}
SETS = {"ud": UD, "lamina": LAMINA, "even": EVEN, "glue": GLUE} | LIBRARY
LAYERED = {name: s for name, s in SETS.items() if s.is_transverse and not s.is_isotropic}


def stresses(number, seed, size=40.0):
    """Random stresses in print axes, shape (6, number). [MPa]."""
    return np.random.default_rng(seed).normal(scale=size, size=(6, number))


def test_library_has_sets_to_run_over():
    """The contract runs over the printed materials of the library, not over nothing."""
    assert {"pla", "pla_silk", "petg", "abs", "asa", "pa_dry", "pa_cf", "pc"} <= set(LAYERED)


@pytest.mark.parametrize("key", CRITERIA)
@pytest.mark.parametrize("name", SETS)
def test_reserve_brings_index_to_one(key, name):
    """The index of the stress times its reserve factor is 1."""
    criterion, stress = CRITERIA[key], stresses(2000, 48221)
    reserve = criterion.reserve(stress, SETS[name])
    finite = np.isfinite(reserve)
    assert finite.any()
    index = criterion.index(reserve[finite] * stress[:, finite], SETS[name])
    np.testing.assert_allclose(index, 1.0, rtol=0, atol=1e-9)


@pytest.mark.parametrize("key", CRITERIA)
@pytest.mark.parametrize("name", SETS)
def test_reserve_is_the_first_factor_that_fails(key, name):
    """Half way to the reserve factor the index is below 1; where it is infinite, always."""
    criterion, stress = CRITERIA[key], stresses(2000, 90117)
    reserve = criterion.reserve(stress, SETS[name])
    for share in (0.05, 0.5, 0.999):
        factor = np.where(np.isfinite(reserve), share * reserve, 1e4 * share)
        assert (criterion.index(factor * stress, SETS[name]) < 1.0).all()


@pytest.mark.parametrize("key", CRITERIA)
@pytest.mark.parametrize("name", SETS)
def test_reserve_falls_as_load_grows(key, name):
    """The reserve of k times a stress is the reserve over k."""
    criterion, stress = CRITERIA[key], stresses(500, 31337)
    one, five = (criterion.reserve(k * stress, SETS[name]) for k in (1.0, 5.0))
    finite = np.isfinite(one)
    np.testing.assert_allclose(five[finite], one[finite] / 5.0, rtol=1e-12)
    assert np.isinf(five[~finite]).all()


@pytest.mark.parametrize("key", ["tsai_hill", "max_stress", "layers"])
@pytest.mark.parametrize("name", SETS)
def test_index_is_never_negative(key, name):
    """No stress has an index below zero, over all combinations of signs."""
    signs = np.array(np.meshgrid(*[[-1, 0, 1]] * 6)).reshape(6, -1)
    sizes = np.array([1, 0.5, 0.25])[np.random.default_rng(6150).integers(0, 3, signs.shape)]
    for stress in (stresses(20000, 77013), 30.0 * signs, 30.0 * signs * sizes):
        assert (CRITERIA[key].index(stress, SETS[name]) >= 0.0).all()


@pytest.mark.parametrize("key", ["tsai_hill", "max_stress"])
@pytest.mark.parametrize("name", SETS)
def test_no_stress_is_invisible(key, name):
    """Apart from nearly equal triaxial stress, no stress has a strength beyond three times X."""
    s = SETS[name]
    stress = stresses(20000, 12007)
    tensors = stress[[0, 1, 2]]
    stress = stress[:, tensors.mean(axis=0) < 0.5 * np.abs(tensors).max(axis=0)]
    largest = max(s.Xt, s.Xc, s.Yt, s.Yc, s.Zt, s.Zc)
    reserve = CRITERIA[key].reserve(stress, s)
    assert (reserve * np.abs(stress[:3]).max(axis=0) < 3.0 * largest).all()


@pytest.mark.parametrize("key", CRITERIA)
@pytest.mark.parametrize("name", LAYERED)
def test_material_alike_in_layer_does_not_feel_turns_about_build_axis(key, name):
    """Index and mode stay the same in all axes of the layer."""
    criterion, strengths, stress = CRITERIA[key], LAYERED[name], stresses(2000, 60221)
    index = criterion.index(stress, strengths)
    used = utilisation(stress, strengths)
    for degrees in (17.0, 45.0, 90.0, 200.0):
        turned = stress_bond(rotation("z", degrees)) @ stress
        np.testing.assert_allclose(
            criterion.index(turned, strengths), index, rtol=1e-9, atol=1e-9 * np.abs(index).max()
        )
        np.testing.assert_allclose(utilisation(turned, strengths), used, atol=1e-6)
        clear = np.sort(used, axis=0)[-1] > np.sort(used, axis=0)[-2] + 1e-6
        same = governing_mode(turned, strengths) == governing_mode(stress, strengths)
        assert same[clear].all()


@pytest.mark.parametrize("key", ["tsai_hill", "max_stress", "tsai_wu"])
def test_isotropic_material_does_not_feel_any_turn(key):
    """The index of a material alike in all directions is the same in all axes."""
    criterion, stress, draw = CRITERIA[key], stresses(500, 20771), np.random.default_rng(8811)
    for strengths in (GLUE, materials.load("steel").strengths):
        index = criterion.index(stress, strengths)
        for _ in range(4):
            M = stress_bond(rotation(draw.normal(size=3), draw.uniform(0, 360)))
            np.testing.assert_allclose(criterion.index(M @ stress, strengths), index, rtol=1e-8)


@pytest.mark.parametrize("key", ["tsai_hill", "max_stress", "tsai_wu"])
@pytest.mark.parametrize("name", SETS)
def test_pure_stresses_fail_at_the_strengths_given(key, name):
    """Stress along one axis and pure shear fail exactly at the strength of that component."""
    s = SETS[name]
    alike = s.is_transverse
    limit = min(s.S12, s.Xt, s.Xc) if alike else s.S12
    cases = [
        (0, s.Xt), (0, -s.Xc), (1, s.Yt), (1, -s.Yc), (2, s.Zt), (2, -s.Zc),
        (3, s.S23), (4, -s.S13), (5, limit), (5, -limit),
    ]  # fmt: skip
    for component, strength in cases:
        if not np.isfinite(strength):
            continue
        stress = np.zeros(6)
        stress[component] = np.sign(strength)
        reserve = CRITERIA[key].reserve(stress, s)
        np.testing.assert_allclose(reserve, abs(strength), rtol=2e-6 if name == "even" else 1e-12)


@pytest.mark.parametrize("key", ["tsai_hill", "max_stress", "tsai_wu"])
@pytest.mark.parametrize("name", SETS)
def test_index_does_not_jump_where_a_stress_changes_sign(key, name):
    """Across the border between tension and compression the index is continuous."""
    criterion, strengths = CRITERIA[key], SETS[name]
    stress = stresses(2000, 51009)
    for component in range(3):
        low, high = stress.copy(), stress.copy()
        low[component], high[component] = -1e-9, 1e-9
        np.testing.assert_allclose(
            criterion.index(low, strengths), criterion.index(high, strengths), atol=1e-8
        )
    # in the layer of a material alike in it, the border is where a principal stress is zero
    stress[1] = stress[5] ** 2 / stress[0]
    low, high = stress.copy(), stress.copy()
    low[1], high[1] = stress[1] - 1e-9, stress[1] + 1e-9
    small = np.abs(stress[1]) < 500
    gap = criterion.index(low, strengths) - criterion.index(high, strengths)
    np.testing.assert_allclose(gap[small], 0.0, atol=1e-6)


@pytest.mark.parametrize("key", CRITERIA)
@pytest.mark.parametrize("name", ["ud", "pla"])
def test_batch_axes_are_kept(key, name):
    """One point, many points and points by loads give the same numbers in their own shape."""
    criterion, strengths = CRITERIA[key], SETS[name]
    stress = stresses(12, 22051).reshape(6, 3, 4)
    index, reserve = criterion.index(stress, strengths), criterion.reserve(stress, strengths)
    assert index.shape == reserve.shape == (3, 4)
    assert np.shape(criterion.index(stress[:, 0, 0], strengths)) == ()
    np.testing.assert_allclose(criterion.index(stress[:, 1, 2], strengths), index[1, 2])
    np.testing.assert_allclose(criterion.reserve(stress[:, 1, 2], strengths), reserve[1, 2])


@pytest.mark.parametrize("key", CRITERIA)
def test_no_stress_has_infinite_reserve(key):
    """A point without stress never fails, whatever the factor."""
    assert CRITERIA[key].reserve(np.zeros(6), UD) == np.inf


@pytest.mark.parametrize("key", CRITERIA)
def test_missing_strength_is_refused_with_remedy(key):
    """A strength without a value is named, and the way out is told."""
    partial = materials.load("pla_ud_f").strengths
    with pytest.raises(ValueError, match="needs .*Zt.*Give your own numbers.*same polymer"):
        CRITERIA[key].index(np.zeros(6), partial)


@pytest.mark.parametrize("key", CRITERIA)
def test_wrong_shape_is_refused(key):
    """A stress whose first axis is not six components is refused."""
    with pytest.raises(ValueError, match=r"shape \(5, 6\).*six components"):
        CRITERIA[key].index(np.zeros((5, 6)), UD)


@pytest.mark.parametrize("key", CRITERIA)
def test_criterion_describes_itself(key):
    """A criterion knows its own name, a title, its source and the ways of breaking it sees."""
    criterion = CRITERIA[key]
    assert criterion.key == key
    assert criterion.title
    assert criterion.source
    assert criterion.modes is None or all(MODES[place] for place in criterion.modes)
