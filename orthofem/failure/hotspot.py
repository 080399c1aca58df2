"""Stress averaged over a ball of the material length, within one region."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.sparse import coo_array, csr_array
from scipy.spatial import cKDTree

from orthofem.errors import ModelError, check_finite, check_positive
from orthofem.tensors import FloatArray
from orthofem.tensors.voigt import six

# Fewer stress points than this in a ball make the average a sample of the mesh rather than of
# the field: a quadratic tetrahedron has four, so two or three cells (grade E).
LEAST_POINTS = 10
_CHUNK = 4096
_LARGEST = 400_000_000


def averaging(
    points: ArrayLike,
    volumes: ArrayLike,
    groups: ArrayLike,
    radius: float,
    centres: ArrayLike | None = None,
    centre_groups: ArrayLike | None = None,
) -> tuple[csr_array, NDArray[np.int64]]:
    """Weights that average point values over balls, each within one region.

    Average the components of stress in print axes first (`averaged`) and take the index of the
    average: the peak at a sharp corner grows without bound as the mesh is refined, the average
    over a material length does not.

    Parameters
    ----------
    points : array_like of shape (3, n)
        Places where the stress is known, the quadrature points. [mm]
    volumes : array_like of shape (n,)
        Volume that each point stands for. [mm³]
    groups : array_like of int of shape (n,)
        Region of each point; a ball holds points of one region only.
    radius : float
        Radius of the balls, the material length. [mm]
    centres : array_like of int of shape (m,) or of float of shape (3, m), optional
        Which of the points, or which places [mm], to average round; all points by default.
    centre_groups : array_like of int of shape (m,), optional
        Region of each place; by default that of the nearest point. A node on a border between
        regions has a value in each, so give it once per region.

    Returns
    -------
    weights : csr_array of shape (m, n)
        Each row sums to 1. [-]
    counts : ndarray of int of shape (m,)
        Points in each ball, for `check_resolution`. A ball without a point takes its nearest
        point of the region, and counts 0.

    Raises
    ------
    ValueError
        If shapes do not fit, a volume is not above zero, a number is not finite, or the radius
        is not above zero.
    ModelError
        If a region asked for has no points, or the balls would hold too many points in all.

    Examples
    --------
    >>> points = np.array([[0.0, 1, 2, 3], [0, 0, 0, 0], [0, 0, 0, 0]])
    >>> weights, counts = averaging(points, [1, 1, 2, 1], [0, 0, 0, 1], radius=1.1)
    >>> weights @ np.array([3.0, 6, 9, 100])
    array([  4.5 ,   6.75,   8.  , 100.  ])
    >>> counts
    array([2, 3, 2, 1])
    """
    points, volumes, groups = _checked(points, volumes, groups)
    radius = check_positive("radius", radius, "mm")
    places, labels = _places(points, groups, centres, centre_groups)
    rows, columns = [], []
    counts = np.zeros(places.shape[1], dtype=np.int64)
    for label in np.unique(labels):
        member = np.flatnonzero(groups == label)
        if not len(member):
            raise ModelError(
                f"Region {label} has no points to average over; regions with points are "
                f"{np.unique(groups).tolist()}."
            )
        tree = cKDTree(points[:, member].T, balanced_tree=False, compact_nodes=False)
        asked = np.flatnonzero(labels == label)
        for start in range(0, len(asked), _CHUNK):
            centre = asked[start : start + _CHUNK]
            near, inside = _in_balls(tree, places[:, centre].T, radius, counts, centre)
            rows.append(centre[near].astype(np.int32))
            columns.append(member[inside].astype(np.int32))
            _check_size(sum(map(len, rows)), len(volumes), radius)
    return _weights(rows, columns, volumes, places.shape[1]), counts


def _checked(points, volumes, groups) -> tuple[FloatArray, FloatArray, np.ndarray]:
    points, volumes = check_finite("points", points), check_finite("volumes", volumes)
    groups = np.asarray(groups)
    number = points.shape[-1]
    if points.shape != (3, number) or volumes.shape != (number,) or groups.shape != (number,):
        raise ValueError(
            f"points {points.shape}, volumes {volumes.shape} and groups {groups.shape} do not "
            "fit; they must be (3, n), (n,) and (n,)."
        )
    if number and volumes.min() <= 0:
        raise ValueError(f"The smallest volume is {volumes.min():g} mm³; it must be above zero.")
    return points, volumes, groups


def _places(points, groups, centres, centre_groups) -> tuple[FloatArray, np.ndarray]:
    """Centres as places with the region of each."""
    if centres is None:
        centres = np.arange(points.shape[1])
    centres = np.asarray(centres)
    if centres.ndim == 1 and np.issubdtype(centres.dtype, np.integer):
        places, labels = points[:, centres], groups[centres]
    elif centres.ndim == 2 and len(centres) == 3:
        places = check_finite("centres", centres)
        labels = None if centre_groups is not None else groups[cKDTree(points.T).query(places.T)[1]]
    else:
        raise ValueError(
            f"centres has shape {centres.shape} and type {centres.dtype}; give whole numbers of "
            "shape (m,), which of the points, or places of shape (3, m)."
        )
    if centre_groups is not None:
        labels = np.asarray(centre_groups)
        if labels.shape != (places.shape[1],):
            raise ValueError(
                f"centre_groups has shape {labels.shape}; there are {places.shape[1]} centres."
            )
    return places, labels


def _in_balls(tree, places, radius, counts, centre) -> tuple[np.ndarray, np.ndarray]:
    """Pairs of centre and point within the radius; the nearest point where there is none."""
    pairs = cKDTree(places).sparse_distance_matrix(tree, radius, output_type="ndarray")
    near, inside = pairs["i"], pairs["j"]
    held = np.bincount(near, minlength=len(places))
    counts[centre] = held
    empty = np.flatnonzero(held == 0)
    if len(empty):
        nearest = tree.query(places[empty])[1]
        near, inside = np.concatenate([near, empty]), np.concatenate([inside, nearest])
    return near, inside


def _check_size(number: int, n_points: int, radius: float) -> None:
    if number > _LARGEST:
        raise ModelError(
            f"Balls of radius {radius:g} mm hold more than {_LARGEST:,} of the {n_points:,} points "
            "in all; give a smaller radius, fewer centres, or a coarser mesh."
        )


def _weights(rows, columns, volumes: FloatArray, n_centres: int) -> csr_array:
    row = np.concatenate(rows) if rows else np.zeros(0, dtype=np.int32)
    column = np.concatenate(columns) if columns else np.zeros(0, dtype=np.int32)
    value = volumes[column]
    value /= np.bincount(row, weights=value, minlength=n_centres)[row]
    weights = coo_array((value, (row, column)), shape=(n_centres, len(volumes)))
    weights.has_canonical_format = True  # no pair comes twice: do not sort to find out
    return weights.tocsr()


def averaged(weights: csr_array, stress: ArrayLike) -> FloatArray:
    """Stress averaged with the weights of `averaging`.

    Parameters
    ----------
    weights : csr_array of shape (m, n)
        Weights. [-]
    stress : array_like of shape (6, n, ...)
        Stress in print axes at the points; further axes are loads. [MPa]

    Returns
    -------
    average : ndarray of shape (6, m, ...)
        Averaged stress. [MPa]

    Raises
    ------
    ValueError
        If the second axis of `stress` is not the number of points.

    Examples
    --------
    >>> weights = csr_array(np.array([[0.25, 0.75]]))
    >>> averaged(weights, np.array([[0.0, 4.0]] * 6))[0]
    array([3.])
    """
    s = six("stress", stress)
    if s.ndim < 2 or s.shape[1] != weights.shape[1]:
        raise ValueError(
            f"stress has shape {s.shape}; the weights are for {weights.shape[1]} points, so it "
            f"must be (6, {weights.shape[1]}, ...)."
        )
    flat = s.reshape(6, s.shape[1], -1)
    average = np.stack([weights @ component for component in flat])
    return average.reshape(6, weights.shape[0], *s.shape[2:])


def check_resolution(counts: ArrayLike, radius: float, least: int = LEAST_POINTS) -> None:
    """Refuse balls that hold too few points for their average to mean something.

    Parameters
    ----------
    counts : array_like of int of shape (m,)
        Points in each ball, from `averaging`.
    radius : float
        Radius of the balls, for the message. [mm]
    least : int
        Fewest points allowed.

    Raises
    ------
    ModelError
        If a ball holds fewer points; the message says how many balls do.

    Examples
    --------
    >>> check_resolution([12, 40], radius=1.0)
    """
    counts = np.asarray(counts)
    few = counts < least
    if few.any():
        raise ModelError(
            f"{int(few.sum())} of {counts.size} balls of radius {radius:g} mm hold fewer than "
            f"{least} stress points (the emptiest {int(counts.min())}). The mesh is too coarse "
            "there for a stress averaged over this length: refine it, or give a larger length."
        )
