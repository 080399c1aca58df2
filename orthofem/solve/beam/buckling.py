"""How many times the axial force a beam carries before it buckles."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp
from numpy.typing import ArrayLike
from scipy.linalg import eigh

from orthofem.errors import ModelError

from .line import Beam
from .statics import HeldBeam, Hold

_SPARE, _DEPTH, _ROUNDS, _CLOSE = 4, 6, 60, 1e-10


@dataclass(frozen=True)
class Buckling:
    """Lowest buckling loads.

    Parameters
    ----------
    factors : ndarray of shape (n,)
        Numbers that the axial force is multiplied with to buckle the beam, rising; inf where
        it does not buckle. [-]
    shapes : ndarray of shape (n_unknowns, n)
        Their shapes, the largest sideways displacement 1 mm. [mm, rad]
    """

    factors: np.ndarray
    shapes: np.ndarray


def buckling(line: Beam, holds: Sequence[Hold], axial: ArrayLike, count: int = 2) -> Buckling:
    """Find the lowest factors on an axial force that leave a supported beam without stiffness.

    Parameters
    ----------
    line : Beam
    holds : sequence of Hold
    axial : array_like of shape (n_elements,) or ()
        Axial force, tension positive: give compression as a negative number. [N]
    count : int, optional
        How many; a round stick has two at each load.

    Raises
    ------
    ModelError
        If the supports leave the beam loose, or the iteration does not settle.

    Notes
    -----
    K u = -f K_G u, small bending before buckling, moduli constant.
    """
    made = HeldBeam(line, holds, line.element_stiffness)
    values, shapes = largest_ratios(made, line, -line.geometric(axial), count)
    factors = np.where(values > 0, 1.0 / np.where(values > 0, values, 1.0), np.inf)
    sideways = np.abs(shapes[np.unique(line.unknowns[:, 1:3])]).max(axis=0)
    return Buckling(factors, shapes / np.where(sideways > 0, sideways, 1.0))


def largest_ratios(made: HeldBeam, line: Beam, matrix: sp.csc_array, count: int) -> tuple:
    """Largest values and their vectors of matrix v = value K v, springs of supports in K.

    Values at or below round-off are given as zero. Blocks of vectors, so that pairs of equal
    values are all found: a round beam has them.

    Raises
    ------
    ModelError
        If the iteration does not settle.
    """
    scale, free = made.scale[:, None], made.free
    inner = matrix.tocsr()[free][:, free]

    def apply(vectors: np.ndarray) -> np.ndarray:
        return made.halved(scale * (inner @ (scale * made.halved(vectors, transposed=True))))

    random = np.random.default_rng(59201377)
    width = min(count + _SPARE, len(free))
    block, before = random.uniform(-1.0, 1.0, (len(free), width)), np.full(count, np.nan)
    for _ in range(_ROUNDS):
        basis = [block]
        for _ in range(_DEPTH):
            block = np.linalg.qr(apply(block))[0]
            basis.append(block)
        whole = np.linalg.qr(np.concatenate(basis, axis=1))[0]
        small = whole.T @ apply(whole)
        values, vectors = eigh((small + small.T) / 2.0)
        values, block = values[::-1], whole @ vectors[:, ::-1][:, :width]
        size = np.abs(values).max()
        found = np.where(values[:count] > _CLOSE * size, values[:count], 0.0)
        if np.allclose(found, before, rtol=_CLOSE, atol=0.01 * _CLOSE * size):
            shapes = np.zeros((line.n_unknowns, len(found)))
            shapes[free] = scale * made.halved(block[:, : len(found)], transposed=True)
            return found, shapes
        before = found
    raise ModelError(
        "The eigenvalue iteration of the beam did not settle. Look for sections that are far "
        "stiffer or softer than their neighbours."
    )
