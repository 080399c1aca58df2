"""Eigenvalues and bounds of stiffnesses."""

from __future__ import annotations

import numpy as np
import pytest

from orthofem.tensors import (
    ElasticConstants,
    isotropic_mean,
    isotropic_moduli,
    kelvin,
    kelvin_eigenvalues,
    rotate_stiffness,
    rotation,
    stiffness,
    stiffness_bounds,
    strain_tensor,
    stress_tensor,
)

PO = stiffness(ElasticConstants(3400, 2900, 2500, 0.36, 0.34, 0.33, 1150, 1000, 900))


def test_kelvin_scaling_keeps_the_energy():
    """In Kelvin scaling the squared length of a strain is that of its tensor."""
    strain = np.random.default_rng(2999).normal(size=6)
    scaled = strain / np.sqrt([1, 1, 1, 2, 2, 2])
    np.testing.assert_allclose(scaled @ scaled, np.sum(strain_tensor(strain) ** 2))
    energy = np.sum(stress_tensor(PO @ strain) * strain_tensor(strain))
    np.testing.assert_allclose(scaled @ kelvin(PO) @ scaled, energy)


def test_bounds_hold_for_all_strains_and_are_reached():
    """No strain has an energy ratio outside the bounds, and both bounds are met."""
    turned = rotate_stiffness(PO, rotation((1, 2, 0), 60))
    low, high = stiffness_bounds(turned, PO)
    strains = np.random.default_rng(41999).normal(size=(6, 20000))
    ratio = np.einsum("in,ij,jn->n", strains, turned, strains)
    ratio /= np.einsum("in,ij,jn->n", strains, PO, strains)
    assert low < ratio.min() < 1 < ratio.max() < high
    values = np.linalg.eigvals(np.linalg.solve(PO, turned)).real
    np.testing.assert_allclose([low, high], [values.min(), values.max()])


def test_bounds_of_a_field():
    """A field of stiffnesses has a bound at each point."""
    field = np.stack([PO, 2 * PO, 5 * PO], axis=-1)
    low, high = stiffness_bounds(field, PO)
    np.testing.assert_allclose(low, [1, 2, 5])
    np.testing.assert_allclose(high, [1, 2, 5])
    assert kelvin_eigenvalues(field).shape == (6, 3)


def test_reference_that_is_not_definite_is_refused():
    """A reference with a negative eigenvalue is refused."""
    with pytest.raises(ValueError, match="not positive definite .smallest eigenvalue -1 MPa"):
        stiffness_bounds(PO, np.diag([1.0, 1, 1, 1, 1, -1]))


def test_isotropic_mean_is_the_mean_over_directions():
    """The mean of many turned stiffnesses tends to the isotropic mean."""
    draw, total = np.random.default_rng(30011), np.zeros((6, 6))
    number = 4000
    for vector in draw.normal(size=(number, 4)):
        w, x, y, z = vector / np.linalg.norm(vector)  # a random unit quaternion: no direction
        R = np.array([
            [1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y)],
            [2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x)],
            [2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)],
        ])  # fmt: skip
        total += rotate_stiffness(PO, R) / number
    np.testing.assert_allclose(total, isotropic_mean(PO), atol=0.01 * PO.max())


def test_isotropic_stiffness_is_its_own_mean():
    """The mean of an isotropic stiffness is itself, with its own moduli."""
    C = stiffness(ElasticConstants.isotropic(E=2000, nu=0.35))
    np.testing.assert_allclose(isotropic_mean(C), C, atol=1e-9)
    bulk, shear = isotropic_moduli(C)
    np.testing.assert_allclose([bulk, shear], [2000 / (3 * 0.3), 2000 / 2.7])
