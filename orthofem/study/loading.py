"""Section resultants of one load case, and what every setting does with its load cases."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from orthofem.solve import Load, Model, Supported, UnitResponses
from orthofem.solve.supports import Support


@dataclass(frozen=True)
class Loading:
    """Section resultants of one load case, all its instants, directions and places.

    Parameters
    ----------
    name, title : str
        Key, and what happens in plain words.
    labels : tuple of str
        What each column is.
    resultants : ndarray of shape (6, n)
        Fx, Fy, Fz, Mx, My, Mz. [N, N mm]
    source, grade : str
        Where the load is taken from, and its evidence grade.
    wanted : float
        Reserve factor asked for. [-]
    reason : str
        Why that factor.
    notes : tuple of str
        What the reader must know of this load.
    combination : ndarray of shape (n_solved, n), optional
        Shares of the solved load sets in each column; the resultants themselves if not given,
        for then six units were solved. [-]
    """

    name: str
    title: str
    labels: tuple[str, ...]
    resultants: np.ndarray
    source: str
    grade: str
    wanted: float
    reason: str
    notes: tuple[str, ...] = ()
    combination: np.ndarray | None = None

    @property
    def shares(self) -> np.ndarray:
        """Shares of the solved load sets in each column, (n_solved, n)."""
        return self.resultants if self.combination is None else self.combination


def unit_responses(
    model: Model,
    supports: Sequence[Support],
    pulls: Sequence[Sequence[Load]],
    about: tuple[float, float, float],
    method: str,
) -> UnitResponses:
    """Solve a setting's six unit load sets, all pieces bonded."""
    return UnitResponses(Supported(model, supports, method).solve(pulls), about)


def check_cases(cases) -> None:
    """Refuse a setting without load cases."""
    if isinstance(cases, str) or not len(cases):
        raise ValueError(f"cases = {cases!r}; give a list of at least one load case.")


def check_names(names: Sequence[str]) -> None:
    """Refuse load cases that share a name."""
    twice = sorted({name for name in names if list(names).count(name) > 1})
    if twice:
        raise ValueError(f"Load cases share a name: {', '.join(twice)}. Give each its own.")
