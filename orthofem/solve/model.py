"""A meshed part with its stiffness: the linear system before supports and loads."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import scipy.sparse as sp
from numpy.typing import ArrayLike
from skfem import Mesh

from orthofem.errors import ModelError, check_finite, unknown

from .assembly import CHUNK, Pattern, cell_stiffness
from .space import ElementSpace
from .threads import in_parallel

Stiffness = np.ndarray | Callable[[np.ndarray], np.ndarray]
WHOLE = "whole part"


@dataclass(frozen=True)
class Model:
    """A mesh whose every region has a stiffness; assembles once, whatever the loads.

    Parameters
    ----------
    mesh : skfem.MeshTet1 or skfem.MeshTet2
        Regions in ``mesh.subdomains``, surfaces in ``mesh.boundaries``. [mm]
    stiffness : mapping of str to (ndarray of shape (6, 6) or callable), or one of these
        Stiffness in part axes by region; a callable takes points of shape (3, n_cells, n_quad)
        and returns (6, 6, n_cells, n_quad). One value alone serves the whole part. [MPa]
    order : int, optional
        Order of the elements, 1 or 2.
    exactness : int, optional
        Degree that the quadrature integrates exactly.

    Raises
    ------
    ValueError
        If a region is unknown or has no stiffness, or an entry is not a symmetric finite matrix.
    ModelError
        If a stiffness is not positive definite.
    """

    mesh: Mesh
    stiffness: Mapping[str, Stiffness] | Stiffness
    order: int = 2
    exactness: int = 2

    def __post_init__(self):
        self.groups  # noqa: B018  refuse a bad stiffness when the model is made

    @cached_property
    def space(self) -> ElementSpace:
        """Nodes, gradients and volumes."""
        return ElementSpace(self.mesh, self.order, self.exactness)

    @cached_property
    def groups(self) -> list[tuple[str, np.ndarray, np.ndarray]]:
        """Region name, its cells, its stiffness (6, 6) or (6, 6, n_cells, n_quad)."""
        return list(_stiffness_groups(self.space, self.stiffness))

    @cached_property
    def pattern(self) -> Pattern:
        """Sparsity pattern."""
        return Pattern(self.space.cell_nodes, self.space.nodes.shape[1])

    @cached_property
    def blocks(self) -> np.ndarray:
        """Assembled 3 x 3 node blocks."""
        return self.pattern.add(self.cell_matrices())

    @cached_property
    def matrix(self) -> sp.bsr_matrix:
        """Whole stiffness matrix, no supports applied. [N/mm]."""
        return self.pattern.block_matrix(self.blocks)

    @cached_property
    def upper(self) -> sp.bsr_matrix:
        """Upper triangle of the stiffness matrix, diagonal blocks whole, no supports. [N/mm]."""
        return self.pattern.upper_matrix(self.blocks)

    @property
    def diagonal_blocks(self) -> np.ndarray:
        """The 3 x 3 blocks on the diagonal, (n_nodes, 3, 3). [N/mm]."""
        return self.upper.data[self.upper.indptr[:-1]]

    def forces_of(self, displacement: np.ndarray) -> np.ndarray:
        """Nodal forces that hold displacements (n_unknowns, n); stiffness times displacement."""
        twice = np.einsum(
            "nij,njl->nil", self.diagonal_blocks, displacement.reshape(-1, 3, displacement.shape[1])
        )
        upper = self.upper
        return upper @ displacement + upper.T @ displacement - twice.reshape(displacement.shape)

    @cached_property
    def unit_resultants(self) -> dict[str, tuple[np.ndarray, np.ndarray]]:
        """What ``solve.loads`` has made of each loaded surface so far."""
        return {}

    def with_stiffness(self, stiffness: Mapping[str, Stiffness] | Stiffness) -> Model:
        """Return the same mesh with another stiffness; nodes and pattern are not made again."""
        other = object.__new__(Model)
        kept = {"mesh", "order", "exactness", "space", "pattern"}
        self.pattern  # noqa: B018  made here once, or again in every copy
        other.__dict__.update({name: self.__dict__[name] for name in kept}, stiffness=stiffness)
        other.__post_init__()
        return other

    def young_along(self, direction: ArrayLike) -> np.ndarray:
        """Young's modulus of every cell along a direction of shape (3,), (n_cells,). [MPa]."""
        x, y, z = np.asarray(direction, dtype=float) / np.linalg.norm(direction)
        pull = np.array([x * x, y * y, z * z, y * z, x * z, x * y])
        modulus = np.empty(self.mesh.nelements)
        for _, cells, stiffness in self.groups:
            field = stiffness if stiffness.ndim == 2 else stiffness.mean(axis=-1)
            matrices = np.moveaxis(field, (0, 1), (-2, -1))
            strain = np.linalg.solve(
                matrices, np.broadcast_to(pull[:, None], (*matrices.shape[:-2], 6, 1))
            )
            modulus[cells] = 1.0 / (strain[..., 0] @ pull)
        return modulus

    def cell_matrices(self, without: Collection[str] = ()) -> Iterator[tuple]:
        """Cells and their matrices, chunk by chunk, some regions left out."""
        self.space.gradients  # noqa: B018  made once, before threads ask for it
        return in_parallel(self._matrices, self.chunks(without))

    def chunks(self, without: Collection[str] = ()) -> Iterator[tuple]:
        """Cells and their stiffness, a few thousand at a time."""
        for name, cells, stiffness in self.groups:
            if name in without:
                continue
            for start in range(0, len(cells), CHUNK):
                part = slice(start, start + CHUNK)
                yield cells[part], stiffness if stiffness.ndim == 2 else stiffness[:, :, part]

    def _matrices(self, chunk: tuple) -> tuple:
        cells, stiffness = chunk
        space = self.space
        return cells, cell_stiffness(space.gradients[cells], space.volumes[cells], stiffness)


def _stiffness_groups(space: ElementSpace, stiffness) -> Iterator:
    regions = space.mesh.subdomains or {}
    if not isinstance(stiffness, Mapping):
        stiffness, regions = {WHOLE: stiffness}, {WHOLE: np.arange(space.mesh.nelements)}
    for name in stiffness:
        if name not in regions:
            raise ValueError(unknown("region", name, regions))
    owner = np.zeros(space.mesh.nelements, dtype=int)
    for name, value in stiffness.items():
        cells = np.asarray(regions[name])
        owner[cells] += 1
        yield name, cells, _checked(name, value, space.points[:, cells])
    if (owner == 0).any():
        bare = [name for name, cells in regions.items() if (owner[np.asarray(cells)] == 0).any()]
        raise ValueError(f"No stiffness given for: {', '.join(bare) or 'cells in no region'}.")
    if (owner > 1).any():
        raise ValueError("Regions overlap: some cells have more than one stiffness.")


def _checked(name: str, value: Stiffness, points: np.ndarray) -> np.ndarray:
    field = check_finite(f"stiffness of '{name}'", value(points) if callable(value) else value)
    wanted = ((6, 6), (6, 6, *points.shape[1:]))
    if field.shape not in wanted:
        raise ValueError(f"stiffness of '{name}' has shape {field.shape}; wanted {wanted}.")
    if not np.allclose(field, field.swapaxes(0, 1), rtol=1e-9, atol=1e-9 * np.abs(field).max()):
        raise ValueError(f"stiffness of '{name}' is not symmetric.")
    lowest = np.linalg.eigvalsh(np.moveaxis(field, (0, 1), (-2, -1))).min()
    if lowest <= 0:
        raise ModelError(
            f"stiffness of '{name}' is not positive definite (smallest eigenvalue {lowest:.3g} "
            "MPa): the material would give energy when strained. Check its constants."
        )
    return field
