"""Stacks of layers: the mean stiffness is exact, and the layer stresses add up to the mean."""

import numpy as np
import pytest

from orthofem.materials import layer_stresses, load, stack_stiffness, turned_layers
from orthofem.tensors import stiffness

LAYERS = turned_layers(stiffness(load("pla_cf15_ud_f").constants), (0.0, 35.0, -60.0))
SHARES = np.array([0.5, 0.3, 0.2])


def test_layer_stresses_average_to_the_mean():
    """Layer stresses weighted by thickness give back the mean stress, for any mean stress."""
    stress = np.random.default_rng(918273645).normal(size=(6, 7))
    layers = layer_stresses(stress, LAYERS, SHARES)
    assert layers.shape == (3, 6, 7)
    np.testing.assert_allclose(np.tensordot(SHARES, layers, 1), stress, atol=1e-12)


def test_layers_share_strain_in_the_layer_and_stress_across():
    """All layers have the same strains 11, 22, 12 and the same stresses 33, 23, 13."""
    stress = np.array([3.0, -1.0, 2.0, 0.5, -0.7, 1.1])
    layers = layer_stresses(stress, LAYERS, SHARES)
    strains = np.stack([np.linalg.solve(LAYERS[..., k], layers[k]) for k in range(3)])
    np.testing.assert_allclose(strains[:, [0, 1, 5]] - strains[0, [0, 1, 5]], 0, atol=1e-15)
    np.testing.assert_allclose(layers[:, [2, 3, 4]], np.tile(stress[[2, 3, 4]], (3, 1)))


def test_order_and_splitting_of_layers_do_not_matter():
    """The mean stiffness does not depend on the order of layers or on splitting one in two."""
    C = stack_stiffness(LAYERS, SHARES)
    np.testing.assert_allclose(stack_stiffness(LAYERS[..., ::-1], SHARES[::-1]), C, rtol=1e-12)
    split = np.concatenate([LAYERS, LAYERS[..., :1]], axis=-1)
    shares = [0.25, 0.3, 0.2, 0.25]
    np.testing.assert_allclose(stack_stiffness(split, shares), C, rtol=1e-11, atol=1e-9)


def test_bad_stacks():
    """Wrong shapes and shares that do not add up are refused."""
    with pytest.raises(ValueError, match=r"stiffnesses have shape \(6, 6\)"):
        stack_stiffness(np.eye(6))
    with pytest.raises(ValueError, match="give 3 shares above zero that add up to 1"):
        stack_stiffness(LAYERS, [0.5, 0.4, 0.3])
    with pytest.raises(ValueError, match="give 3 shares"):
        stack_stiffness(LAYERS, [0.5, 0.5])
