"""How far a part bends: displacement along its axis against the end that is held in thought."""

from __future__ import annotations

import numpy as np

from .evaluate import Answer, Worst


def relative_displacement(answer: Answer, worst: Worst, surface: str | None) -> np.ndarray:
    """Displacement (3, n_nodes) with the rigid motion of a surface taken out. [mm]

    A part under balanced loads floats; what a maker sees is its bending against one end.
    """
    moved = answer.displacement(worst)
    if surface is None:
        return moved
    space = answer.model.space
    nodes = space.surface_nodes(surface)
    points = space.nodes
    centre = points[:, nodes].mean(axis=1, keepdims=True)
    arm = points - centre
    shift, turn = _rigid_fit(arm[:, nodes], moved[:, nodes])
    return moved - shift[:, None] - np.cross(turn, arm.T).T


def axis_curve(
    answer: Answer, moved: np.ndarray, slices: int = 60
) -> tuple[np.ndarray, np.ndarray]:
    """Mean sideways displacement of slices across x, along the direction that moves most.

    Returns
    -------
    station : ndarray of shape (slices,)
        Middles of the slices. [mm]
    sideways : ndarray of shape (slices,)
        [mm]
    """
    x = answer.model.space.nodes[0]
    edges = np.linspace(x.min(), x.max(), slices + 1)
    member = np.clip(np.digitize(x, edges) - 1, 0, slices - 1)
    count = np.bincount(member, minlength=slices)
    mean = np.stack([np.bincount(member, moved[k], slices) for k in (1, 2)]) / np.maximum(count, 1)
    farthest = int(np.argmax((mean**2).sum(axis=0)))
    size = np.linalg.norm(mean[:, farthest])
    direction = mean[:, farthest] / size if size > 0 else np.array([1.0, 0.0])
    kept = count > 0
    return 0.5 * (edges[1:] + edges[:-1])[kept], (direction @ mean)[kept]


def _rigid_fit(arm: np.ndarray, moved: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Translation and small rotation about the arms' origin that fit displacements best."""
    n = arm.shape[1]
    rows = np.zeros((n, 3, 6))
    rows[:, range(3), range(3)] = 1.0
    x, y, z = arm
    rows[:, 0, 4], rows[:, 0, 5] = z, -y
    rows[:, 1, 3], rows[:, 1, 5] = -z, x
    rows[:, 2, 3], rows[:, 2, 4] = y, -x
    fit = np.linalg.lstsq(rows.reshape(-1, 6), moved.T.reshape(-1), rcond=None)[0]
    return fit[:3], fit[3:]
