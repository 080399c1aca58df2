"""What a build direction costs to print: height, overhangs, supports, room on the bed."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from scipy.spatial import ConvexHull
from skfem import MeshTet1

from orthofem.errors import check_between, check_positive
from orthofem.mesh.columns import space_below
from orthofem.mesh.curved import Skin, fine_skin
from orthofem.mesh.hemisphere import across, hemisphere, unit_ways
from orthofem.mesh.overhang import overhanging, steepest

__all__ = ["PrintCosts", "cheaper_way", "hemisphere", "print_costs", "skin_costs"]


@dataclass(frozen=True)
class PrintCosts:
    """What it costs to print a piece along each of several build directions.

    Parameters
    ----------
    height : ndarray of shape (n,)
        Extent along the build direction. [mm]
    overhang_area : ndarray of shape (n,)
        Area of the skin that needs something below it. [mm2]
    support_volume : ndarray of shape (n,)
        Space below the overhanging skin, as if filled solid. [mm3]
    footprint : ndarray of shape (n,)
        Area of the convex outline of the piece's shadow on the bed. [mm2]
    bed_contact : ndarray of shape (n,)
        Area that the lowest half layer rests on the bed with. [mm2]
    """

    height: np.ndarray
    overhang_area: np.ndarray
    support_volume: np.ndarray
    footprint: np.ndarray
    bed_contact: np.ndarray

    def impractical(
        self,
        height: float = np.inf,
        support_volume: float = np.inf,
        overhang_area: float = np.inf,
        bed_contact: float = 0.0,
    ) -> np.ndarray:
        """Directions (n,) that go beyond a limit; `bed_contact` is the least, the others the most.

        Examples
        --------
        >>> one = np.ones(2)
        >>> PrintCosts(np.array([90.0, 300]), one, one, one, one).impractical(height=250)
        array([False,  True])
        """
        return (
            (self.height > height)
            | (self.support_volume > support_volume)
            | (self.overhang_area > overhang_area)
            | (self.bed_contact < bed_contact)
        )

    def __getitem__(self, chosen: Any) -> PrintCosts:
        """Costs of some of the directions."""
        return PrintCosts(*(getattr(self, field.name)[chosen] for field in fields(self)))


def print_costs(
    mesh: MeshTet1,
    cells: np.ndarray | None,
    directions: np.ndarray,
    overhang_angle: float = 45.0,
    layer: float = 0.2,
) -> PrintCosts:
    """Costs of printing a piece of a mesh along each build direction.

    Parameters
    ----------
    mesh : MeshTet2 or MeshTet1
        The mesh. [mm]
    cells : ndarray of int or None
        Cells of the piece; all if None.
    directions : ndarray of shape (3, n)
        Ways up on the bed; need not be unit vectors.
    overhang_angle : float
        Skin that faces down and is nearer to level than this needs something below it. [degree]
    layer : float
        Thickness of a layer. [mm]

    Returns
    -------
    costs : PrintCosts
        See `skin_costs`, which this calls with the piece's closed skin, `fine_skin`.

    Raises
    ------
    ValueError
        See `skin_costs`.

    Examples
    --------
    >>> from skfem import MeshTet
    >>> print_costs(MeshTet(), None, np.array([[1.0, 1], [0, 1], [0, 0]])).height
    array([1.  , 1.41])
    """
    return skin_costs(fine_skin(mesh, cells), directions, overhang_angle, layer)


def skin_costs(
    skin: Skin, directions: np.ndarray, overhang_angle: float = 45.0, layer: float = 0.2
) -> PrintCosts:
    """Costs of printing a body of closed skin along each build direction.

    Parameters
    ----------
    skin : Skin
        `fine_skin` of a mesh, or `flat_skin` of triangles.
    directions : ndarray of shape (3, n)
        Ways up on the bed; need not be unit vectors.
    overhang_angle : float
        Skin that faces down and is nearer to level than this needs something below it. [degree]
    layer : float
        Thickness of a layer. [mm]

    Returns
    -------
    costs : PrintCosts

    Raises
    ------
    ValueError
        If a direction is no direction, the angle not within 0 to 90 degrees, or the layer not
        above zero.

    Notes
    -----
    The bed touches the lowest point. Skin faces down where its outward normal does; its slope
    is the angle between its plane and the bed, 0 for a ceiling and 90 for a wall. It overhangs
    where it faces down and its slope is below `overhang_angle`; a chamfer of just that angle does
    not (see `overhanging`). Facets that meet at less than 35 degrees are
    one curved surface: its slope changes steadily over them, and they are cut where it passes the
    limit. What lies within half a layer of the bed rests on it and does not overhang.

    - height, footprint: exact for the triangles. The shadow of the convex hull is the convex
      outline of the shadow, and its area half the sum of all hull facets' shadows.
    - overhang area, bed contact (as its shadow on the bed): exact for the triangles, their slope
      taken as above.
    - support volume: `space_below`, down to the bed or to the piece itself, whichever comes
      first; exact over open bed, else within some parts in a thousand.

    Examples
    --------
    >>> from skfem import MeshTet
    >>> costs = skin_costs(fine_skin(MeshTet()), np.array([[0.0, 1], [0, 1], [1, 0]]))
    >>> costs.footprint  # flat on a face; standing on an edge
    array([1.  , 1.41421356])
    >>> costs.overhang_area  # its two lower faces slope by 45 degrees, the limit: none
    array([0., 0.])
    """
    up = unit_ways(directions)
    check_between("overhang_angle", overhang_angle, 0, 90, "degree")
    slack = check_positive("layer", layer, "mm") / 2
    area = _normal_area(skin.points[:, skin.triangles])
    rows = [_one(skin, area, way, overhang_angle, slack) for way in up.T]
    height, overhang, support, contact = np.array(rows).reshape(-1, 4).T
    return PrintCosts(height, overhang, support, _hull_shadow(skin.points, up), contact)


def cheaper_way(
    mesh: MeshTet1,
    cells: np.ndarray | None,
    directions: np.ndarray,
    overhang_angle: float = 45.0,
    layer: float = 0.2,
) -> tuple[np.ndarray, PrintCosts]:
    """Turn each build direction to the cheaper of its two ends, and say what that costs.

    Layers lie the same way for a direction and its opposite, and so does strength; the cost of
    printing differs.

    Parameters
    ----------
    mesh, cells, directions, overhang_angle, layer
        As in `print_costs`.

    Returns
    -------
    directions : ndarray of shape (3, n)
        As given or turned round, unit vectors: the end with less support volume; where that is
        alike within a millionth of the piece's box, the one that rests on the bed with more area;
        else as given.
    costs : PrintCosts
        Of these directions.
    """
    up = unit_ways(directions)
    n = up.shape[1]
    costs = print_costs(mesh, cells, np.hstack([up, -up]), overhang_angle, layer)
    given, opposite = costs[:n], costs[n:]
    alike = 1e-6 * np.max(costs.footprint * costs.height, initial=0.0)
    gain = given.support_volume - opposite.support_volume
    rests = opposite.bed_contact > given.bed_contact * (1 + 1e-6)
    turned = (gain > alike) | ((np.abs(gain) <= alike) & rests)
    return np.where(turned, -up, up) + 0.0, costs[np.arange(n) + n * turned]  # no minus zero


def _one(
    skin: Skin, area: np.ndarray, up: np.ndarray, angle: float, slack: float
) -> tuple[float, float, float, float]:
    """Height, overhang area, support volume and bed contact of one direction."""
    placed = np.stack([*across(up), up]) @ skin.points
    placed[2] -= placed[2].min()
    shadow = up @ area
    height = placed[2, skin.triangles]
    resting = _resting(skin, up, height, np.flatnonzero(shadow < 0), slack)
    contact = np.maximum(-shadow, 0) @ resting
    down = np.flatnonzero((shadow < 0) & (resting < 1))
    slope = (up @ skin.normals.reshape(3, -1)).reshape(3, -1)[:, down]
    over_one = slope.min(axis=0) < -steepest(angle)
    down, whole = down[over_one], (slope.max(axis=0) < -steepest(angle))[over_one]
    over, owner = overhanging(
        placed[:, skin.triangles[:, down]], skin.normals[:, :, down], up, angle
    )
    cut = _share_below(np.sort(over[2], axis=0), slack)
    free = 1 - np.where(whole[owner], resting[down][owner], cut)
    overhang = np.linalg.norm(_normal_area(over), axis=0) @ free
    support = space_below(over, placed, skin.triangles[:, shadow > 0])
    return placed[2].max(), float(overhang), support, float(contact)


def _resting(
    skin: Skin, up: np.ndarray, height: np.ndarray, down: np.ndarray, slack: float
) -> np.ndarray:
    """Share of each triangle (m,) that lies within the slack above the lowest point.

    Heights over a triangle are quadratic, from its corners and its edges' bulges.
    """
    resting = np.zeros(height.shape[1])
    near = down[height[:, down].min(axis=0) < 2 * slack]
    corners = height[:, near]
    middles = (corners + np.roll(corners, -1, axis=0)) / 2
    middles += np.tensordot(up, skin.bulges[:, :, near], 1)
    fine = _FINE @ np.concatenate([corners, middles])
    fine -= min(fine.min(initial=0.0), 0.0)
    parts = fine[_PIECES]
    resting[near] = _share_below(np.sort(parts, axis=1).swapaxes(0, 1), slack).mean(axis=0)
    return resting


def _fine(n: int) -> tuple[np.ndarray, np.ndarray]:
    """Quadratic shares of six nodes at the points of a triangle cut in n^2, and those pieces."""
    place = [(i, j) for i in range(n + 1) for j in range(n + 1 - i)]
    number = {point: k for k, point in enumerate(place)}
    a, b = np.array(place).T / n
    c = 1 - a - b
    shares = np.stack([a * (2 * a - 1), b * (2 * b - 1), c * (2 * c - 1),
                       4 * a * b, 4 * b * c, 4 * c * a], axis=1)  # fmt: skip
    pieces = [((i, j), (i + 1, j), (i, j + 1)) for i, j in place if i + j < n]
    pieces += [((i + 1, j), (i + 1, j + 1), (i, j + 1)) for i, j in place if i + j < n - 1]
    return shares, np.array([[number[point] for point in piece] for piece in pieces])


_FINE, _PIECES = _fine(4)


def _normal_area(corners: np.ndarray) -> np.ndarray:
    """Area vectors (3, m) of triangles given by their corners (3, 3, m)."""
    a, b, c = np.moveaxis(corners, 1, 0)
    return np.cross(b - a, c - a, axis=0) / 2


def _share_below(height: np.ndarray, level: float) -> np.ndarray:
    """Share of each triangle's area below a level, its corners' heights (3, m) being sorted."""
    low, middle, high = height
    tiny = np.finfo(float).tiny  # keeps a level edge from dividing by zero
    risen = np.clip(level, low, middle) - low
    left = high - np.clip(level, middle, high)
    rising = risen**2 / np.maximum((middle - low) * (high - low), tiny)
    falling = 1 - left**2 / np.maximum((high - middle) * (high - low), tiny)
    return np.where(level < middle, rising, falling)


def _hull_shadow(points: np.ndarray, up: np.ndarray) -> np.ndarray:
    """Area of the convex outline of the shadow along each direction."""
    hull = ConvexHull(points.T)
    return np.abs(up.T @ _normal_area(points[:, hull.simplices.T])).sum(axis=1) / 2
