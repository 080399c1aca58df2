"""Cuts and undominated choices against looking at all of them."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from orthofem.study.planner.cuts import EVEN, Grid, best_cuts, undominated


def random_grid(seed, joints, n=9):
    """Random margins, a third of the pieces not allowed."""
    rng = np.random.default_rng(seed)
    nodes = np.concatenate([[0.0], np.sort(rng.uniform(1, 99, n)), [100.0]])
    margin = rng.uniform(0.1, 2.0, (joints, n + 2))
    pieces = rng.uniform(0.1, 2.0, (joints + 1, n + 2, n + 2))
    pieces[rng.random(pieces.shape) < 0.33] = -np.inf
    pieces[:, nodes[None] <= nodes[:, None]] = -np.inf
    return Grid(nodes, margin, pieces)


def margin_of(grid, chosen):
    """Least margin of a choice."""
    ends = [0, *chosen, len(grid.nodes) - 1]
    joints = [grid.joints[k, node] for k, node in enumerate(chosen)]
    pieces = [grid.pieces[k, a, b] for k, (a, b) in enumerate(zip(ends, ends[1:], strict=False))]
    return min(joints + pieces)


@pytest.mark.parametrize("joints", [1, 2, 3])
@pytest.mark.parametrize("seed", range(8))
def test_cuts_are_the_best_of_all(seed, joints):
    """The margin found is within the even share of that of looking at every choice."""
    grid = random_grid(seed, joints)
    inner = range(1, len(grid.nodes) - 1)
    best = max(margin_of(grid, chosen) for chosen in combinations(inner, joints))
    margin, chosen = best_cuts(grid)
    if best == -np.inf:
        assert margin == -np.inf
        assert chosen == ()
        return
    assert EVEN * best <= margin <= best
    assert margin == margin_of(grid, chosen)


def test_of_equal_cuts_the_evenest_is_taken():
    """Where all places are as strong, the pieces are of one length."""
    nodes = np.linspace(0.0, 100.0, 21)
    free = np.where(nodes[None] > nodes[:, None], 5.0, -np.inf)
    grid = Grid(nodes, np.ones((3, 21)), np.stack([free] * 4))
    margin, chosen = best_cuts(grid)
    assert margin == 1.0
    assert nodes[list(chosen)].tolist() == [25.0, 50.0, 75.0]


def test_a_piece_that_never_fits_leaves_no_cut():
    """No choice at all is told as such."""
    nodes = np.array([0.0, 50, 100])
    none = np.full((3, 3), -np.inf)
    assert best_cuts(Grid(nodes, np.ones((1, 3)), np.stack([none, none]))) == (-np.inf, ())


@pytest.mark.parametrize("seed", range(5))
def test_undominated_rows_are_those_that_none_beats(seed):
    """Without tolerance the rows kept are exactly those not beaten by another."""
    table = np.random.default_rng(seed).uniform(size=(40, 3))
    beaten = [
        any((b <= a).all() and (b < a).any() for b in table) for a in table
    ]  # fmt: skip
    assert sorted(undominated(table, (0, 0, 0))) == np.flatnonzero(~np.array(beaten)).tolist()


@pytest.mark.parametrize("seed", range(5))
def test_what_is_left_out_is_nearly_equalled(seed):
    """With a tolerance every row has a kept one no worse than twice the tolerance in any column."""
    table = np.random.default_rng(seed).uniform(size=(40, 3))
    near = np.array([0.05, 0.02, 0.1])
    kept = table[undominated(table, near)]
    for row in table:
        assert (kept <= row + 2 * near).all(axis=1).any()


def test_a_hair_more_margin_does_not_pay_for_much_more_support():
    """Of two plans alike in the first column, the one clearly better in the second is kept."""
    assert undominated([(1.0, 9.0), (1.05, 1.0)], (0.1, 0.1)) == [1]
    assert undominated([], (0.1, 0.1)) == []
