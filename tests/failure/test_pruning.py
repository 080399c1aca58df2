"""Pruning drops no place that could be the worst one."""

from __future__ import annotations

import numpy as np
import pytest

from orthofem import materials
from orthofem.failure import CRITERIA, largest_demand, stress_sizes, unit_sizes
from orthofem.tensors import frame, to_print_axes

USED = (CRITERIA["tsai_hill"], CRITERIA["layers"])


@pytest.mark.parametrize("name", ["pla", "pla_silk", "pa_cf", "petg", "steel"])
def test_limit_holds_for_stresses_never_sampled(name):
    """No random stress of unit size demands more than the limit, and some demand half of it."""
    strengths = materials.load(name).strengths
    used = USED[:1] if strengths.is_isotropic else USED
    rng = np.random.default_rng(90_772_031)
    stress = rng.standard_normal((6, 200_000))
    size = stress_sizes(stress[:, :, None], [[1.0]])[:, 0]
    demand = 1 / np.stack([c.reserve(stress / size, strengths) for c in used]).min(axis=0)
    limit = largest_demand(strengths, used)
    assert 0.5 * limit < demand.max() <= limit


def test_size_is_the_same_in_all_axes():
    """Turning the stress leaves its size as it is."""
    rng = np.random.default_rng(71)
    unit, loads = rng.standard_normal((6, 40, 3)), rng.standard_normal((3, 7))
    turned = to_print_axes(unit, frame((1.0, 2.0, -0.5)))
    np.testing.assert_allclose(stress_sizes(turned, loads), stress_sizes(unit, loads), rtol=1e-12)


def test_unit_sizes_bound_every_combination():
    """Sizes of units times largest shares, summed, are reached by none and near for one unit."""
    rng = np.random.default_rng(72)
    unit, loads = rng.standard_normal((6, 40, 3)), rng.standard_normal((3, 7))
    reach = unit_sizes(unit) @ np.abs(loads).max(axis=1)
    assert (stress_sizes(unit, loads).max(axis=1) <= reach).all()
    alone = np.array([[2.0], [0.0], [0.0]])
    np.testing.assert_allclose(stress_sizes(unit, alone)[:, 0], 2 * unit_sizes(unit)[:, 0])
