"""Reading an STL file: a closed surface of triangles, checked before it is filled."""

from __future__ import annotations

from dataclasses import dataclass

import meshio
import numpy as np

from orthofem.errors import ModelError
from orthofem.mesh.crossing import crossings
from orthofem.mesh.groups import connected
from orthofem.parts import UNITS, Imported, check_part_path

_SHOWN = 3  # places named for each kind of problem


@dataclass(frozen=True)
class Surface:
    """Triangles with shared corners.

    Parameters
    ----------
    points : ndarray of shape (3, n_points)
        Corners [mm].
    triangles : ndarray of shape (3, n_triangles)
        Corner numbers.
    """

    points: np.ndarray
    triangles: np.ndarray

    @property
    def volume(self) -> float:
        """Enclosed volume, below zero where the triangles face inwards [mm3]."""
        a, b, c = self.points[:, self.triangles].transpose(1, 0, 2)
        return float(np.einsum("in,in->", a, np.cross(b, c, axis=0)) / 6)

    @property
    def areas(self) -> np.ndarray:
        """Areas of the triangles, shape (n_triangles,) [mm2]."""
        a, b, c = self.points[:, self.triangles].transpose(1, 0, 2)
        return np.linalg.norm(np.cross(b - a, c - a, axis=0), axis=0) / 2

    @property
    def box(self) -> np.ndarray:
        """Low and high corner, shape (2, 3) [mm]."""
        return np.array([self.points.min(axis=1), self.points.max(axis=1)])


def read_stl(solid: Imported) -> Surface:
    """Read the triangles of an STL file and join their corners, in mm.

    Raises
    ------
    ModelError
        If the file cannot be read, holds no triangles, or a coordinate is not finite.
    """
    path = check_part_path(solid.path)
    try:
        # the reader guesses binary or text by a product that overflows for text
        with np.errstate(over="ignore"):
            mesh = meshio.read(path, file_format="stl")
        triangles = mesh.cells_dict["triangle"]
    except Exception as error:  # the reader raises many kinds, SystemExit not among them
        raise ModelError(
            f"'{path}' could not be read as an STL file: {error or type(error).__name__}. "
            "Export it again."
        ) from error
    if not len(triangles):
        raise ModelError(f"'{path}' holds no triangles; export it again.")
    corners = np.asarray(mesh.points, float)[triangles.ravel()]
    corners *= UNITS[solid.unit or "mm"] * solid.scale
    if not np.isfinite(corners).all():
        bad = int(np.argwhere(~np.isfinite(corners).all(axis=1))[0, 0]) // 3
        raise ModelError(f"'{path}': triangle {bad} has a coordinate that is no finite number.")
    size = np.linalg.norm(np.ptp(corners, axis=0))
    key = np.round((corners - corners.min(axis=0)) / (1e-7 * size)).astype(np.int64)
    _, first, number = np.unique(key, axis=0, return_index=True, return_inverse=True)
    return Surface(corners[first].T.copy(), number.reshape(-1, 3).T.copy())


def problems(surface: Surface) -> tuple[str, ...]:
    """What keeps a surface from enclosing a solid, each with its place; empty if nothing."""
    found = [*_degenerate(surface), *_edges(surface)]
    pairs = crossings(surface.points, surface.triangles)
    if pairs.shape[1]:
        centres = surface.points[:, surface.triangles[:, pairs[0]]].mean(axis=1)
        found.append(
            f"the surface crosses itself: {pairs.shape[1]} pairs of triangles, near "
            f"{_places(centres)}"
        )
    if not found:
        found += _shells(surface)
    return tuple(found)


def _degenerate(surface: Surface) -> list[str]:
    size = np.linalg.norm(surface.box[1] - surface.box[0])
    flat = np.flatnonzero(surface.areas < 1e-12 * size**2)
    if not flat.size:
        return []
    centres = surface.points[:, surface.triangles[:, flat]].mean(axis=1)
    return [f"{flat.size} triangles without area, near {_places(centres)}"]


def _edges(surface: Surface) -> list[str]:
    """Edges that are open, shared by more than two triangles, or turned the wrong way."""
    t = surface.triangles
    directed = np.hstack([t[[0, 1]], t[[1, 2]], t[[2, 0]]])
    edges, number, count = np.unique(
        np.sort(directed, axis=0), axis=1, return_inverse=True, return_counts=True
    )
    sense = np.bincount(number.ravel(), np.where(directed[0] < directed[1], 1, -1))
    middle = surface.points[:, edges].mean(axis=1)
    kinds = (
        (count == 1, "open: {} edges belong to one triangle only"),
        (count > 2, "non-manifold: {} edges belong to more than two triangles"),
        ((count == 2) & (sense != 0), "{} edges join triangles that face opposite ways"),
    )
    return [
        f"{text.format(int(bad.sum()))}, near {_places(middle[:, bad])}"
        for bad, text in kinds
        if bad.any()
    ]


def _shells(surface: Surface) -> list[str]:
    """Refuse more than one closed surface."""
    a, b, c = surface.triangles
    label = connected(surface.points.shape[1], np.concatenate([a, b]), np.concatenate([b, c]))
    shells = np.unique(label[surface.triangles[0]])
    if shells.size == 1:
        return []
    return [
        f"{shells.size} separate closed surfaces, with points at "
        f"{_places(surface.points[:, shells])}; give each body a file of its own"
    ]


def smooth_faces(points: np.ndarray, triangles: np.ndarray, sharp: float) -> np.ndarray:
    """Number the faces of a closed surface: triangles that meet without a sharp edge are one.

    Parameters
    ----------
    points : ndarray of shape (3, n_points)
        Corners [mm].
    triangles : ndarray of shape (3, n_triangles)
        Corner numbers.
    sharp : float
        Edges that bend by more than this part two faces [degrees].

    Returns
    -------
    face : ndarray of shape (n_triangles,)
        Equal for triangles of one face.
    """
    count = triangles.shape[1]
    ends = np.sort(np.hstack([triangles[[0, 1]], triangles[[1, 2]], triangles[[2, 0]]]), axis=0)
    apex = np.concatenate([triangles[2], triangles[0], triangles[1]])
    order = np.lexsort(ends)
    first, second = order[::2], order[1::2]  # a closed surface has each edge twice
    start, stop = points[:, ends[0, first]], points[:, ends[1, first]]
    along = (stop - start) / np.linalg.norm(stop - start, axis=0)

    def away(corner: np.ndarray) -> np.ndarray:
        """Unit direction from the edge to a triangle's third corner, square to the edge."""
        to = points[:, corner] - start
        to -= along * np.einsum("in,in->n", along, to)
        return to / np.linalg.norm(to, axis=0)

    cosine = np.einsum("in,in->n", away(apex[first]), away(apex[second]))
    smooth = cosine < -np.cos(np.radians(sharp))
    return connected(count, first[smooth] % count, second[smooth] % count)


def _places(points: np.ndarray) -> str:
    """Name the first few of some points (3, n)."""
    names = [f"({x:.4g}, {y:.4g}, {z:.4g})" for x, y, z in points[:, :_SHOWN].T]
    more = ", ..." if points.shape[1] > _SHOWN else ""
    return ", ".join(names) + more + " mm"
