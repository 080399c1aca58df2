"""Where words fit best within an area."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np


def deepest(
    pixels: np.ndarray, inside: np.ndarray, size: np.ndarray, taken: Sequence[np.ndarray] = ()
) -> tuple[np.ndarray, float]:
    """Place in an area where a box of words has most room.

    Parameters
    ----------
    pixels : ndarray of shape (2, n)
        Points of a fine grid over the whole picture.
    inside : ndarray of bool of shape (n,)
        Points within the area.
    size : ndarray of shape (2,)
        Width and height of the box.
    taken : sequence of ndarray of shape (2,)
        Points that the box should not cover.

    Returns
    -------
    place : ndarray of shape (2,)
        Middle of the box; of all points where the area is empty.
    room : float
        How many times as large the box could be; 1 where it just fits, 0 where the area is empty.

    Examples
    --------
    >>> x, y = np.meshgrid(np.arange(9.0), np.arange(5.0))
    >>> pixels = np.stack([x.ravel(), y.ravel()])
    >>> place, room = deepest(pixels, (pixels > 0).all(axis=0), np.array([4.0, 1.0]))
    >>> place, float(room)
    (array([4., 2.]), 2.0)
    """
    if not np.any(inside):
        return pixels.mean(axis=1), 0.0
    within = pixels[:, inside]
    low, high = pixels.min(axis=1, keepdims=True), pixels.max(axis=1, keepdims=True)
    edge = np.minimum(within - low, high - within) / (size[:, None] / 2)
    room = edge.min(axis=0)
    others = [pixels[:, ~inside], *[np.asarray(point)[:, None] for point in taken]]
    for k in range(0, within.shape[1], 256):
        block = within[:, k : k + 256]
        for other in others:
            if other.size:
                apart = np.abs(block[:, :, None] - other[:, None]) / (size[:, None, None] / 2)
                room[k : k + 256] = np.minimum(room[k : k + 256], apart.max(axis=0).min(axis=1))
    best = int(np.argmax(room))
    return within[:, best], float(room[best])


def apart(places: np.ndarray, gap: float, low: np.ndarray, high: np.ndarray) -> np.ndarray:
    """Push places apart to about a gap, within a box, each as little as it takes.

    Parameters
    ----------
    places : ndarray of shape (2, n)
        Where they would like to be.
    gap : float
        Distance wanted between any two.
    low, high : ndarray of shape (2,)
        Corners of the box.

    Returns
    -------
    places : ndarray of shape (2, n)

    Examples
    --------
    >>> moved = apart(np.array([[0.0, 0.1, 9], [0, 0, 0]]), 2.0, np.zeros(2), np.full(2, 9.0))
    >>> (np.linalg.norm(moved[:, 0] - moved[:, 1]) > 1.99), moved[:, 2]
    (np.True_, array([9., 0.]))
    """
    moved = places.astype(float)
    n = moved.shape[1]
    moved += 1e-3 * gap * np.stack([np.cos(np.arange(n)), np.sin(np.arange(n))])  # none coincide
    for _ in range(300):
        step = moved[:, :, None] - moved[:, None]
        distance = np.linalg.norm(step, axis=0) + np.eye(n) * 1e9
        short = np.maximum(gap - distance, 0)
        if not short.any():
            break
        moved += 0.5 * (step / distance * short).sum(axis=2)
        moved = np.clip(moved, low[:, None], high[:, None])
    return moved
