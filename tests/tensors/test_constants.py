"""Elastic constants, their bounds and the matrices they make."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from orthofem.tensors import ElasticConstants, compliance, engineering_constants, stiffness

PO = ElasticConstants(3400, 2900, 2500, 0.36, 0.34, 0.33, 1150, 1000, 900)


def test_constants_are_read_back_from_the_compliance():
    """What goes into the compliance is read off it again."""
    found = engineering_constants(compliance(PO))
    for name in ("E1", "E2", "E3", "nu12", "nu13", "nu23", "G12", "G13", "G23"):
        np.testing.assert_allclose(found[name], getattr(PO, name))
    np.testing.assert_allclose(found["nu21"] / PO.E2, PO.nu12 / PO.E1)
    assert found["eta12_1"] == found["eta23_3"] == 0.0


def test_transverse_set_follows_the_reference():
    """Five constants give nine: the derived values tabulated for PLA."""
    pla = ElasticConstants.transverse(E_p=3200, E_z=2700, nu_p=0.33, nu_zp=0.30, G_zp=1000)
    assert (pla.E1, pla.E2, pla.E3) == (3200, 3200, 2700)
    assert (pla.G13, pla.G23) == (1000, 1000)
    # materials reference, table 6.1: G_p 1203, nu_pz 0.356, bound 0.457, all D
    assert round(pla.G12) == 1203
    assert round(pla.nu13, 3) == round(pla.nu23, 3) == 0.356
    factor = 1 - pla.nu12 - 2 * 0.30 * pla.nu13
    assert round(factor, 3) == 0.457
    np.testing.assert_allclose(pla.poisson_bound, factor * (1 + pla.nu12))


def test_isotropic_stiffness_is_that_of_lame():
    """The isotropic stiffness has Lame's constants."""
    C = stiffness(ElasticConstants.isotropic(E=1000, nu=0.3))
    lame, shear = 1000 * 0.3 / (1.3 * 0.4), 1000 / 2.6
    np.testing.assert_allclose(C[0, 1], lame)
    np.testing.assert_allclose(C[2, 2], lame + 2 * shear)
    np.testing.assert_allclose(C[3, 3], shear)


def test_stiffness_is_exactly_symmetric_and_inverse():
    """The stiffness is symmetric to the last bit and the inverse of the compliance."""
    C = stiffness(PO)
    np.testing.assert_array_equal(C, C.T)
    np.testing.assert_allclose(C @ compliance(PO), np.eye(6), atol=1e-12)


@pytest.mark.parametrize("name", ["E1", "E2", "E3", "G12", "G13", "G23"])
@pytest.mark.parametrize("value", [0.0, -10.0])
def test_modulus_that_is_not_above_zero_is_refused(name, value):
    """A zero or negative modulus is refused by name, also on the way to a stiffness."""
    bad = replace(PO, **{name: value})
    with pytest.raises(ValueError, match=f"wood: {name} = {value:g} MPa; a modulus must be above"):
        bad.check("wood")
    with pytest.raises(ValueError, match=f"{name} = {value:g}"):
        stiffness(bad)


@pytest.mark.parametrize("name", ["E1", "nu13", "G23"])
def test_nan_is_refused(name):
    """A NaN constant is refused by name."""
    with pytest.raises(ValueError, match=f"wood: {name} is nan"):
        replace(PO, **{name: np.nan}).check("wood")


def test_poisson_ratio_beyond_its_pair_bound_is_refused():
    """A Poisson ratio beyond the root of the ratio of moduli is refused with its range."""
    with pytest.raises(ValueError, match="nu13 = 1.3; .* between -1.166 and 1.166.*not its pair"):
        replace(PO, nu13=1.3).check()


def test_poisson_ratios_too_large_together_are_refused():
    """Ratios each within its bound can still be too large together."""
    bad = replace(PO, nu12=0.7, nu13=0.7, nu23=0.7)
    with pytest.raises(ValueError, match="together too large for these moduli; lower them"):
        bad.check()
    # materials reference, table 6.1: this set of a soft print fails the bound (D)
    soft = ElasticConstants.transverse(E_p=130, E_z=100, nu_p=0.48, nu_zp=0.46, G_zp=40)
    with pytest.raises(ValueError, match="it must be above zero"):
        soft.check()


def test_check_agrees_with_the_eigenvalues():
    """A set passes exactly when its compliance is positive definite."""
    draw, seen = np.random.default_rng(70921), set()
    for nu in draw.uniform(-1.2, 1.2, (400, 3)):
        c = replace(PO, nu12=nu[0], nu13=nu[1], nu23=nu[2])
        S = np.diag(1 / np.array([c.E1, c.E2, c.E3]))
        S[0, 1] = S[1, 0] = -c.nu12 / c.E1
        S[0, 2] = S[2, 0] = -c.nu13 / c.E1
        S[1, 2] = S[2, 1] = -c.nu23 / c.E2
        definite = np.linalg.eigvalsh(S)[0] > 0
        seen.add(bool(definite))
        if definite:
            assert c.check() is c
        else:
            with pytest.raises(ValueError, match="must"):
                c.check()
    assert seen == {True, False}


@pytest.mark.parametrize(
    ("change", "message"),
    [({"E_p": 0}, "E_p = 0"), ({"E_z": -1}, "E_z = -1"), ({"nu_p": -1.0}, r"1 \+ nu_p = 0")],
)
def test_transverse_refuses_what_it_would_divide_by(change, message):
    """A transverse set that cannot be made is refused by name."""
    given = {"E_p": 3200, "E_z": 2700, "nu_p": 0.33, "nu_zp": 0.3, "G_zp": 1000} | change
    with pytest.raises(ValueError, match=message):
        ElasticConstants.transverse(**given)


def test_isotropic_refuses_a_ratio_of_minus_one():
    """A Poisson ratio of -1 has no shear modulus."""
    with pytest.raises(ValueError, match="nu = -1; it must be above -1"):
        ElasticConstants.isotropic(1000, -1.0)
