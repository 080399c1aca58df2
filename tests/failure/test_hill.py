"""Hill's coupled form: where it is usable, and which form Tsai-Hill takes."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from orthofem import materials
from orthofem.failure import (
    hill_coupled,
    hill_form,
    hill_margin,
    hill_matrix,
    implied_shear,
    tsai_hill_index,
)
from orthofem.materials.strengths import Strengths
from orthofem.tensors import rotation, stress_bond


def test_margin_agrees_with_eigenvalues():
    """The triangle rule and the smallest eigenvalue of the normal block agree everywhere."""
    draw = np.random.default_rng(40127)
    seen = set()
    for strengths in draw.uniform(10, 100, (3000, 3)):
        margin = hill_margin(*strengths)
        smallest = np.linalg.eigvalsh(hill_matrix(*strengths))[0]
        if abs(margin) > 1e-3:
            assert (smallest > -1e-12) == (margin > 0)
            seen.add(margin > 0)
    assert seen == {True, False}


def test_matrix_is_the_form_itself():
    """The normal block in normalised stresses gives the index of the coupled form."""
    stress = np.random.default_rng(5501).normal(scale=20, size=(6, 50))
    stress[3:] = 0.0
    normal = stress[:3] / np.array([50.0, 45, 30])[:, None]
    ours = np.einsum("in,ij,jn->n", normal, hill_matrix(50, 45, 30), normal)
    index = hill_coupled(stress, X=50, Y=45, Z=30, S23=20, S13=20, S12=28)
    np.testing.assert_allclose(ours, index, rtol=1e-12)


@pytest.mark.parametrize("name", ["pla_silk", "asa", "pa_cf"])
def test_sets_of_the_warning_are_recognised(name):
    """The default sets with Zt at or below Xt / 2 are outside the coupled form."""
    s = materials.load(name).strengths
    assert hill_margin(s.Xt, s.Yt, s.Zt) <= 1e-9
    form = hill_form(s)
    assert form.name == "uncoupled"
    assert "not positive definite" in form.reason


def test_octants_of_mixed_sign_are_looked_at():
    """PLA passes for tension alone, but not where compression in the layer meets Zt."""
    s = materials.load("pla").strengths
    assert hill_margin(s.Xt, s.Yt, s.Zt) > 0
    assert min(hill_margin(*o) for o in product((50, 70), (50, 70), (28, 65))) < 0
    assert "70, 70, 28" in hill_form(s).reason


def test_every_printed_material_of_the_library_takes_the_uncoupled_form():
    """No printed material of the library meets all conditions of the coupled form."""
    for name in materials.names():
        material = materials.load(name)
        if material.kind == "transverse" and not material.strengths.missing:
            assert hill_form(material.strengths).name == "uncoupled", name


def test_unequal_tension_and_compression_drop_the_coupling():
    """Positive definite for all signs, but the coupling would jump where a stress changes sign."""
    s = materials.load("pa_50rh").strengths
    assert min(hill_margin(*o) for o in product((32, 35), (32, 35), (20, 32))) > 0
    assert "would jump" in hill_form(s).reason


def test_foreign_shear_strength_drops_the_coupling():
    """A shear strength in the layer that is not the forced one rules the coupled form out."""
    s = Strengths.transverse(Xt=50, Xc=50, Zt=30, Zc=30, S_in_plane=28, S_interlaminar=20)
    assert "would force S12 = 45.23 MPa" in hill_form(s).reason


def test_consistent_strengths_take_the_coupled_form():
    """Tension and compression alike, Zt above Xt / 2 and the forced shear: Hill's own form."""
    shear = implied_shear(50, 30)
    s = Strengths.transverse(50, 50, 30, 30, S_in_plane=shear, S_interlaminar=20)
    assert hill_form(s).name == "coupled"
    stress = np.random.default_rng(7103).normal(scale=20, size=(6, 100))
    expected = hill_coupled(stress, X=50, Y=50, Z=30, S23=20, S13=20)
    np.testing.assert_allclose(tsai_hill_index(stress, s), expected, rtol=1e-12)


def test_orthotropic_strengths_can_take_the_coupled_form():
    """Three different strengths, alike in tension and compression, take Hill's own form."""
    s = Strengths(Xt=50, Xc=50, Yt=45, Yc=45, Zt=40, Zc=40, S23=20, S13=21, S12=28)
    assert hill_form(s).name == "coupled"
    stress = np.random.default_rng(3307).normal(scale=20, size=(6, 100))
    expected = hill_coupled(stress, X=50, Y=45, Z=40, S23=20, S13=21, S12=28)
    np.testing.assert_allclose(tsai_hill_index(stress, s), expected, rtol=1e-12)


def test_isotropic_strengths_give_von_mises():
    """With Xt = Xc and S = Xt / sqrt(3) the index is the square of von Mises over the strength."""
    s = Strengths.isotropic(235, 235, 235 / np.sqrt(3))
    assert hill_form(s).name == "isotropic"
    stress = np.random.default_rng(9209).normal(scale=100, size=(6, 300))
    a, b, c, d, e, f = stress
    mises = 0.5 * ((a - b) ** 2 + (b - c) ** 2 + (c - a) ** 2) + 3 * (d**2 + e**2 + f**2)
    np.testing.assert_allclose(tsai_hill_index(stress, s), mises / 235**2, rtol=1e-10)


def test_forced_shear_makes_the_coupled_form_invariant():
    """With the forced S12 the index does not change about axis 3; with another it does."""
    stress = np.random.default_rng(1481).normal(scale=20, size=(6, 100))
    turned = stress_bond(rotation("z", 30)) @ stress
    given = {"X": 50, "Y": 50, "Z": 30, "S23": 20, "S13": 20}
    np.testing.assert_allclose(hill_coupled(turned, **given), hill_coupled(stress, **given))
    apart = hill_coupled(turned, **given, S12=28) - hill_coupled(stress, **given, S12=28)
    assert np.abs(apart).max() > 0.1


def test_coupled_form_needs_shear_where_axes_differ():
    """Without S12, strengths that differ in the layer are refused."""
    with pytest.raises(ValueError, match="S12 is missing and X = 50, Y = 45 MPa differ"):
        hill_coupled(np.zeros(6), X=50, Y=45, Z=30, S23=20, S13=20)


def test_coupled_form_refuses_a_strength_of_zero():
    """A strength of zero is named."""
    with pytest.raises(ValueError, match="Strength S23 = 0 MPa; it must be above zero"):
        hill_coupled(np.zeros(6), X=50, Y=50, Z=30, S23=0, S13=20)


def test_coupled_form_refuses_an_orthotropic_set_outside_the_triangle():
    """The triangle rule is told where X and Y differ."""
    with pytest.raises(ValueError, match="not positive semidefinite.*sides of a triangle"):
        hill_coupled(np.zeros(6), X=1500, Y=246, Z=40, S23=60, S13=68, S12=68)


def test_implied_shear_refuses_what_has_none():
    """No shear strength follows where Z is not above X / 2."""
    with pytest.raises(ValueError, match="Z must be above X/2"):
        implied_shear(50, 20)
