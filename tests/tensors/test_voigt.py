"""Six components and tensors."""

from __future__ import annotations

import numpy as np
import pytest

from orthofem.tensors import (
    ORDER,
    strain_components,
    strain_tensor,
    stress_components,
    stress_tensor,
)


def test_order_is_that_of_the_components():
    """Component n of a stress is the tensor entry named by ORDER[n]."""
    stress = np.arange(1.0, 7.0)
    tensor = stress_tensor(stress)
    for value, (i, j) in zip(stress, ORDER, strict=True):
        assert tensor[int(i) - 1, int(j) - 1] == value
    np.testing.assert_array_equal(tensor, tensor.T)


@pytest.mark.parametrize(
    ("there", "back"), [(stress_tensor, stress_components), (strain_tensor, strain_components)]
)
@pytest.mark.parametrize("shape", [(6,), (6, 5), (6, 2, 3)])
def test_round_trip(there, back, shape):
    """Components to tensor and back are the same, for one point and many."""
    values = np.random.default_rng(20431).normal(size=shape)
    tensor = there(values)
    assert tensor.shape == (3, 3, *shape[1:])
    np.testing.assert_array_equal(back(tensor), values)


def test_work_is_the_same_in_components_and_tensors():
    """Stress times strain is the same number either way, so shears are angles."""
    draw = np.random.default_rng(90173)
    stress, strain = draw.normal(size=6), draw.normal(size=6)
    work = np.sum(stress_tensor(stress) * strain_tensor(strain))
    np.testing.assert_allclose(stress @ strain, work)


def test_components_are_not_shared_with_the_input():
    """Changing what comes out does not change what went in."""
    strain = np.ones((6, 2))
    strain_tensor(strain)[0, 1] = 7.0
    assert (strain == 1.0).all()
    tensor = np.ones((3, 3))
    strain_components(tensor)
    assert (tensor == 1.0).all()


@pytest.mark.parametrize("shape", [(), (3,), (5, 6)])
def test_wrong_component_axis_is_refused(shape):
    """Anything but six components first is refused, with the shape given."""
    with pytest.raises(ValueError, match=r"stress has shape .*six components"):
        stress_tensor(np.zeros(shape))
    with pytest.raises(ValueError, match=r"strain has shape .*six components"):
        strain_tensor(np.zeros(shape))


def test_wrong_tensor_axes_are_refused():
    """Anything but 3 x 3 first is refused, with the shape given."""
    with pytest.raises(ValueError, match=r"stress tensor has shape \(3,\); it must be \(3, 3\)"):
        stress_components(np.zeros(3))
    with pytest.raises(ValueError, match=r"strain tensor has shape \(2, 3, 3\)"):
        strain_components(np.zeros((2, 3, 3)))
