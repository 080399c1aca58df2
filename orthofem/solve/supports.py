"""What holds a model: prescribed displacements, and the check that nothing is left free."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np
import scipy.sparse as sp
from scipy.sparse.csgraph import connected_components

from orthofem.errors import ModelError, check_finite

from .loads import rigid_motions
from .space import ElementSpace

Place = str | Callable[[np.ndarray], np.ndarray]
Value = float | Sequence[float] | Callable[[np.ndarray], np.ndarray]
ALL = (0, 1, 2)
AXES = "xyz"


@dataclass(frozen=True)
class Fixed:
    """Displacement prescribed on a surface, or at the nodes that a function picks.

    Parameters
    ----------
    where : str or callable
        Named surface, or a function of node coordinates (3, n_nodes) returning which to hold.
    components : tuple of int, optional
        Which of the displacements along x, y, z (0, 1, 2) are held.
    value : float, array of shape (3,) or callable, optional
        Displacement, or a function of points (3, n) returning (3, n). [mm]
    """

    where: Place
    components: tuple[int, ...] = ALL
    value: Value = 0.0

    def __post_init__(self):
        if not self.components or not set(self.components) <= set(ALL):
            raise ValueError(f"components = {self.components}; choose from 0, 1, 2 (x, y, z).")

    def held(self, space: ElementSpace) -> tuple[np.ndarray, np.ndarray]:
        """Unknowns held, and their displacement. [mm]."""
        nodes = _nodes(space, self.where)
        value = self.value(space.nodes[:, nodes]) if callable(self.value) else self.value
        value = check_finite("prescribed displacement", value)
        if value.shape == (3,):
            value = value[:, None]
        if value.shape not in ((), (3, 1), (3, len(nodes))):
            raise ValueError(
                f"prescribed displacement has shape {value.shape}; give one number, (3,), or a "
                f"function of points that returns (3, {len(nodes)})."
            )
        value = np.broadcast_to(value, (3, len(nodes)))
        unknowns = [3 * nodes + component for component in self.components]
        return np.concatenate(unknowns), np.concatenate([value[c] for c in self.components])


@dataclass(frozen=True)
class Balanced:
    """Six displacements that take away rigid motion and nothing else.

    For loads that balance among themselves: the six reactions are then zero, and no clamp
    disturbs the stress. A load that does not balance is refused when solved.

    Parameters
    ----------
    tolerance : float, optional
        Allowed net force or moment over the size of the loads. [-]
    """

    tolerance: float = field(default=1e-6)

    def held(self, space: ElementSpace) -> tuple[np.ndarray, np.ndarray]:
        """Unknowns held, and their displacement. [mm]."""
        unknowns = []
        for nodes in connected_bodies(space):
            unknowns.append(six_unknowns(space.nodes, nodes))
        chosen = np.concatenate(unknowns)
        return chosen, np.zeros(len(chosen))


Support = Fixed | Balanced


def hold(space: ElementSpace, supports: Sequence[Support]) -> tuple[np.ndarray, np.ndarray]:
    """All unknowns held by the supports, without doubles, and their displacements.

    Raises
    ------
    ValueError
        If there is no support, or two supports want different values of one unknown.
    ModelError
        If some rigid motion is left free; the message names it and the body.
    """
    if not supports:
        raise ValueError("No support given; add Fixed(...) or, for balanced loads, Balanced().")
    parts = [support.held(space) for support in supports]
    unknowns = np.concatenate([part[0] for part in parts])
    values = np.concatenate([part[1] for part in parts])
    distinct, first, where = np.unique(unknowns, return_index=True, return_inverse=True)
    clash = np.abs(values - values[first][where]) > 1e-12 + 1e-9 * np.abs(values)
    if clash.any():
        node, component = divmod(int(unknowns[clash][0]), 3)
        raise ValueError(
            f"Two supports prescribe different displacements along {AXES[component]} at "
            f"{space.nodes[:, node].round(3)} mm."
        )
    check_no_free_motion(space, distinct)
    return distinct, values[first]


def check_no_free_motion(space: ElementSpace, held: np.ndarray) -> None:
    """Refuse supports that leave a body free to move as a whole; name the motion."""
    is_held = np.zeros(space.n_unknowns, dtype=bool)
    is_held[held] = True
    bodies = connected_bodies(space)
    for nodes in bodies:
        points = space.nodes[:, nodes]
        centre = points.mean(axis=1)
        size = np.linalg.norm(np.ptp(points, axis=1))
        modes = rigid_motions(points, centre)
        modes[3:] /= size
        rows = modes.transpose(2, 1, 0).reshape(-1, 6)[is_held.reshape(-1, 3)[nodes].ravel()]
        _, strength, directions = np.linalg.svd(rows.T @ rows)
        free = directions[strength < 1e-9 * max(len(nodes) * 1e-6, strength[0], 1e-30)]
        if strength[0] == 0.0:
            free = directions
        if len(free):
            body = f" of {body_name(space, nodes)}" if len(bodies) > 1 else ""
            names = "; ".join(motion_name(motion) for motion in plain_basis(free))
            raise ModelError(
                f"The supports leave motion{body} free: {names}. "
                "Hold it with Fixed(...), or use Balanced() if the loads balance."
            )


def connected_bodies(space: ElementSpace) -> list[np.ndarray]:
    """Nodes of each body that hangs together, largest first."""
    cells = space.cell_nodes
    n = space.nodes.shape[1]
    first = np.repeat(cells[:1], len(cells) - 1, axis=0).ravel()
    graph = sp.coo_matrix((np.ones(first.size), (first, cells[1:].ravel())), shape=(n, n))
    count, label = connected_components(graph, directed=False)
    bodies = [np.flatnonzero(label == i) for i in range(count)]
    return sorted(bodies, key=len, reverse=True)


def _nodes(space: ElementSpace, where: Place) -> np.ndarray:
    if isinstance(where, str):
        return space.surface_nodes(where)
    nodes = np.flatnonzero(np.asarray(where(space.nodes), dtype=bool))
    if not nodes.size:
        raise ValueError("A support picks no node; check its place function.")
    return nodes


def six_unknowns(points: np.ndarray, nodes: np.ndarray) -> np.ndarray:
    """Three nodes far apart, and the six of their nine unknowns that hold the body best."""
    local = points[:, nodes]
    start = local[:, :1]
    a = np.argmax(((local - start) ** 2).sum(axis=0))
    b = np.argmax(((local - local[:, [a]]) ** 2).sum(axis=0))
    line = local[:, b] - local[:, a]
    off_line = np.cross((local - local[:, [a]]).T, line / np.linalg.norm(line))
    c = np.argmax((off_line**2).sum(axis=1))
    corners = nodes[[a, b, c]]
    modes = rigid_motions(points[:, corners], points[:, corners].mean(axis=1))
    modes[3:] /= np.linalg.norm(line)
    rows = modes.transpose(2, 1, 0).reshape(9, 6)
    unknowns = (3 * corners[:, None] + np.arange(3)).ravel()
    return unknowns[_strongest_rows(rows)]


def _strongest_rows(rows: np.ndarray) -> np.ndarray:
    """Six independent rows, each the farthest from the span of those before it."""
    rest, chosen = rows.copy(), []
    for _ in range(6):
        best = int(np.argmax((rest**2).sum(axis=1)))
        chosen.append(best)
        unit = rest[best] / np.linalg.norm(rest[best])
        rest = rest - np.outer(rest @ unit, unit)
    return np.array(chosen)


def body_name(space: ElementSpace, nodes: np.ndarray) -> str:
    """Regions that a body is made of, in words."""
    inside = np.zeros(space.nodes.shape[1], dtype=bool)
    inside[nodes] = True
    names = [
        name
        for name, cells in (space.mesh.subdomains or {}).items()
        if inside[space.cell_nodes[0, np.asarray(cells)]].any()
    ]
    return f"the body made of {', '.join(names)}" if names else f"a body of {len(nodes)} nodes"


def plain_basis(free: np.ndarray) -> np.ndarray:
    """Basis of the free motions with as many plain ones as there are (row echelon)."""
    rows = free.copy()
    pivot_row = 0
    for column in range(6):
        pivot = pivot_row + int(np.argmax(np.abs(rows[pivot_row:, column])))
        if abs(rows[pivot, column]) < 1e-6:
            continue
        rows[[pivot_row, pivot]] = rows[[pivot, pivot_row]]
        rows[pivot_row] /= rows[pivot_row, column]
        others = np.arange(len(rows)) != pivot_row
        rows[others] -= np.outer(rows[others, column], rows[pivot_row])
        pivot_row += 1
        if pivot_row == len(rows):
            break
    return rows


def motion_name(motion: np.ndarray) -> str:
    """Slide and turn, (6,), in words."""
    slide, turn = motion[:3], motion[3:]
    if np.linalg.norm(turn) < 1e-6:
        return f"sliding along {_direction(slide)}"
    if np.linalg.norm(slide) < 1e-6:
        return f"turning about {_direction(turn)}"
    return f"turning about {_direction(turn)} with sliding along {_direction(slide)}"


def _direction(vector: np.ndarray) -> str:
    unit = vector / np.linalg.norm(vector)
    main = int(np.argmax(np.abs(unit)))
    if abs(abs(unit[main]) - 1) < 1e-6:
        return AXES[main]
    return "(" + ", ".join(f"{value:.3f}" for value in unit.round(3) + 0.0) + ")"
