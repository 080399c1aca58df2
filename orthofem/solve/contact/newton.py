"""Semi-smooth Newton steps: a linear system for each guess of what is open, closed and sliding."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from orthofem.errors import ModelError

from .energy import Loaded
from .factor import LastFactor

NOISE = 1e-9
"""Share of the largest opening below which a point counts as neither open nor closed."""
BALANCED = 1e-8
"""Forces that are left, over those that balance. [-]"""


@dataclass(frozen=True)
class State:
    """Where the steps ended.

    Parameters
    ----------
    unknowns : ndarray of shape (n,)
        Relative displacements. [mm]
    closed : ndarray of bool, shape (n_points,)
    sliding : ndarray of bool, shape (n_rubbing,)
    steps : int
    """

    unknowns: np.ndarray
    closed: np.ndarray
    sliding: np.ndarray
    steps: int


def newton(loaded: Loaded, start: State | None, last: LastFactor, steps: int) -> State:
    """Step until no point changes.

    The energy is convex, piecewise quadratic without friction, and each step goes to its least
    value along the way: the steps cannot cycle.

    Raises
    ------
    ModelError
        If points still change after the last step.
    """
    problem, bound = loaded.problem, loaded.bound
    stiff = problem.rubbing_stiffness
    if start is None:
        w, closed = np.zeros(len(loaded.forces)), np.ones(len(loaded.shift), dtype=bool)
        sliding = np.zeros(len(bound), dtype=bool)
    else:
        w, closed = start.unknowns, start.closed
        sliding = stiff * np.hypot(*problem.slip(w)) > bound
    for step in range(1, steps + 1):
        new = linear_step(loaded, closed, sliding, problem.slip(w), last)
        first = step == 1 and start is None
        length = 1.0 if first else loaded.least_along(w, new - w)
        w = new if length == 1.0 else w + length * (new - w)
        now = _closed(loaded, w, closed)
        moving = stiff * np.hypot(*problem.slip(w)) > bound * (1 + 1e-12)
        changing = int((now != closed).sum() + (moving != sliding).sum())
        if length == 1.0 and not changing and _balanced(loaded, w):
            return State(w, closed, sliding, step)
        closed, sliding = now, moving
    raise ModelError(
        f"Contact did not settle in {steps} steps: {changing or 'some'} points still change "
        "between open, closed and sliding. Allow more steps, use smaller elements on the "
        "interface, or less friction."
    )


def polished(loaded: Loaded, start: State, last: LastFactor) -> State | None:
    """One step from a settled state; None where it would change a point."""
    slip = loaded.problem.slip(start.unknowns)
    w = linear_step(loaded, start.closed, start.sliding, slip, last)
    now = _closed(loaded, w, start.closed)
    moving = loaded.problem.rubbing_stiffness * np.hypot(*loaded.problem.slip(w)) > loaded.bound
    if (now != start.closed).any() or (moving != start.sliding).any() or not _balanced(loaded, w):
        return None
    return State(w, start.closed, start.sliding, start.steps)


def _closed(loaded: Loaded, w: np.ndarray, before: np.ndarray) -> np.ndarray:
    """Which points are closed; as before where rounding alone decides."""
    opening = loaded.opening(w)
    unsure = np.abs(opening) <= NOISE * np.abs(opening).max(initial=0.0)
    return np.where(unsure, before, opening < 0)


def _balanced(loaded: Loaded, w: np.ndarray) -> bool:
    if not len(loaded.bound):
        return True  # a full step without a change is exact
    size = np.linalg.norm(loaded.problem.stiffness @ w) + np.linalg.norm(loaded.right)
    return bool(np.linalg.norm(loaded.gradient(w)) <= BALANCED * size)


def linear_step(loaded: Loaded, closed, sliding, slip, last: LastFactor) -> np.ndarray:
    """Least of the quadratic energy that these states give."""
    problem = loaded.problem
    pushed = problem.press_stiffness * (loaded.shift - problem.clearance) * closed
    right = loaded.right + problem.press.T @ pushed
    if len(loaded.bound):
        size = np.hypot(*slip)
        way = slip / np.where(size > 0, size, 1.0)
        right -= problem.slide.T @ (np.where(sliding, loaded.bound, 0.0) * way).ravel()
    return last.solve(loaded, closed, sliding, slip, right)
