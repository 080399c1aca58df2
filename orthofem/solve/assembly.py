"""Stiffness matrix as a batched matrix product, added into a sparsity pattern fixed once a mesh."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import scipy.sparse as sp

CHUNK = 4096  # cells at a time: bounds the scratch memory to about 150 MB

# rows: Voigt component; columns: (displacement component, gradient component) pairs
_SHEAR = ((1, 2), (0, 2), (0, 1))


def strain_operator(gradients: np.ndarray) -> np.ndarray:
    """Matrix from nodal displacements to strain at each point.

    Parameters
    ----------
    gradients : ndarray of shape (n_cells, n_quad, 3, n_local)
        Shape gradients. [1/mm]

    Returns
    -------
    operator : ndarray of shape (6, n_cells, n_quad, n_local, 3)
        Strain 11, 22, 33, 23, 13, 12 (engineering shears) per nodal displacement. [1/mm]
    """
    n_cells, n_quad, _, n_local = gradients.shape
    operator = np.zeros((6, n_cells, n_quad, n_local, 3))
    for k in range(3):
        operator[k, ..., k] = gradients[:, :, k]
    for row, (i, j) in enumerate(_SHEAR, start=3):
        operator[row, ..., i] = gradients[:, :, j]
        operator[row, ..., j] = gradients[:, :, i]
    return operator


def cell_stiffness(gradients: np.ndarray, volumes: np.ndarray, stiffness: np.ndarray) -> np.ndarray:
    """Stiffness matrices of many cells in one batched product.

    Parameters
    ----------
    gradients : ndarray of shape (n_cells, n_quad, 3, n_local)
        Shape gradients. [1/mm]
    volumes : ndarray of shape (n_cells, n_quad)
        Volume of each quadrature point. [mm^3]
    stiffness : ndarray of shape (6, 6) or (6, 6, n_cells, n_quad)
        Material stiffness in part axes. [MPa]

    Returns
    -------
    matrices : ndarray of shape (n_cells, 3 n_local, 3 n_local)
        Rows and columns node by node, three displacements each. [N/mm]
    """
    n_cells, n_quad, _, n_local = gradients.shape
    strain = strain_operator(gradients).reshape(6, n_cells, n_quad, 3 * n_local)
    if stiffness.ndim == 2:
        stress = (stiffness @ strain.reshape(6, -1)).reshape(strain.shape)
    else:
        stress = np.einsum("ijcq,jcqn->icqn", stiffness, strain, optimize=True)
    stress *= volumes[..., None]
    left = np.moveaxis(strain, 0, 2).reshape(n_cells, n_quad * 6, 3 * n_local)
    right = np.moveaxis(stress, 0, 2).reshape(n_cells, n_quad * 6, 3 * n_local)
    return np.matmul(left.transpose(0, 2, 1), right)


@dataclass(frozen=True)
class Pattern:
    """Where each cell's 3 x 3 node blocks land in the global matrix; made once for a mesh.

    Parameters
    ----------
    cell_nodes : ndarray of shape (n_local, n_cells)
        Nodes of each cell.
    n_nodes : int
        Number of nodes.
    """

    cell_nodes: np.ndarray
    n_nodes: int

    @cached_property
    def _upper(self) -> np.ndarray:
        """Which of the n_local^2 node pairs of each cell lie on or above the diagonal."""
        nodes = self.cell_nodes.T
        return (nodes[:, :, None] <= nodes[:, None, :]).reshape(len(nodes), -1)

    @cached_property
    def _pairs(self) -> tuple[np.ndarray, np.ndarray, sp.csr_matrix]:
        """Rows and columns of the distinct node pairs, and the matrix that adds up doubles."""
        nodes = self.cell_nodes.T.astype(np.int64)
        keys = (nodes[:, :, None] * self.n_nodes + nodes[:, None, :]).reshape(len(nodes), -1)
        distinct, where = np.unique(keys[self._upper], return_inverse=True)
        adder = sp.csr_matrix(
            (np.ones(len(where)), (where, np.arange(len(where)))), shape=(len(distinct), len(where))
        )
        return distinct // self.n_nodes, distinct % self.n_nodes, adder

    def add(self, chunks) -> np.ndarray:
        """Sum cell matrices into node-pair blocks.

        Parameters
        ----------
        chunks : iterable of (cells, matrices)
            Cell numbers of shape (n,) and their matrices of shape (n, 3 n_local, 3 n_local).

        Returns
        -------
        blocks : ndarray of shape (n_pairs, 9)
            One 3 x 3 block for each distinct node pair on or above the diagonal; zero where no
            given cell reaches. [N/mm]
        """
        n_local, n_cells = self.cell_nodes.shape
        upper = self._upper
        per_cell = n_local * (n_local + 1) // 2
        values = np.zeros((n_cells, per_cell, 9))
        for cells, matrices in chunks:
            split = matrices.reshape(-1, n_local, 3, n_local, 3).transpose(0, 1, 3, 2, 4)
            kept = split.reshape(-1, n_local**2, 9)[upper[cells]]
            values[cells] = kept.reshape(-1, per_cell, 9)
        return self._pairs[2] @ values.reshape(-1, 9)

    def upper_matrix(self, blocks: np.ndarray) -> sp.bsr_matrix:
        """Upper triangle of the global matrix in 3 x 3 blocks, those on the diagonal whole."""
        rows, columns, _ = self._pairs  # by rows, each beginning with its diagonal
        pointers = np.searchsorted(rows, np.arange(self.n_nodes + 1)).astype(np.int32)
        shape = (3 * self.n_nodes, 3 * self.n_nodes)
        data, columns = blocks.reshape(-1, 3, 3), columns.astype(np.int32)
        return sp.bsr_matrix((data, columns, pointers), shape=shape, blocksize=(3, 3))

    @cached_property
    def _block_layout(self) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
        """Row pointers, columns, gather indices of all blocks, and which lie below the diagonal."""
        rows, columns, _ = self._pairs
        off = rows != columns
        number = np.arange(1, len(rows) + 1)
        shape = (self.n_nodes, self.n_nodes)
        upper = sp.csr_array((number, (rows, columns)), shape=shape)
        lower = sp.csr_array((-number[off], (columns[off], rows[off])), shape=shape)
        whole = upper + lower
        whole.sort_indices()
        return whole.indptr, whole.indices, np.abs(whole.data) - 1, whole.data < 0

    def block_matrix(self, blocks: np.ndarray) -> sp.bsr_matrix:
        """Whole global matrix in 3 x 3 blocks, for products and multigrid."""
        pointers, columns, gather, below = self._block_layout
        data = blocks.reshape(-1, 3, 3)[gather]
        data[below] = data[below].transpose(0, 2, 1)
        n = 3 * self.n_nodes
        return sp.bsr_matrix((data, columns, pointers), shape=(n, n), blocksize=(3, 3))
