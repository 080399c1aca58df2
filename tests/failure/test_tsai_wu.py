"""Tsai-Wu: its interaction, and how it treats a material alike in the layer."""

from __future__ import annotations

import numpy as np
import pytest

from orthofem.failure import tsai_wu_index, tsai_wu_reserve
from orthofem.failure.tsai_wu import tsai_wu_parts
from orthofem.materials.strengths import Strengths

PLA = Strengths.transverse(Xt=50, Xc=70, Zt=28, Zc=65, S_in_plane=28, S_interlaminar=20)
UD = Strengths(Xt=54, Xc=70, Yt=37, Yc=60, Zt=28, Zc=65, S23=16, S13=20, S12=18)
GLUE = Strengths.isotropic(tension=25, compression=50, shear=15)


@pytest.mark.parametrize("interaction", [-0.5, 0.0, 0.5, "hoffman"])
@pytest.mark.parametrize("strengths", [PLA, UD, GLUE])
def test_quadratic_part_is_never_negative(interaction, strengths):
    """The surface is closed or open, never turned inside out."""
    stress = np.random.default_rng(33071).normal(scale=30, size=(6, 20000))
    _, quadratic = tsai_wu_parts(stress, strengths, interaction)
    assert (quadratic >= -1e-12 * np.abs(quadratic).max()).all()


def test_consistent_shear_gives_the_plain_polynomial():
    """With S12 = sqrt(Xt Xc / 3) the form for alike layers is the polynomial itself."""
    shear = np.sqrt(50 * 70 / 3)
    alike = Strengths.transverse(50, 70, 28, 65, S_in_plane=shear, S_interlaminar=20)
    plain = Strengths(50, 70, 50 * (1 + 1e-15), 70, 28, 65, 20, 20, shear)
    assert not plain.is_transverse
    stress = np.random.default_rng(29009).normal(scale=30, size=(6, 500))
    np.testing.assert_allclose(
        tsai_wu_index(stress, alike), tsai_wu_index(stress, plain), atol=1e-10
    )


def test_interaction_acts_where_both_stresses_have_one_sign():
    """A weaker interaction makes biaxial tension in the layer worse."""
    biaxial = [1, 1, 0, 0, 0, 0]
    strong, none = tsai_wu_reserve(biaxial, PLA), tsai_wu_reserve(biaxial, PLA, interaction=0.0)
    assert none < strong < 50


def test_unknown_interaction_is_refused():
    """Another word than the one known is refused with what is allowed."""
    with pytest.raises(ValueError, match="Unknown interaction 'none'.*'hoffman' or a number"):
        tsai_wu_index(np.zeros(6), PLA, interaction="none")


def test_interaction_that_opens_the_surface_is_refused():
    """A share below -0.5 is refused."""
    with pytest.raises(ValueError, match="interaction = -0.9; it must lie between -0.5 and 0.5"):
        tsai_wu_index(np.zeros(6), PLA, interaction=-0.9)


def test_hoffman_outside_its_range_is_refused():
    """Hoffman's choice loses its meaning for the same reason as Hill's form."""
    weak = Strengths.transverse(Xt=60, Xc=65, Zt=20, Zc=30, S_in_plane=28, S_interlaminar=15)
    with pytest.raises(ValueError, match="Hoffman's interaction is not positive semidefinite"):
        tsai_wu_index(np.zeros(6), weak, interaction="hoffman")
