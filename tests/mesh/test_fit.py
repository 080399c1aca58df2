"""Whether a piece fits a printer, its bed turned and the piece turned."""

from __future__ import annotations

import numpy as np
import pytest

from orthofem.mesh import bed_fit, best_way_up
from orthofem.tensors import rotation

X, Z = np.eye(3)[0][:, None], np.eye(3)[2][:, None]


def box(*size):
    """Corners of a box."""
    return np.indices((2, 2, 2)).reshape(3, 8) * np.array(size, float)[:, None]


def test_a_box_lies_along_the_bed_however_it_was_turned():
    """A box of 100 by 40 mm takes 100 by 40 of a bed of 120 by 48, whatever its turn was."""
    for turn in (0.0, 17.0, 90.0, 233.0):
        turned = rotation("z", turn) @ box(100, 40, 10)
        fit = bed_fit(turned, Z, 120.0, 48.0)
        assert fit.sides[:, 0] == pytest.approx([100, 40])
        assert fit.share[0] == pytest.approx(100 / 120)


def test_a_long_thin_box_fits_across_the_corners():
    """A strip b wide and l long turned by 45 degrees takes (l + b) / sqrt 2 of each side."""
    fit = bed_fit(box(280, 6, 5), Z, 210.0, 210.0)
    assert fit.share[0] == pytest.approx((280 + 6) / np.sqrt(2) / 210)
    assert fit.share[0] < 1 < 280 / 210


def test_the_best_turn_is_no_worse_than_any_tried():
    """Of random bodies no turn out of a thousand takes less of the bed than the one found."""
    rng = np.random.default_rng(90_233_417)
    for _ in range(20):
        points = rng.normal(size=(3, 30)) * rng.uniform(5, 60, size=(3, 1))
        bed = rng.uniform(30, 120, size=2)
        fit = bed_fit(points, Z, *bed)
        turns = np.radians(np.linspace(0, 180, 1000))
        along = np.stack([np.cos(turns), np.sin(turns)], axis=1) @ points[:2]
        across = np.stack([-np.sin(turns), np.cos(turns)], axis=1) @ points[:2]
        tried = np.maximum(np.ptp(along, axis=1) / bed[0], np.ptp(across, axis=1) / bed[1])
        assert fit.share[0] <= tried.min() + 1e-9
        assert fit.share[0] == pytest.approx(tried.min(), rel=0.01)
        assert (fit.sides[:, 0] / bed).max() == pytest.approx(fit.share[0])


def test_a_rod_stands_along_the_diagonal_of_the_room():
    """The best way up of a thin rod is the diagonal of a cube, where it takes l / (s sqrt 3)."""
    way, share = best_way_up(box(150, 0.1, 0.1), 100.0, 100.0, 100.0)
    assert share == pytest.approx(150 / 100 / np.sqrt(3), rel=0.01)
    assert abs(way[0]) == pytest.approx(1 / np.sqrt(3), rel=0.05)


def test_what_fits_no_way_up_is_found_out():
    """A cube of 100 mm takes 1.25 times a room of 80 mm at best, flat on the bed."""
    _, share = best_way_up(box(100, 100, 100), 80.0, 80.0, 80.0)
    assert share == pytest.approx(1.25, rel=1e-3)


def test_a_bed_without_width_is_refused():
    """Width, depth and height must be above zero."""
    with pytest.raises(ValueError, match="width = 0 mm; it must be above zero"):
        bed_fit(box(1, 1, 1), X, 0.0, 10.0)
    with pytest.raises(ValueError, match="height = -1 mm; it must be above zero"):
        best_way_up(box(1, 1, 1), 1.0, 10.0, -1.0)
    with pytest.raises(ValueError, match=r"Direction 0 is \(0, 0, 0\)"):
        bed_fit(box(1, 1, 1), 0 * X, 5.0, 10.0)
