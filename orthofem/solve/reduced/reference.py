"""The one factorised matrix of a sweep: a norm for residuals and a preconditioner for solves."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import scipy.sparse as sp

from orthofem.errors import ModelError, unknown
from orthofem.tensors import isotropic_mean, stiffness_bounds

from ..assembly import CHUNK, strain_operator
from ..linear import Factor, factorise
from ..model import Model
from ..supports import Balanced, hold
from ..unit import balanced_pulls


@dataclass(frozen=True)
class Reference:
    """A model with turning regions at the isotropic mean of their stiffness, factorised once.

    The isotropic mean does not care which way the region turns, so the bounds between it and
    the turned stiffness are the same for every direction, and close: 0.79 to 1.18 for a typical
    print. Conjugate gradients preconditioned with it need a handful of steps.

    Parameters
    ----------
    model : Model
        Any direction; only the fixed regions keep their stiffness.
    turning : tuple of str
        Regions whose stiffness changes from answer to answer.
    loaded, opposite : str
        End surfaces that carry the unit resultants and their balance.
    about : tuple of float
        Point that the resultants refer to. [mm]
    method : str, optional
        Linear solver.
    """

    model: Model
    turning: tuple[str, ...]
    loaded: str
    opposite: str
    about: tuple[float, float, float] = (0.0, 0.0, 0.0)
    method: str = "auto"

    def __post_init__(self):
        names = [name for name, _, _ in self.model.groups]
        for name in self.turning:
            if name not in names:
                raise ValueError(unknown("turning region", name, names))
            if self._stiffness[name].ndim != 2:
                raise ValueError(
                    f"Region '{name}' has a stiffness that differs from place to place; only a "
                    "region with one stiffness can turn in a reduced model."
                )

    @cached_property
    def _stiffness(self) -> dict[str, np.ndarray]:
        return {name: stiffness for name, _, stiffness in self.model.groups}

    @cached_property
    def _means(self) -> dict[str, np.ndarray]:
        return {name: isotropic_mean(self._stiffness[name]) for name in self.turning}

    @cached_property
    def mean_model(self) -> Model:
        """The model that is factorised."""
        return self.model.with_stiffness({**self._stiffness, **self._means})

    @cached_property
    def held(self) -> np.ndarray:
        """Six unknowns that take away rigid motion."""
        return hold(self.model.space, [Balanced()])[0]

    @cached_property
    def factor(self) -> Factor:
        """Factor of the mean model."""
        return factorise(self.mean_model, self.held, self.method)

    @cached_property
    def forces(self) -> np.ndarray:
        """Nodal forces of the six unit resultants, (n_unknowns, 6). [N]."""
        pulls = balanced_pulls(self.loaded, self.opposite, self.about)
        forces = [pull.forces(self.model) + back.forces(self.model) for pull, back in pulls]
        return np.stack([force.ravel() for force in forces], axis=1)

    @cached_property
    def load_size(self) -> np.ndarray:
        """Squared norms of the six unit resultants, in that of the mean model, (6,)."""
        return np.einsum("nl,nl->l", self.forces, self.riesz(self.forces))

    @cached_property
    def fixed_matrix(self) -> sp.bsr_matrix:
        """Stiffness of the regions that do not turn. [N/mm]."""
        pattern = self.model.pattern
        return pattern.block_matrix(pattern.add(self.model.cell_matrices(without=self.turning)))

    def riesz(self, residual: np.ndarray) -> np.ndarray:
        """Displacement whose mean-model energy product is the residual, (n_unknowns, n)."""
        right = residual.copy()
        right[self.held] = 0.0
        return self.factor.solve(right)

    def turned(self, stiffness: Mapping[str, np.ndarray]) -> Model:
        """Return the model with its turning regions at the given stiffness."""
        missing = set(self.turning) ^ set(stiffness)
        if missing:
            raise ValueError(
                f"Give a stiffness for each turning region ({', '.join(self.turning)}) and no "
                f"other; differs in {', '.join(sorted(missing))}."
            )
        return self.model.with_stiffness({**self._stiffness, **stiffness})

    def bounds(self, stiffness: Mapping[str, np.ndarray]) -> tuple[float, float]:
        """Smallest and largest ratio of turned to mean energy density, over all strains.

        Pointwise, so they hold for every mesh and every displacement (verification.md RB-1).
        """
        low, high = 1.0, 1.0
        for name in self.turning:
            one, other = stiffness_bounds(stiffness[name], self._means[name])
            low, high = min(low, float(one)), max(high, float(other))
        return low, high

    def solve(
        self,
        model: Model,
        guess: np.ndarray | None = None,
        tolerance: float = 1e-7,
        limit: int = 60,
    ) -> np.ndarray:
        """Solve one direction in full: conjugate gradients from a guess, all loads side by side.

        Parameters
        ----------
        model : Model
            From :meth:`turned`.
        guess : ndarray of shape (n_unknowns, 6), optional
            The reduced answer, say.
        tolerance : float, optional
            Residual over load, in the norm of the mean model.
        limit : int, optional
            Most steps.

        Returns
        -------
        displacement : ndarray of shape (n_unknowns, 6)
            [mm]

        Raises
        ------
        ModelError
            If the limit is reached.
        """
        answer = np.zeros_like(self.forces) if guess is None else guess.copy()
        residual = self.forces - model.forces_of(answer)
        residual[self.held] = 0.0
        step = self.riesz(residual)
        direction, product = step, np.einsum("nl,nl->l", residual, step)
        for _ in range(limit):
            if (product <= tolerance**2 * self.load_size).all():
                return answer
            image = model.forces_of(direction)
            image[self.held] = 0.0
            curvature = np.einsum("nl,nl->l", direction, image)
            length = product / np.where(curvature > 0, curvature, 1.0)
            answer = answer + length * direction
            residual = residual - length * image
            step = self.riesz(residual)
            new = np.einsum("nl,nl->l", residual, step)
            direction = step + new / np.where(product > 0, product, 1.0) * direction
            product = new
        raise ModelError(
            f"The full solve of a direction did not settle in {limit} steps; the turned and the "
            "mean stiffness lie too far apart. Solve this direction with Supported instead."
        )

    def random_functionals(self, count: int, seed: int) -> np.ndarray:
        """Displacements whose energy products with a residual measure its size, on average.

        Each is a Gaussian random field with the mean model's inverse stiffness as covariance:
        the mean square of its work on a residual is the square of the residual's norm.
        """
        rng = np.random.default_rng(seed)
        model, space = self.mean_model, self.mean_model.space
        force = np.zeros((space.nodes.shape[1], 3, count))
        for _, cells, stiffness in model.groups:
            for start in range(0, len(cells), CHUNK):
                chosen = cells[start : start + CHUNK]
                part = (
                    stiffness if stiffness.ndim == 2 else stiffness[..., start : start + CHUNK, :]
                )
                root = np.linalg.cholesky(np.moveaxis(part, (0, 1), (-2, -1)))
                volumes = space.volumes[chosen]
                noise = rng.standard_normal((*volumes.shape, 6, count))
                stress = (root @ noise) * np.sqrt(volumes)[..., None, None]
                operator = strain_operator(space.gradients[chosen])
                nodal = np.einsum("icqnk,cqis->ncks", operator, stress, optimize=True)
                np.add.at(force, space.cell_nodes[:, chosen], nodal)
        return self.riesz(force.reshape(-1, count))
