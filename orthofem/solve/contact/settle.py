"""Find which points of the interfaces press, which slide and which are open."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from orthofem.errors import ModelError

from .energy import Loaded, Problem
from .factor import LastFactor
from .newton import State, linear_step, newton, polished

STEPS = 200
ROUNDS = 80
"""Most rounds of the bound on friction."""
BOUND = 1e-4
"""Relative change of the friction bound, summed over the points, at which it counts as found."""
AUGMENTED = 10
"""Most rounds in which overlap is turned into pressure."""
OVERLAP = 1e-4
"""Share of the work that may be lost in overlap. [-]"""
LEFT_OVER = 1e-7
"""Share of the forces that the weak springs on loose motions may carry in the end. [-]"""


@dataclass(frozen=True)
class Settled:
    """Where the active set ended.

    Parameters
    ----------
    state : State
    pressing : ndarray of shape (n_points,)
        Force of each point along its normal, zero where open. [N]
    rubbing : ndarray of shape (2, n_rubbing)
        Force of friction on the second piece. [N]
    steps : int
        Steps of the active set.
    weak : ndarray of shape (n,) or None
        Forces of weak springs that hold a piece that came off; None if none did. [N]
    """

    state: State
    pressing: np.ndarray
    rubbing: np.ndarray
    steps: int
    weak: np.ndarray | None = None

    @property
    def unknowns(self) -> np.ndarray:
        """Relative displacements, (n,). [mm]."""
        return self.state.unknowns

    def scaled(self, factor: float) -> Settled:
        """The state under a load times a factor above zero, where states scale."""
        return replace(
            self,
            state=replace(self.state, unknowns=factor * self.unknowns),
            pressing=factor * self.pressing,
            rubbing=factor * self.rubbing,
            steps=0,
        )


def settle(
    problem: Problem,
    forces: np.ndarray,
    start: Settled | None = None,
    last: LastFactor | None = None,
    steps: int = STEPS,
) -> Settled:
    """Semi-smooth Newton steps until no point changes, then overlap turned into pressure.

    Friction's bound follows from the pressure of the round before, until it settles.

    Parameters
    ----------
    problem : Problem
    forces : ndarray of shape (n,)
        On the relative displacements. [N]
    start : Settled, optional
        Where a similar load ended; else every point starts closed.
    last : LastFactor, optional
        Keeps the factor between calls.
    steps : int, optional
        Most steps, for each round.

    Raises
    ------
    ModelError
        If points still change after the last step, or friction does not settle.
    """
    last = LastFactor() if last is None else last
    n_rubbing = len(problem.rubbing)
    state = None if start is None else start.state
    if not n_rubbing:
        return _augmented(problem, forces, np.zeros(0), state, last, steps)
    bound = np.full(n_rubbing, np.inf) if start is None else _bound(problem, start.pressing)
    total, change = 0, np.inf
    for _ in range(ROUNDS):
        found = _augmented(problem, forces, bound, state, last, steps)
        total, state = total + found.steps, found.state
        new = _bound(problem, found.pressing)
        change = np.abs(new - bound).sum() / max(new.sum(), 1e-300)
        if change <= BOUND or not new.any() and not bound.any():
            return replace(found, steps=total)
        bound = new
    raise ModelError(
        f"Friction did not settle: after {ROUNDS} rounds the bound on it still changes by "
        f"{change:.1e} of itself (wanted {BOUND:g}). Lower the coefficient of friction, or use "
        "smaller elements on the interface."
    )


def all_closed(
    problem: Problem, forces: np.ndarray, last: LastFactor
) -> list[Settled] | list[None]:
    """Where to start for each load (n, n_loads): every point closed, as if bonded.

    One factor serves all loads. None where friction has a say.
    """
    if len(problem.rubbing):
        return [None] * forces.shape[1]
    nothing = np.zeros(len(problem.clearance))
    closed, sliding = np.ones(len(nothing), dtype=bool), np.zeros(0, dtype=bool)
    found = []
    for force in forces.T:
        loaded = Loaded(problem, force, np.zeros(0), nothing, np.zeros(problem.weak.shape[1]))
        w = linear_step(loaded, closed, sliding, problem.slip(np.zeros(len(force))), last)
        state = State(w, loaded.opening(w) < 0, sliding, 0)
        found.append(Settled(state, nothing, np.zeros((2, 0)), 0))
    return found


def _bound(problem: Problem, pressing: np.ndarray) -> np.ndarray:
    return problem.friction * pressing[problem.rubbing]


def _augmented(problem, forces, bound, state, last, steps) -> Settled:
    """Settle, then turn overlap into pressure, and so on.

    The weak springs are let go in each round. Rounds may change points until overlap holds next
    to no energy. Later ones, which only clear away rounding, may not: at the rim of a contact
    more points than unknowns press, and their pressures would creep.
    """
    loaded = Loaded(
        problem, forces, bound, np.zeros(len(problem.clearance)),
        np.zeros(problem.weak.shape[1]),
    )  # fmt: skip
    state = newton(loaded, state, last, steps)
    total = state.steps
    for _ in range(AUGMENTED):
        w = state.unknowns
        more = replace(
            loaded,
            shift=loaded.pressing(w) / problem.press_stiffness,
            anchor=problem.weak.T @ w,
        )
        if _share(more, w) > OVERLAP or _left_over(loaded, w) > LEFT_OVER:
            loaded, state = more, newton(more, state, last, steps)
            total += state.steps
            continue
        better = polished(more, state, last)
        if better is None:
            break
        loaded, state = more, better
    w = state.unknowns
    weak = loaded.weakly_held(w) if _left_over(loaded, w) > LEFT_OVER else None
    return Settled(state, loaded.pressing(w), loaded.rubbing(w), total, weak)


def _left_over(loaded: Loaded, unknowns: np.ndarray) -> float:
    """What the weak springs carry, over all that acts. [-]."""
    pressing = loaded.problem.press.T @ loaded.pressing(unknowns)
    acting = np.linalg.norm(loaded.forces) + np.linalg.norm(pressing)
    return float(np.linalg.norm(loaded.weakly_held(unknowns)) / acting) if acting else 0.0


def _share(loaded: Loaded, unknowns: np.ndarray) -> float:
    """Work of pressure on what overlaps, over the work of all that presses and pulls."""
    problem = loaded.problem
    opening = problem.press @ unknowns + problem.clearance
    pressing = problem.press_stiffness * loaded.shift
    lost = pressing @ np.abs(opening)
    done = 0.5 * abs(unknowns @ loaded.forces) + pressing @ np.abs(problem.clearance)
    return float(lost / done) if done else 0.0
