"""Solve a supported model for many load sets with one factorisation."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from orthofem.errors import ModelError, check_finite

from .linear import Factor, factorise
from .loads import Load, ThermalStrain
from .model import Model
from .solution import Solution, net_resultant
from .supports import Balanced, Support, connected_bodies, hold

RESIDUAL_LIMIT = 1e-6
REFINE_ABOVE = 1e-9
"""Relative residual above which the answer is corrected once."""


@dataclass(frozen=True)
class Supported:
    """A model with its supports, factorised: solves any number of load sets.

    Parameters
    ----------
    model : Model
    supports : sequence of Fixed or Balanced
    method : str, optional
        Linear solver, see :func:`~orthofem.solve.linear.factorise`.
    """

    model: Model
    supports: Sequence[Support]
    method: str = "auto"
    _held: np.ndarray = field(init=False, repr=False, compare=False)
    _values: np.ndarray = field(init=False, repr=False, compare=False)
    _factor: Factor = field(init=False, repr=False, compare=False)

    def __post_init__(self):
        held, values = hold(self.model.space, self.supports)
        object.__setattr__(self, "_held", held)
        object.__setattr__(self, "_values", values)
        object.__setattr__(self, "_factor", factorise(self.model, held, self.method))

    @property
    def held(self) -> np.ndarray:
        """Unknowns with a prescribed displacement."""
        return self._held

    @property
    def factor(self) -> Factor:
        """The factorised matrix."""
        return self._factor

    def solve(self, load_sets: Sequence[Sequence[Load]]) -> Solution:
        """Displacements for each load set.

        Parameters
        ----------
        load_sets : sequence of sequences of loads
            Loads of one set act together. An empty set leaves only prescribed displacements.

        Returns
        -------
        solution : Solution

        Raises
        ------
        ValueError
            If there is no load set.
        ModelError
            If loads under `Balanced` supports do not balance, or the residual is too large.
        """
        model = self.model
        if not len(load_sets):
            raise ValueError("No load set given; pass [[load, ...], ...], or [[]] for no load.")
        applied = np.stack([nodal_forces(model, loads) for loads in load_sets], axis=-1)
        forces = applied.reshape(-1, len(load_sets))
        if any(isinstance(support, Balanced) for support in self.supports):
            check_balance(model, applied, self.supports)
        prescribed = np.zeros(model.space.n_unknowns)
        prescribed[self._held] = self._values
        answer = np.repeat(prescribed[:, None], len(load_sets), axis=1)
        missing, size = self._missing(answer, forces)
        answer += self._factor.solve(missing)
        missing, size = self._missing(answer, forces)
        if _relative(missing, size) > REFINE_ABOVE:
            answer += self._factor.solve(missing)
            missing, size = self._missing(answer, forces)
        residual = _checked_residual(_relative(missing, size))
        shape = (-1, 3, len(load_sets))
        return Solution(
            model=model,
            displacement=answer.reshape(shape).transpose(1, 0, 2),
            applied=applied.transpose(1, 0, 2),
            free_strain=[free_strain_of(model, loads) for loads in load_sets],
            method=self._factor.method,
            residual=residual,
            iterations=tuple(self._factor.iterations[-len(load_sets) :]),
        )

    def _missing(self, answer: np.ndarray, forces: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Forces that displacements leave unbalanced at free unknowns, and the forces' size."""
        internal = self.model.forces_of(answer) if answer.any() else np.zeros_like(answer)
        missing = forces - internal
        missing[self._held] = 0.0
        return missing, np.linalg.norm(internal, axis=0) + np.linalg.norm(forces, axis=0)


def solve(
    model: Model,
    supports: Sequence[Support],
    load_sets: Sequence[Sequence[Load]],
    method: str = "auto",
) -> Solution:
    """Solve a model once; see :class:`Supported` to keep the factor for further loads."""
    return Supported(model, supports, method).solve(load_sets)


def nodal_forces(model: Model, loads: Sequence[Load]) -> np.ndarray:
    """Forces of loads that act together, (n_nodes, 3). [N]."""
    total = np.zeros((model.space.nodes.shape[1], 3))
    for load in loads:
        total += load.forces(model)
    return check_finite("nodal forces", total)


def free_strain_of(model: Model, loads: Sequence[Load]) -> np.ndarray | None:
    """Strain without stress that loads bring; None if they bring none."""
    fields = [load.field(model) for load in loads if isinstance(load, ThermalStrain)]
    return np.sum(fields, axis=0) if fields else None


def check_balance(model: Model, applied: np.ndarray, supports) -> None:
    """Refuse loads (n_nodes, 3, n_loads) that `Balanced` supports cannot hold."""
    nodes = model.space.nodes
    if any(not isinstance(support, Balanced) for support in supports):
        raise ValueError("Balanced() takes away all rigid motion: use it alone, without Fixed().")
    allowed = min(s.tolerance for s in supports)
    for body in connected_bodies(model.space):
        _check_body_balance(nodes[:, body], applied[body].transpose(1, 0, 2), allowed)


def _check_body_balance(nodes: np.ndarray, applied: np.ndarray, allowed: float) -> None:
    """Refuse loads (3, n, n_loads) on the nodes (3, n) of one body that do not balance there."""
    net = net_resultant(nodes, applied, nodes.mean(axis=1))
    arm = np.linalg.norm(np.ptp(nodes, axis=1))
    size = np.abs(applied).sum(axis=(0, 1))
    scale = np.where(size > 0, size, 1.0) * np.array([1, 1, 1, arm, arm, arm])[:, None]
    if (np.abs(net) > allowed * scale).any():
        load = int(np.argmax((np.abs(net) / scale).max(axis=0)))
        raise ModelError(
            f"Load set {load} does not balance: net force {net[:3, load].round(4) + 0.0} N, net "
            f"moment {net[3:, load].round(3) + 0.0} N mm. Balance it, or hold it with Fixed(...)."
        )


def _relative(missing: np.ndarray, size: np.ndarray) -> float:
    return float((np.linalg.norm(missing, axis=0) / np.where(size > 0, size, 1.0)).max())


def _checked_residual(residual: float) -> float:
    if not residual < RESIDUAL_LIMIT:
        raise ModelError(
            f"The linear solver left a relative residual of {residual:.1e} (allowed "
            f"{RESIDUAL_LIMIT:g}): the answer is not to be trusted. Check cells and materials."
        )
    return residual
