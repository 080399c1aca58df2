"""Pruning drops no place that could be the worst one."""

from __future__ import annotations

import numpy as np
import pytest

from orthofem import materials
from orthofem.failure import CRITERIA, demand_limits, evaluate, may_govern

USED = (CRITERIA["tsai_hill"], CRITERIA["layers"])


@pytest.mark.parametrize("name", ["pla", "pla_silk", "pa_cf", "petg", "steel"])
def test_limits_hold_for_stresses_never_sampled(name):
    """The demand of random stresses of unit size lies between the limits."""
    strengths = materials.load(name).strengths
    used = USED[:1] if strengths.is_isotropic else USED
    low, high = demand_limits(strengths, used)
    rng = np.random.default_rng(90_772_031)
    stress = rng.standard_normal((6, 200_000))
    size = np.sqrt((stress[:3] ** 2).sum(axis=0) + 2 * (stress[3:] ** 2).sum(axis=0))
    demand = 1 / np.stack([c.reserve(stress / size, strengths) for c in used]).min(axis=0)
    assert low <= demand.min()
    assert demand.max() <= high


def test_pruned_search_finds_what_the_full_one_finds():
    """Over many loads the lowest reserve is the same with and without pruning; most is pruned."""
    rng = np.random.default_rng(15_553_001)
    spread = np.exp(rng.normal(0, 1.5, size=400))[None, :, None]
    unit = rng.standard_normal((6, 400, 6)) * spread
    loads = rng.standard_normal((6, 50))
    strengths = materials.load("pla").strengths
    mask = may_govern([unit], loads, [demand_limits(strengths, USED)])[0]
    assert mask.mean() < 0.5
    for criterion in USED[:1]:
        full = evaluate(unit, loads, strengths, criterion).reserve
        pruned = evaluate(unit[:, mask], loads, strengths, criterion).reserve
        assert pruned == pytest.approx(full, rel=1e-12)
