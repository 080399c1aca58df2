"""Facts of the convergence figure."""

from __future__ import annotations

import numpy as np
import pytest

from orthofem.figures import Convergence, convergence

ONE = {
    "options": ("a",),
    "unknowns": (np.array([1e4, 3e4]),),
    "raw": (np.array([1.5, 1.2]),),
    "averaged": (np.array([2.0, 2.1]),),
    "limit": np.array([2.2]),
    "uncertainty": np.array([0.05]),
}


def test_the_band_is_what_is_left_open():
    """The band round the last value spans it times one minus and plus the uncertainty."""
    axes = convergence(Convergence(**ONE)).axes[0]
    (band,) = axes.collections
    heights = band.get_paths()[0].vertices[:, 1]
    assert (heights.min(), heights.max()) == pytest.approx((2.1 * 0.95, 2.1 * 1.05))


def test_what_is_not_known_is_not_drawn():
    """Without uncertainty and limit there is no band and no mark."""
    open_ = {**ONE, "limit": np.array([np.nan]), "uncertainty": np.array([np.nan])}
    axes = convergence(Convergence(**open_)).axes[0]
    assert not axes.collections
    assert len(axes.lines) == 2


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"raw": ()}, "raw has 0 entries"),
        ({"unknowns": (np.array([3e4, 1e4]),)}, "coarse to fine"),
        ({"averaged": (np.array([2.0]),)}, "one averaged value for each mesh"),
    ],
)
def test_data_that_do_not_fit_are_refused(change, message):
    """Missing options, meshes the wrong way round and missing values have their messages."""
    with pytest.raises(ValueError, match=message):
        Convergence(**{**ONE, **change})
