"""Which filaments the layers hold, and the fewest changes."""

from __future__ import annotations

from itertools import permutations, product

import numpy as np
import pytest
from skfem import MeshTet

from orthofem.mesh import fewest_changes, filaments_in_layers

BLOCK = MeshTet.init_tensor(np.linspace(0, 8, 3), np.linspace(0, 4, 2), np.linspace(0, 10, 3))
UPPER = BLOCK.p[2, BLOCK.t].mean(axis=0) > 5
LEFT = BLOCK.p[0, BLOCK.t].mean(axis=0) < 4


def bands(upper):
    """Two filaments by a mask of cells."""
    return {"white": np.flatnonzero(~upper), "black": np.flatnonzero(upper)}


def test_bands_along_the_build_direction_change_once_at_each_border():
    """A band of 5 mm in layers of 0.2 mm: 25 layers of each filament, one change."""
    held = filaments_in_layers(BLOCK, bands(UPPER), np.array([0, 0, 1.0]), 0.2)
    assert held.shape == (2, 50)
    assert held.sum(axis=1).tolist() == [25, 25]
    assert not held.all(axis=0).any()
    assert fewest_changes(held) == 1


def test_bands_across_the_layers_change_in_every_layer():
    """The same two filaments side by side: every layer mixes both, one change each."""
    held = filaments_in_layers(BLOCK, bands(LEFT), np.array([0, 0, 2.0]), 0.2)
    assert held.all()
    assert fewest_changes(held) == 50


def test_a_slanting_border_mixes_only_where_it_passes():
    """Printed on an edge, layers hold both filaments only between the border's two heights."""
    up = np.array([1.0, 0, 1]) / np.sqrt(2)
    held = filaments_in_layers(BLOCK, bands(UPPER), up, 0.1)
    both = np.flatnonzero(held.all(axis=0)) * 0.1
    assert both[0] == pytest.approx(5 / np.sqrt(2), abs=0.1)
    assert both[-1] == pytest.approx(13 / np.sqrt(2), abs=0.1)


def test_the_number_of_changes_is_the_least_of_all_orders():
    """Against every order of the filaments in every layer, on random small prints."""
    rng = np.random.default_rng(41_200_873)
    for _ in range(60):
        held = rng.random((3, 5)) < 0.5
        layers = [np.flatnonzero(layer) for layer in held.T if layer.any()]
        if not layers:
            continue
        ways = product(*[list(permutations(layer)) for layer in layers])
        runs = ([name for layer in way for name in layer] for way in ways)
        least = min(sum(a != b for a, b in zip(run, run[1:], strict=False)) for run in runs)
        assert fewest_changes(held) == least


def test_one_filament_is_never_changed():
    """A print of one filament needs no change."""
    assert fewest_changes(np.ones((1, 9), bool)) == 0


def test_a_layer_without_thickness_is_refused():
    """The layer must be above zero."""
    with pytest.raises(ValueError, match="layer = 0 mm; it must be above zero"):
        filaments_in_layers(BLOCK, bands(UPPER), np.array([0, 0, 1.0]), 0.0)
