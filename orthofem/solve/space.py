"""The element space: nodes, gradients and volumes at quadrature points of a tetrahedral mesh."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from skfem import Basis, ElementTetP1, ElementTetP2, FacetBasis, Mesh, MeshTet1

from orthofem.errors import ModelError, unknown

ELEMENTS = {1: ElementTetP1, 2: ElementTetP2}

# degree integrated exactly -> scikit-fem's order, its weights all positive: orders 3 and 4 have
# negative weights, orders 5 to 7 are exact to one degree less than their number
RULES = {1: 1, 2: 2, 3: 5, 4: 5, 5: 6, 6: 7}


@dataclass(frozen=True)
class ElementSpace:
    """Lagrange tetrahedra of first or second order on a mesh, sides straight or curved.

    Parameters
    ----------
    mesh : skfem.MeshTet1 or skfem.MeshTet2
        Tetrahedra; regions in ``mesh.subdomains``, surfaces in ``mesh.boundaries``. [mm]
    order : int
        1 or 2.
    exactness : int
        Degree of polynomial that the volume quadrature integrates exactly.
    """

    mesh: Mesh
    order: int = 2
    exactness: int = 2

    def __post_init__(self):
        if not isinstance(self.mesh, MeshTet1):
            raise ValueError(
                f"The mesh is a {type(self.mesh).__name__}; a tetrahedral mesh is needed."
            )
        if self.order not in ELEMENTS:
            raise ValueError(f"order = {self.order}; choose 1 or 2.")
        if self.exactness not in RULES:
            raise ValueError(f"exactness = {self.exactness}; choose 1 to {max(RULES)}.")
        if (self.volumes <= 0).any():
            cell = int(np.argwhere((self.volumes <= 0).any(axis=1))[0, 0])
            raise ModelError(
                f"Cell {cell} near {self.mesh.p[:, self.mesh.t[:, cell]].mean(axis=1).round(3)} mm "
                "is turned inside out. Mesh again with a smaller size there."
            )

    @cached_property
    def basis(self) -> Basis:
        """Scalar basis at the volume quadrature points."""
        return Basis(self.mesh, ELEMENTS[self.order](), intorder=RULES[self.exactness])

    @cached_property
    def nodes(self) -> np.ndarray:
        """Node coordinates, shape (3, n_nodes). [mm]."""
        return self.basis.doflocs

    @cached_property
    def cell_nodes(self) -> np.ndarray:
        """Nodes of each cell, shape (n_local, n_cells)."""
        return self.basis.element_dofs

    @cached_property
    def gradients(self) -> np.ndarray:
        """Shape gradients, shape (n_cells, n_quad, 3, n_local). [1/mm]."""
        return _cell_gradients(self.basis)

    @cached_property
    def volumes(self) -> np.ndarray:
        """Volume that each quadrature point stands for, shape (n_cells, n_quad). [mm^3]."""
        signed = np.asarray(self.basis.mapping.detDF(self.basis.X))
        return self.basis.dx * np.where(_one_orientation(signed), 1.0, -1.0)

    @cached_property
    def points(self) -> np.ndarray:
        """Quadrature points, shape (3, n_cells, n_quad). [mm]."""
        return np.asarray(self.basis.global_coordinates())

    @property
    def n_unknowns(self) -> int:
        """Three displacements at each node."""
        return 3 * self.nodes.shape[1]

    def facet_basis(self, surface: str) -> FacetBasis:
        """Scalar basis at the quadrature points of a named surface, made once."""
        if surface not in self._facet_bases:
            facets = self.facets(surface)
            self._facet_bases[surface] = FacetBasis(
                self.mesh, ELEMENTS[self.order](), facets=facets, intorder=4
            )
        return self._facet_bases[surface]

    @cached_property
    def _facet_bases(self) -> dict[str, FacetBasis]:
        return {}

    def facets(self, surface: str) -> np.ndarray:
        """Facets of a named surface; refuses an unknown name and lists what exists."""
        names = self.mesh.boundaries or {}
        if surface not in names:
            raise ValueError(unknown("surface", surface, names))
        return np.asarray(names[surface])

    def cells(self, region: str | None) -> np.ndarray:
        """Cells of a named region, all cells for None; lists what exists if unknown."""
        names = self.mesh.subdomains or {}
        if region is None:
            return np.arange(self.mesh.nelements)
        if region not in names:
            raise ValueError(unknown("region", region, names))
        return np.asarray(names[region])

    def surface_nodes(self, surface: str) -> np.ndarray:
        """Nodes on a named surface."""
        return self.basis.get_dofs(self.facets(surface)).flatten()


def _cell_gradients(basis: Basis) -> np.ndarray:
    stacked = np.stack([function[0].grad for function in basis.basis])
    return np.ascontiguousarray(np.transpose(stacked, (2, 3, 1, 0)))


def _one_orientation(signed: np.ndarray) -> np.ndarray:
    """Whether each point keeps its cell's own orientation: cells may be numbered either way."""
    return np.sign(signed) == np.sign(signed.sum(axis=1, keepdims=True))
