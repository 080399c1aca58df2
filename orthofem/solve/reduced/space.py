"""The reduced space: small dense systems for any stiffness of the turning regions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from orthofem.errors import ModelError

from ..model import Model
from ..solution import strains
from .reference import Reference

SKETCHES = 24
"""Random functionals for the estimate; more make it steadier, see :attr:`ReducedResponses`."""

CAUTION = 1.7
"""Factor on the estimated norm: with 24 functionals the true one is larger in 1 of 200 cases
(chi-square distribution, D)."""

SEED = 719_883_421


@dataclass(frozen=True)
class ReducedSpace:
    """Displacements spanned by full answers at some directions.

    Parameters
    ----------
    reference : Reference
    vectors : ndarray of shape (n_unknowns, n)
        Orthonormal in the energy of the mean model. [mm]
    grams : dict of str to ndarray of shape (6, 6, n, n)
        For each turning region, integrals of strain component i of vector a times component j
        of vector b.
    fixed : ndarray of shape (n, n)
        Stiffness of the regions that do not turn.
    """

    reference: Reference
    vectors: np.ndarray
    grams: dict[str, np.ndarray]
    fixed: np.ndarray
    _strains: dict[str, list] = field(repr=False)
    _sketch: _Sketch = field(repr=False)

    @classmethod
    def empty(cls, reference: Reference) -> ReducedSpace:
        """Return a space that holds nothing yet, with its random functionals."""
        n = reference.model.space.n_unknowns
        functionals = reference.random_functionals(SKETCHES, SEED)
        sketch = _Sketch(
            load=functionals.T @ reference.forces,
            fixed=np.zeros((SKETCHES, 0)),
            images=reference.fixed_matrix @ functionals,
            strains={name: _strains(reference, name, functionals) for name in reference.turning},
            grams={name: np.zeros((6, 6, SKETCHES, 0)) for name in reference.turning},
        )
        grams = {name: np.zeros((6, 6, 0, 0)) for name in reference.turning}
        blank: dict[str, list] = {name: [] for name in reference.turning}
        return cls(reference, np.zeros((n, 0)), grams, np.zeros((0, 0)), blank, sketch)

    @property
    def size(self) -> int:
        """Number of vectors."""
        return self.vectors.shape[1]

    @cached_property
    def load(self) -> np.ndarray:
        """Unit loads on the vectors, shape (n, 6)."""
        return self.vectors.T @ self.reference.forces

    def enriched(self, answers: np.ndarray) -> ReducedSpace:
        """Return the space with full answers (n_unknowns, m) added."""
        new = self._independent(answers)
        if not new.shape[1]:
            return self
        image = self.reference.fixed_matrix @ new
        fixed = _grown(self.fixed, self.vectors.T @ image, new.T @ image)
        grams, known = {}, {}
        for name in self.reference.turning:
            fresh = _strains(self.reference, name, new)
            volumes = self._volumes(name)
            cross = _gram(_joined(self._strains[name]), fresh, volumes)
            grams[name] = _grown(self.grams[name], cross, _gram(fresh, fresh, volumes))
            known[name] = [*self._strains[name], fresh]
        sketch = self._sketch.enriched(new, known, self._volumes)
        return replace(
            self, vectors=np.hstack([self.vectors, new]), grams=grams, fixed=fixed,
            _strains=known, _sketch=sketch,
        )  # fmt: skip

    def respond(self, stiffness: Mapping[str, np.ndarray]) -> ReducedResponses:
        """Answer one stiffness of the turning regions from a small dense system.

        Raises
        ------
        ModelError
            If the space is still empty.
        """
        if not self.size:
            raise ModelError("The reduced space is empty; enrich it with one full answer first.")
        matrix = self.fixed + sum(
            np.tensordot(stiffness[name], self.grams[name], 2) for name in self.reference.turning
        )
        shares = np.linalg.solve(matrix, self.load)
        return ReducedResponses(self, dict(stiffness), shares)

    def _independent(self, answers: np.ndarray) -> np.ndarray:
        """Part of the answers outside the space, orthonormal in the mean model's energy."""
        matrix = self.reference.mean_model.matrix
        new = answers.copy()
        scale = np.sqrt(np.einsum("nl,nl->l", new, matrix @ new))
        new = new / np.where(scale > 0, scale, 1.0)
        for _ in range(2):  # twice is enough against cancellation
            new = new - self.vectors @ (self.vectors.T @ (matrix @ new))
        values, basis = np.linalg.eigh(new.T @ (matrix @ new))
        kept = values > 1e-14
        return new @ (basis[:, kept] / np.sqrt(values[kept]))

    def _volumes(self, region: str) -> np.ndarray:
        space = self.reference.model.space
        return space.volumes[space.cells(region)].ravel()


@dataclass(frozen=True)
class _Sketch:
    """Random functionals of the residual, kept up with the space."""

    load: np.ndarray
    fixed: np.ndarray
    images: np.ndarray
    strains: dict[str, np.ndarray]
    grams: dict[str, np.ndarray]

    def enriched(self, new: np.ndarray, known: dict[str, list], volumes) -> _Sketch:
        grams = {
            name: np.concatenate(
                [self.grams[name], _gram(self.strains[name], known[name][-1], volumes(name))],
                axis=3,
            )
            for name in self.grams
        }
        return replace(self, fixed=np.hstack([self.fixed, self.images.T @ new]), grams=grams)

    def of_residual(self, stiffness: Mapping[str, np.ndarray], shares: np.ndarray) -> np.ndarray:
        """Functionals of the residual, shape (n_functionals, 6)."""
        matrix = self.fixed + sum(
            np.tensordot(stiffness[name], self.grams[name], 2) for name in self.grams
        )
        return self.load - matrix @ shares


@dataclass(frozen=True)
class ReducedResponses:
    """Unit responses of one direction from the reduced space; asked like the full ones.

    Parameters
    ----------
    space : ReducedSpace
    stiffness : dict of str to ndarray of shape (6, 6)
        Of the turning regions. [MPa]
    shares : ndarray of shape (n, 6)
        Shares of the space's vectors in each unit response.
    """

    space: ReducedSpace
    stiffness: dict[str, np.ndarray]
    shares: np.ndarray

    @property
    def about(self) -> tuple[float, float, float]:
        """Point that the resultants refer to. [mm]."""
        return self.space.reference.about

    @cached_property
    def model(self) -> Model:
        """The model at this direction, not assembled unless asked for."""
        return self.space.reference.turned(self.stiffness)

    @cached_property
    def flexibility(self) -> np.ndarray:
        """Movement of the loaded surface per unit resultant, (6, 6); a lower bound."""
        product = self.space.load.T @ self.shares
        return 0.5 * (product + product.T)

    @cached_property
    def unit_displacement(self) -> np.ndarray:
        """Displacements of the six unit responses, (n_unknowns, 6). [mm]."""
        return self.space.vectors @ self.shares

    def displacement(self, resultants: np.ndarray) -> np.ndarray:
        """Displacements (3, n_nodes, n) under resultants (6, n). [mm]."""
        field = self.unit_displacement @ resultants
        return field.reshape(-1, 3, *resultants.shape[1:]).swapaxes(0, 1)

    @cached_property
    def coercivity(self) -> float:
        """Smallest ratio of turned to mean energy density over all strains."""
        return self.space.reference.bounds(self.stiffness)[0]

    def estimate(self, resultants: np.ndarray) -> np.ndarray:
        """Estimated energy error over energy norm, by random functionals, shape (n,). [-].

        Larger than the truth in all but about 1 of 200 cases for each load; cheap.
        """
        work = self.space._sketch.of_residual(self.stiffness, self.shares) @ resultants
        norm = np.sqrt((work**2).mean(axis=0))
        return CAUTION * norm / np.sqrt(self.coercivity) / self._energy_norm(resultants)

    def bound(self, resultants: np.ndarray) -> np.ndarray:
        """Rigorous bound on energy error over energy norm, shape (n,). [-].

        Residual in full, its norm by the factorised mean model, over the pointwise coercivity
        bound. It holds for the discrete solution on this mesh; it says nothing of the error that
        the mesh itself makes, and bounds energy, not stress at a point.
        """
        reference = self.space.reference
        residual = reference.forces - self.model.matrix @ self.unit_displacement
        residual[reference.held] = 0.0
        gram = residual.T @ reference.riesz(residual)
        square = np.einsum("in,ij,jn->n", resultants, gram, resultants)
        norm = np.sqrt(np.maximum(square, 0.0))
        return norm / np.sqrt(self.coercivity) / self._energy_norm(resultants)

    def full(self, tolerance: float = 1e-7) -> np.ndarray:
        """Solve this direction in full, the reduced answer as first guess, (n_unknowns, 6)."""
        return self.space.reference.solve(self.model, self.unit_displacement, tolerance)

    def _energy_norm(self, resultants: np.ndarray) -> np.ndarray:
        return np.sqrt(np.einsum("in,ij,jn->n", resultants, self.flexibility, resultants))


def _strains(reference: Reference, region: str, vectors: np.ndarray) -> np.ndarray:
    """Strains of vectors at the region's quadrature points, shape (6, n_points, m)."""
    space = reference.model.space
    cells = space.cells(region)
    nodal = vectors.reshape(-1, 3, vectors.shape[1])[space.cell_nodes[:, cells]]
    field = strains(space.gradients[cells], nodal.transpose(2, 0, 1, 3))
    return field.reshape(6, -1, vectors.shape[1])


def _joined(blocks: list) -> np.ndarray | None:
    return np.concatenate(blocks, axis=2) if blocks else None


def _gram(left: np.ndarray | None, right: np.ndarray, volumes: np.ndarray) -> np.ndarray:
    """Integrals of strain i of vector a times strain j of vector b, shape (6, 6, n, m)."""
    if left is None:
        return np.zeros((6, 6, 0, right.shape[2]))
    n, m = left.shape[2], right.shape[2]
    a = left.transpose(0, 2, 1).reshape(6 * n, -1)
    b = (right * volumes[:, None]).transpose(1, 0, 2).reshape(len(volumes), -1)
    return (a @ b).reshape(6, n, 6, m).transpose(0, 2, 1, 3)


def _grown(old: np.ndarray, cross: np.ndarray, new: np.ndarray) -> np.ndarray:
    """Symmetric block matrix: old, cross and its mirror image, new.

    For strain integrals the mirror image swaps the strain components too.
    """
    mirror = cross.swapaxes(-1, -2)
    if cross.ndim == 4:
        mirror = mirror.swapaxes(0, 1)
    top = np.concatenate([old, cross], axis=-1)
    return np.concatenate([top, np.concatenate([mirror, new], axis=-1)], axis=-2)
