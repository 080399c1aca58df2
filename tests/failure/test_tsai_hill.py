"""Tsai-Hill in three dimensions: how it treats a material alike in the layer."""

from __future__ import annotations

import numpy as np

from orthofem.failure import layers_index, tsai_hill_index, tsai_hill_reserve
from orthofem.materials.strengths import Strengths

PLA = Strengths.transverse(Xt=50, Xc=70, Zt=28, Zc=65, S_in_plane=28, S_interlaminar=20)


def test_equal_biaxial_tension_in_the_layer_fails_at_the_tension_strength():
    """Two equal tensions in the layer fail at Xt, and do not act on the layer bond."""
    assert tsai_hill_index([50, 50, 0, 0, 0, 0], PLA) == 1.0
    assert tsai_hill_index([-70, -70, 0, 0, 0, 0], PLA) == 1.0


def test_tension_with_compression_is_worse_than_either():
    """Opposite stresses in the layer use up more than their squares."""
    both = tsai_hill_index([25, -35, 0, 0, 0, 0], PLA)
    assert both > 0.25 + 0.25
    np.testing.assert_allclose(
        both, 0.5 + 25 * 35 * (1 / 28**2 - 1 / 50**2 - 1 / 70**2), rtol=1e-12
    )


def test_shear_strength_above_the_tension_strength_is_not_used():
    """Pure shear is tension at 45 degrees, so S12 above Xt or Xc counts as the smaller."""
    strong = Strengths.transverse(50, 70, 28, 65, S_in_plane=90, S_interlaminar=20)
    never = Strengths.transverse(50, 70, 28, 65, S_in_plane=np.inf, S_interlaminar=20)
    for strengths in (strong, never):
        np.testing.assert_allclose(tsai_hill_reserve([0, 0, 0, 0, 0, 1], strengths), 50.0)
        draw = np.random.default_rng(60031).normal(scale=40, size=(6, 5000))
        assert (tsai_hill_index(draw, strengths) > 0).all()


def test_triaxial_tension_is_seen():
    """Equal triaxial tension, invisible to the coupled form, has an index."""
    assert tsai_hill_index([20, 20, 20, 0, 0, 0], PLA) > 0.5


def test_tension_across_layers_alone_agrees_with_the_interlayer_index():
    """Without stress in the layer and with tension across it, both indices are the same."""
    stress = np.random.default_rng(80117).normal(scale=10, size=(6, 200))
    stress[[0, 1, 5]] = 0.0
    stress[2] = np.abs(stress[2])
    np.testing.assert_allclose(tsai_hill_index(stress, PLA), layers_index(stress, PLA))


def test_index_is_at_least_the_interlayer_index():
    """The uncoupled form never gives less than the interlayer criterion."""
    stress = np.random.default_rng(21401).normal(scale=30, size=(6, 20000))
    assert (tsai_hill_index(stress, PLA) >= layers_index(stress, PLA)).all()


def test_material_that_does_not_fail_in_compression():
    """An infinite compressive strength leaves tension and shear alone."""
    rubber = Strengths.transverse(28, np.inf, 16, np.inf, S_in_plane=16, S_interlaminar=11)
    stress = np.diag([-500.0, 28, -500, 11, 11, 16])
    np.testing.assert_allclose(tsai_hill_index(stress, rubber), [0, 1, 0, 1, 1, 1])


def test_bead_direction_matters_where_the_strengths_differ():
    """Strengths that differ in the layer are read along and across the bead."""
    ud = Strengths(Xt=54, Xc=70, Yt=37, Yc=60, Zt=28, Zc=65, S23=16, S13=20, S12=18)
    along, across = np.diag([37.0, 37, 0, 0, 0, 0])[:, :2].T
    assert tsai_hill_index(along, ud) < 0.5
    assert tsai_hill_index(across, ud) == 1.0


def test_interaction_in_the_layer_stays_below_von_mises():
    """However far apart the strengths, tension on both axes keeps three quarters of the larger."""
    for strengths in (
        Strengths(Xt=54, Xc=70, Yt=37, Yc=60, Zt=28, Zc=65, S23=16, S13=20, S12=18),
        Strengths(Xt=20, Xc=30, Yt=90, Yc=200, Zt=28, Zc=65, S23=16, S13=20, S12=18),
    ):
        stress = np.random.default_rng(4409).normal(scale=30, size=(6, 20000))
        X = np.where(stress[0] > 0, strengths.Xt, strengths.Xc)
        Y = np.where(stress[1] > 0, strengths.Yt, strengths.Yc)
        largest = np.maximum(np.abs(stress[0]) / X, np.abs(stress[1]) / Y) ** 2
        assert (tsai_hill_index(stress, strengths) >= 0.75 * largest).all()
