"""A plane cut through a mesh: the flat picture of what is inside."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from skfem import MeshTet1

from orthofem.errors import check_finite

# A ten-node tetrahedron as eight flat ones: four corners, and the octahedron between them
# split along the line from the middle of edge 01 to the middle of edge 23.
_EIGHT = np.array(
    [
        [0, 4, 6, 7], [4, 1, 5, 8], [6, 5, 2, 9], [7, 8, 9, 3],
        [4, 9, 6, 7], [4, 9, 7, 8], [4, 9, 8, 5], [4, 9, 5, 6],
    ]
)  # fmt: skip
_EDGES = np.array([[0, 1], [0, 2], [0, 3], [1, 2], [1, 3], [2, 3]])


def _crossed_edges() -> tuple[np.ndarray, np.ndarray]:
    """For each pattern of corners below the plane: the crossed edges in cyclic order."""
    table = np.full((16, 4), -1)
    number = {tuple(edge): k for k, edge in enumerate(_EDGES.tolist())}
    for pattern in range(1, 15):
        below = [k for k in range(4) if pattern >> k & 1]
        above = [k for k in range(4) if not pattern >> k & 1]
        if len(below) == 2:
            (a, b), (c, d) = below, above
            pairs = [(a, c), (a, d), (b, d), (b, c)]
        else:
            pairs = [(k, m) for k in below for m in above]
        table[pattern, : len(pairs)] = [number[min(p), max(p)] for p in pairs]
    return table, (table >= 0).sum(axis=1)


_CROSSED, _N_CROSSED = _crossed_edges()


@dataclass(frozen=True)
class Section:
    """A plane cut through a mesh.

    Parameters
    ----------
    points : ndarray of shape (2, n_points)
        Cut points along the two in-plane axes, measured from the part's origin. [mm]
    triangles : ndarray of shape (3, n_triangles)
        Columns of `points`, counter-clockwise seen against the normal.
    values : ndarray of shape (n_points,) or (k, n_points)
        Nodal values carried to the cut points.
    cell_of : ndarray of shape (n_triangles,)
        Cell that each triangle lies in.
    frame : ndarray of shape (3, 3)
        Columns: horizontal axis, vertical axis and normal of the cut, in part axes.
    offset : float
        Distance of the plane from the part's origin along the normal. [mm]
    """

    points: np.ndarray
    triangles: np.ndarray
    values: np.ndarray
    cell_of: np.ndarray
    frame: np.ndarray
    offset: float

    @property
    def area(self) -> float:
        """Area of the cut [mm²]."""
        return float(_twice_areas(self.points, self.triangles).sum() / 2)

    @property
    def points_in_part(self) -> np.ndarray:
        """Cut points in part axes, shape (3, n_points) [mm]."""
        return self.frame[:, :2] @ self.points + self.offset * self.frame[:, 2:]


def section_frame(normal: np.ndarray) -> np.ndarray:
    """In-plane axes and normal of a cut, the stick's x axis horizontal where the cut allows.

    Parameters
    ----------
    normal : array_like of shape (3,)
        Normal of the plane, of any length, in part axes.

    Returns
    -------
    frame : ndarray of shape (3, 3)
        Columns horizontal, vertical, normal: right-handed, in part axes. A cut across the
        stick has y horizontal.

    Raises
    ------
    ValueError
        If the normal is not three finite numbers or has no length.

    Examples
    --------
    >>> section_frame([0, -2, 0]).T
    array([[ 1.,  0.,  0.],
           [ 0.,  0.,  1.],
           [ 0., -1.,  0.]])
    """
    normal = check_finite("normal", normal)
    if normal.shape != (3,) or not normal.any():
        raise ValueError(f"normal is {normal.tolist()}; give three numbers, not all zero.")
    normal = normal / np.linalg.norm(normal)
    leading = np.eye(3)[0 if abs(normal[0]) < 0.99 else 1]
    horizontal = leading - (leading @ normal) * normal
    horizontal = horizontal / np.linalg.norm(horizontal)
    return np.stack([horizontal, np.cross(normal, horizontal), normal], axis=1) + 0.0


def plane_section(
    mesh: MeshTet1,
    point: np.ndarray,
    normal: np.ndarray,
    nodal_values: np.ndarray,
    cells: np.ndarray | None = None,
) -> Section:
    """Cut a tetrahedral mesh with a plane and carry nodal values on to the cut.

    Each ten-node tetrahedron is cut as eight flat ones, so curved sides appear as chords.

    Parameters
    ----------
    mesh : MeshTet2 or MeshTet1
        The mesh.
    point : array_like of shape (3,)
        A point of the plane, in part axes. [mm]
    normal : array_like of shape (3,)
        Normal of the plane; the picture is seen from the side it points to.
    nodal_values : ndarray of shape (n_nodes,) or (k, n_nodes)
        Values at `mesh.doflocs`.
    cells : ndarray of int, optional
        Cells to cut; all if left out.

    Returns
    -------
    section : Section
        The cut, without triangles where the plane misses the material.

    Raises
    ------
    ValueError
        If the plane is not finite, the normal has no length, or there is not one value a node.

    Notes
    -----
    A node on the plane counts as above it, so a plane along mesh faces takes the face from the
    cells below and covers nothing twice.

    References
    ----------
    .. [1] The rule of one triangle or one quadrangle a tetrahedron is given by A. Doi and
       A. Koide, "An efficient method of triangulating equi-valued surfaces by using
       tetrahedral cells", IEICE Transactions E74(1), 1991, 214-224.
    """
    values = np.asarray(nodal_values, dtype=float)
    n_nodes = mesh.doflocs.shape[1]
    if values.ndim not in (1, 2) or values.shape[-1] != n_nodes:
        raise ValueError(
            f"nodal_values has shape {values.shape}; give one value a node, ({n_nodes},) or "
            f"(k, {n_nodes})."
        )
    frame = section_frame(normal)
    offset = float(check_finite("point", point) @ frame[:, 2])
    height = _heights(mesh, frame[:, 2], offset)
    flat, cell_of = _flat_tetrahedra(mesh, height, cells)
    ends, cell_of = _cut(flat, cell_of, height)
    (low, high), triangles = _shared(_snapped(ends, height), n_nodes)
    gap = height[high] - height[low]
    share = np.divide(-height[low], gap, out=np.zeros(low.size), where=gap != 0)
    points = frame[:, :2].T @ _between(mesh.doflocs, low, high, share)
    triangles, cell_of = _counter_clockwise(points, triangles, cell_of)
    carried = _between(values, low, high, share)
    return Section(points, triangles, carried, cell_of, frame, offset)


def _heights(mesh: MeshTet1, normal: np.ndarray, offset: float) -> np.ndarray:
    """Height of every node above the plane, with nodes as good as on it put on it."""
    height = normal @ mesh.doflocs - offset
    height[np.abs(height) < 1e-9 * np.ptp(mesh.doflocs, axis=1).max()] = 0.0
    return height


def _flat_tetrahedra(
    mesh: MeshTet1, height: np.ndarray, cells: np.ndarray | None
) -> tuple[np.ndarray, np.ndarray]:
    """Flat tetrahedra (4, n) of the cells that the plane meets, and their cells."""
    nodes = mesh.dofs.element_dofs
    cells = np.arange(nodes.shape[1]) if cells is None else np.asarray(cells, dtype=int)
    below = height[nodes[:, cells]] < 0
    cells = cells[below.any(axis=0) & ~below.all(axis=0)]
    if nodes.shape[0] == 4:
        return nodes[:, cells], cells
    eight = nodes[_EIGHT.T][:, :, cells]
    return eight.reshape(4, -1), np.tile(cells, 8)


def _cut(
    flat: np.ndarray, cell_of: np.ndarray, height: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """End nodes (2, 3, n) of the crossed edges at the corners of each cut triangle."""
    pattern = (1 << np.arange(4)) @ (height[flat] < 0)
    corners, owners = [], []
    for start in (0, 1):  # corners 0, 1, 2 of every cut, and 0, 2, 3 where it has four
        chosen = np.flatnonzero(_N_CROSSED[pattern] >= 3 + start)
        edges = _CROSSED[pattern[chosen]][:, [0, 1 + start, 2 + start]]
        corners.append(flat[_EDGES[edges].transpose(2, 1, 0), chosen])
        owners.append(cell_of[chosen])
    return np.concatenate(corners, axis=2), np.concatenate(owners)


def _snapped(ends: np.ndarray, height: np.ndarray) -> np.ndarray:
    """Name a cut point by its node, twice, where it falls on one, so that neighbours share it."""
    on = height[ends] == 0
    return np.where(on.any(axis=0), np.where(on[0], ends[0], ends[1]), np.sort(ends, axis=0))


def _shared(ends: np.ndarray, n_nodes: int) -> tuple[np.ndarray, np.ndarray]:
    """Each pair of end nodes once, (2, n_points), and the triangles on these points."""
    keys = ends[0].astype(np.int64) * n_nodes + ends[1]
    unique, inverse = np.unique(keys, return_inverse=True)
    return np.stack([unique // n_nodes, unique % n_nodes]), inverse.reshape(keys.shape)


def _between(values: np.ndarray, low: np.ndarray, high: np.ndarray, share: np.ndarray):
    return values[..., low] * (1 - share) + values[..., high] * share


def _counter_clockwise(
    points: np.ndarray, triangles: np.ndarray, cell_of: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Drop triangles shrunk to a line by snapping, and turn the others the same way round."""
    a, b, c = triangles
    kept = (a != b) & (b != c) & (c != a)
    triangles, cell_of = triangles[:, kept], cell_of[kept]
    turned = _twice_areas(points, triangles) < 0
    return np.where(turned, triangles[[0, 2, 1]], triangles), cell_of


def _twice_areas(points: np.ndarray, triangles: np.ndarray) -> np.ndarray:
    a, b, c = (points[:, corner] for corner in triangles)
    (x1, y1), (x2, y2) = b - a, c - a
    return x1 * y2 - x2 * y1
