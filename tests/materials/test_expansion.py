"""Free thermal strain follows the print frame."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from orthofem.errors import ModelError
from orthofem.materials import PrintFrame, expanding, free_strain, load, names

THREE = replace(load("pla_ud_f"), expansion=(2e-5, 7e-5, 1e-4))
TWO = replace(load("pla"), expansion=(6e-5, 6e-5, 1e-4))


def length_change(strain, direction):
    """Relative change of length along a direction."""
    d = np.asarray(direction, float) / np.linalg.norm(direction)
    tensor = np.array(
        [
            [strain[0], strain[5] / 2, strain[4] / 2],
            [strain[5] / 2, strain[1], strain[3] / 2],
            [strain[4] / 2, strain[3] / 2, strain[2]],
        ]
    )
    return d @ tensor @ d


def test_each_print_axis_stretches_by_its_own_expansion():
    """However the print is turned, bead, across and build stretch by their own numbers."""
    frame = PrintFrame(build=(1, 2, 3), bead=(1, 0, -1))
    strain = free_strain(THREE, frame, 10.0)
    axes = frame.axes()
    found = [length_change(strain, axes[:, k]) for k in range(3)]
    np.testing.assert_allclose(found, [2e-4, 7e-4, 1e-3], rtol=1e-12)
    assert strain[:3].sum() == pytest.approx(1.9e-3)  # the volume does not care for the frame


def test_cooling_shrinks():
    """Cooling is warming with the other sign."""
    frame = PrintFrame(build=(1, 0, 0))
    np.testing.assert_allclose(free_strain(TWO, frame, -5.0), -free_strain(TWO, frame, 5.0))


def test_around_turns_with_the_point():
    """Wound beads: hoop and radius stretch by their own numbers at every point."""
    frame = PrintFrame(build=(1, 0, 0), beads="around")
    angle = np.linspace(0, 2 * np.pi, 9)
    points = np.stack([0 * angle, 5 * np.cos(angle), 5 * np.sin(angle)])
    strain = free_strain(THREE, frame, 10.0, points)
    assert strain.shape == (6, 9)
    for k, a in enumerate(angle):
        assert length_change(strain[:, k], (0, -np.sin(a), np.cos(a))) == pytest.approx(2e-4)
        assert length_change(strain[:, k], (0, np.cos(a), np.sin(a))) == pytest.approx(7e-4)


def test_beads_do_not_matter_where_the_layer_is_alike():
    """With one expansion in the layer, all bead layouts give the same constant strain."""
    frames = [PrintFrame(build=(0, 1, 0), beads=b) for b in ("along", "around", "alternating")]
    strains = [free_strain(TWO, frame, 1.0) for frame in frames]
    for strain in strains:
        np.testing.assert_allclose(strain, [6e-5, 1e-4, 6e-5, 0, 0, 0], atol=1e-18)


def test_points_are_needed_only_where_the_strain_turns():
    """Wound beads without points are refused."""
    with pytest.raises(ValueError, match="give points"):
        free_strain(THREE, PrintFrame(beads="around"), 1.0)


def test_crossed_layers_that_pull_on_each_other_are_refused():
    """Alternating beads with two expansions in the layer have stress that no mean tells."""
    with pytest.raises(ModelError, match="then strain each other"):
        free_strain(THREE, PrintFrame(beads="alternating"), 1.0)


@pytest.mark.parametrize("key", [key for key in names() if key not in expanding()])
def test_missing_expansion_says_who_has_it(key):
    """No expansion is an error that names the axes and the materials that have it."""
    with pytest.raises(ValueError, match=r"no thermal expansion along axis .*steel"):
        free_strain(load(key), PrintFrame(), 1.0)


def test_expanding_names_complete_sets_only():
    """Sets with an expansion along some axes only are not on the list."""
    assert "pa_cf" not in expanding()
    assert {"steel", "aluminium", "pa_dry"} <= set(expanding())


def test_warming_is_a_number():
    """NaN is refused."""
    with pytest.raises(ValueError, match="warming is nan"):
        free_strain(load("steel"), PrintFrame(), np.nan)
