"""Values at any place from scattered ones: a linear fit to the nearest, weighted by nearness."""

from __future__ import annotations

import numpy as np
from scipy.sparse import csr_array
from scipy.spatial import cKDTree

from orthofem.tensors import FloatArray

NEAREST = 32
"""Points in a fit: the samples of about one cell."""

_CHUNK = 8192


def fitted(points: FloatArray, volumes: FloatArray, places: FloatArray) -> csr_array:
    """Weights that read a scattered field at places, exact for linear fields.

    Parameters
    ----------
    points : ndarray of shape (3, n)
        Where the field is known. [mm]
    volumes : ndarray of shape (n,)
        Volume that each point stands for. [mm³]
    places : ndarray of shape (3, m)
        Where it is wanted; inside the cloud, or just outside. [mm]

    Returns
    -------
    weights : csr_array of shape (m, n)
        Each row sums to 1. [-]

    Notes
    -----
    Moving least squares, Lancaster P, Salkauskas K 1981, Math. Comp. 37:141-158 (M-h), with the
    window (1 - (d/d_max)²)² times the volume.

    Examples
    --------
    >>> points = np.stack(np.meshgrid(*[np.arange(4.0)] * 3)).reshape(3, -1)
    >>> weights = fitted(points, np.ones(64), np.array([[1.3], [0.2], [2.5]]))
    >>> (weights @ points.T).round(9)
    array([[1.3, 0.2, 2.5]])
    """
    count = min(NEAREST, points.shape[1])
    tree = cKDTree(points.T)
    columns, values = [], []
    for start in range(0, places.shape[1], _CHUNK):
        here = places[:, start : start + _CHUNK].T
        distance, near = tree.query(here, k=count)
        distance, near = distance.reshape(len(here), -1), near.reshape(len(here), -1)
        columns.append(near.ravel())
        values.append(_rows(points, volumes, here, distance, near).ravel())
    row = np.repeat(np.arange(places.shape[1]), count)
    column = np.concatenate(columns) if columns else row
    value = np.concatenate(values) if values else np.zeros(0)
    return csr_array((value, (row, column)), shape=(places.shape[1], points.shape[1]))


def _rows(points, volumes, here, distance, near) -> FloatArray:
    """Value of the fit at each place as weights of its nearest points, (m, count)."""
    width = 1.001 * distance[:, -1:] + 1e-300
    window = volumes[near] * (1 - (distance / width) ** 2) ** 2
    offset = (points[:, near] - here.T[:, :, None]) / width  # (3, m, count), of size one
    basis = np.concatenate([np.ones((1, *near.shape)), offset]).transpose(1, 0, 2)
    weighted = basis * window[:, None]
    normal = weighted @ basis.transpose(0, 2, 1)
    pull = np.linalg.pinv(normal, rcond=1e-10, hermitian=True)[:, 0]
    return np.einsum("ma,mac->mc", pull, weighted)
