"""The governing mode of pure and mixed stresses."""

from __future__ import annotations

import numpy as np
import pytest

from orthofem.failure import MODES, governing_mode, utilisation
from orthofem.materials.strengths import Strengths

PLA = Strengths.transverse(Xt=50, Xc=70, Zt=28, Zc=65, S_in_plane=28, S_interlaminar=20)
UD = Strengths(Xt=54, Xc=70, Yt=37, Yc=60, Zt=28, Zc=65, S23=16, S13=20, S12=18)
GLUE = Strengths.isotropic(tension=25, compression=50, shear=15)


@pytest.mark.parametrize("strengths", [PLA, UD])
@pytest.mark.parametrize(
    ("component", "value", "mode"),
    [
        (2, 1.0, "layers part"),
        (3, 1.0, "layers slide"),
        (3, -1.0, "layers slide"),
        (4, 1.0, "layers slide"),
        (0, 1.0, "bead breaks along"),
        (5, 1.0, "beads part in the layer"),
        (5, -1.0, "beads part in the layer"),
        (0, -1.0, "crushing"),
        (1, -1.0, "crushing"),
        (2, -1.0, "crushing"),
    ],
)
def test_mode_of_pure_stress(strengths, component, value, mode):
    """A stress along one axis, or pure shear, breaks the print in its own way."""
    stress = np.zeros(6)
    stress[component] = value
    assert MODES[governing_mode(stress, strengths)] == mode


def test_tension_across_beads_parts_them_only_where_there_are_beads():
    """Across the bead the beads part; a material alike in the layer breaks in it by tension."""
    across = [0, 1, 0, 0, 0, 0]
    assert MODES[governing_mode(across, UD)] == "beads part in the layer"
    assert MODES[governing_mode(across, PLA)] == "bead breaks along"


def test_weakest_share_governs_not_the_largest_stress():
    """A small stress across the layers governs over a larger one along the bead."""
    assert MODES[governing_mode([30, 0, 20, 0, 0, 0], PLA)] == "layers part"
    assert MODES[governing_mode([40, 0, 20, 0, 0, 0], PLA)] == "bead breaks along"


@pytest.mark.parametrize(
    ("stress", "mode"),
    [
        ([0, 0, 10, 0, 0, 0], "material breaks"),
        ([0, 0, 0, 0, 10, 0], "material breaks"),
        ([0, -10, 0, 0, 0, 0], "material breaks"),
    ],
)
def test_material_without_layers_has_no_layer_modes(stress, mode):
    """A material alike in all directions breaks or is crushed; no layer parts."""
    assert MODES[governing_mode(stress, GLUE)] == mode


def test_choice_can_be_narrowed():
    """A criterion that sees the layer bond alone is told of the bond alone."""
    stress = [45, 0, 14, 0, 15, 0]
    assert MODES[governing_mode(stress, PLA)] == "bead breaks along"
    assert MODES[governing_mode(stress, PLA, among=(0, 1))] == "layers slide"


def test_narrowed_choice_needs_only_its_strengths():
    """The layer modes can be told apart without a value for compression."""
    nan = np.nan
    soft = Strengths(28, np.inf, 28, np.inf, 16, nan, 11, 11, 16)
    assert MODES[governing_mode([0, 0, 8, 0, 0, 0], soft, among=(0, 1))] == "layers part"
    with pytest.raises(ValueError, match="The governing mode needs Zc"):
        governing_mode([0, 0, 8, 0, 0, 0], soft)


def test_shares_are_component_over_strength():
    """Each share is the stress over its strength by sign."""
    used = utilisation([27, -30, 14, 4, -10, 9], UD)
    np.testing.assert_allclose(used, [0.5, 0.5, 0.5, 0.5, 0.5, 0.0])


def test_shares_need_all_strengths():
    """A strength without a value is named."""
    with pytest.raises(ValueError, match="The share of strength used needs Xc"):
        utilisation(np.zeros(6), Strengths(54, np.nan, 37, 60, 28, 65, 16, 20, 18))
