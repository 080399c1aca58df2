"""Extrapolation over meshes and the uncertainty that comes of it."""

from __future__ import annotations

import numpy as np
import pytest

from orthofem.study.uncertainty import CAUTION, LEAST, extrapolate, tied


def sequence(order, sizes, limit=2.0, factor=0.1):
    """Numbers that converge with an order."""
    return limit + factor * np.asarray(sizes) ** order


@pytest.mark.parametrize("order", [0.7, 1.0, 1.5, 2.0])
def test_three_meshes_find_order_and_limit(order):
    """A sequence of one order, sizes unevenly apart, is extrapolated to its limit."""
    sizes = np.array([1.0, 0.7, 0.4])
    found = extrapolate(sizes, sequence(order, sizes))
    assert found.value == pytest.approx(2.0, rel=1e-9)
    assert found.order == pytest.approx(order, rel=1e-9)
    assert found.uncertainty == pytest.approx(
        max(LEAST, CAUTION * 0.1 * 0.4**order / sequence(order, 0.4)), rel=1e-9
    )


@pytest.mark.parametrize("order", [1.0, 1.5, 2.0, 4.0])
@pytest.mark.parametrize("factor", [0.3, -0.3])
def test_two_meshes_hold_the_limit_for_every_order_from_one(order, factor):
    """The limit lies within the uncertainty of two meshes, whatever the order above one."""
    sizes = np.array([1.0, 0.7])
    values = sequence(order, sizes, factor=factor)
    found = extrapolate(sizes, values)
    assert abs(values[-1] - 2.0) <= found.uncertainty * values[-1] * (1 + 1e-9)


def test_a_higher_order_than_two_is_not_believed():
    """Order four is taken as two, so that the uncertainty stays above the true error."""
    sizes = np.array([1.0, 0.7, 0.5])
    values = sequence(4.0, sizes, factor=0.5)
    found = extrapolate(sizes, values)
    assert found.order == 2.0
    assert abs(values[-1] - 2.0) < found.uncertainty * values[-1]


@pytest.mark.parametrize(
    "values", [(2.0, 2.2, 2.1), (2.0, 2.1, 2.3), (2.0, 1.9, 1.81), (2.0, 2.0, 2.1)]
)
def test_what_does_not_converge_has_the_larger_difference(values):
    """Up and down, or ever further: no extrapolation, at least the spread of all three."""
    found = extrapolate([1.0, 0.7, 0.49], values)
    assert not found.converges
    assert found.value == values[-1]
    assert found.uncertainty >= np.ptp(values) / values[-1]


def test_no_number_is_quite_sure():
    """Equal numbers on all meshes leave the least uncertainty, never zero."""
    for n in (2, 3):
        assert extrapolate(np.arange(n, 0, -1.0), np.full(n, 1.7)).uncertainty == LEAST


def test_one_mesh_says_nothing():
    """One mesh, or a load that never breaks the part, has no uncertainty to tell."""
    assert np.isnan(extrapolate([1.0], [2.0]).uncertainty)
    assert np.isnan(extrapolate([1.0, 0.5], [np.inf, np.inf]).uncertainty)


def test_meshes_of_one_size_do_not_make_sure():
    """Meshes hardly apart, or apart the wrong way, count as a tenth apart."""
    near = extrapolate([1.0, 0.999], [2.0, 2.02])
    assert near.uncertainty == pytest.approx(0.02 / 2.02 / 0.1, rel=1e-6)
    assert extrapolate([1.0, 1.2], [2.0, 2.02]) == near


def test_ties():
    """Two numbers are tied when their ranges overlap; infinite ones when both are."""
    assert tied(1.0, 1.04, (0.02, 0.03))
    assert not tied(1.0, 1.06, (0.02, 0.03))
    assert not tied(1.0, 1.0001, (np.nan, np.nan))
    assert tied(np.inf, np.inf, (np.nan, np.nan))
    assert not tied(np.inf, 2.0, (np.nan, 0.5))


@pytest.mark.parametrize(
    ("sizes", "values", "message"),
    [
        ([], [], "one row each"),
        ([1.0], [1.0, 2.0], r"sizes \(1,\) and values \(2,\)"),
        ([1.0, 0.0], [1.0, 2.0], "smallest size is 0"),
        ([1.0, np.nan], [1.0, 2.0], "sizes is nan"),
    ],
)
def test_bad_sequences_are_refused(sizes, values, message):
    """Shapes that differ and sizes that are none have their messages."""
    with pytest.raises(ValueError, match=message):
        extrapolate(sizes, values)
