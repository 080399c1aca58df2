"""Pieces that only contact holds: their rigid motions, and which of these it can never stop."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.linalg import eigh

from ..loads import rigid_motions
from ..space import ElementSpace
from ..supports import body_name, connected_bodies, motion_name, plain_basis
from .zones import Zone

STOPS = 0.01
"""Share of a motion at the interface that must be stopped for contact to hold it. [-]"""

ROUGH = 0.02
"""Share of a motion that is left out of its name: the roughness of a mesh. [-]"""


@dataclass(frozen=True)
class Motions:
    """Rigid motions of pieces that the supports leave free.

    Parameters
    ----------
    space : ElementSpace
    bodies : list of ndarray of int
        Nodes of each piece, or of pieces bonded together.
    fields : ndarray of shape (n_unknowns, n)
        Displacements of each motion, largest about 1. [mm]
    parts : ndarray of shape (n, n_bodies, 6)
        The same as slides and turns of each body.
    """

    space: ElementSpace
    bodies: list[np.ndarray]
    fields: np.ndarray
    parts: np.ndarray

    @property
    def count(self) -> int:
        """Number of motions."""
        return self.fields.shape[1]

    def mixed(self, weights: np.ndarray) -> Motions:
        """Combinations (n, n_new) of these motions."""
        return Motions(
            self.space, self.bodies, self.fields @ weights, np.tensordot(weights.T, self.parts, 1)
        )

    def names(self) -> str:
        """Body that moves most, and its motions in words."""
        sizes = np.linalg.norm(self.parts, axis=(0, 2))
        body = int(sizes.argmax())
        _, strength, ways = np.linalg.svd(self.parts[:, body])
        rank = int((strength > ROUGH * strength[0]).sum())
        tidy = plain_basis(ways[:rank])
        tidy[np.abs(tidy) < ROUGH * np.abs(tidy).max(axis=1, keepdims=True)] = 0.0
        motions = "; ".join(motion_name(motion) for motion in tidy)
        return f"{body_name(self.space, self.bodies[body])}: {motions}"


def loose_motions(space: ElementSpace, held: np.ndarray, centre: np.ndarray) -> Motions:
    """All rigid motions of the pieces that supports leave free, contact not counted.

    Turns are about axes through `centre`, in the middle of the interfaces, so that a spinning
    stud is told as plain turning.
    """
    is_held = np.zeros((space.n_unknowns // 3, 3), dtype=bool)
    is_held.reshape(-1)[held] = True
    bodies = connected_bodies(space)
    fields, parts = [], []
    for number, nodes in enumerate(bodies):
        points = space.nodes[:, nodes]
        modes = rigid_motions(points, centre)
        modes[3:] /= np.linalg.norm(np.ptp(points, axis=1))
        rows = modes.transpose(2, 1, 0).reshape(-1, 6)
        fixed = rows[is_held[nodes].ravel()]
        _, strength, ways = np.linalg.svd(fixed.T @ fixed)
        free = ways[strength < 1e-9 * max(len(nodes) * 1e-6, strength[0])]
        for way in free:
            field = np.zeros((space.nodes.shape[1], 3))
            field[nodes] = (rows @ way).reshape(-1, 3)
            fields.append(field.ravel())
            part = np.zeros((len(bodies), 6))
            part[number] = way
            parts.append(part)
    shape = (space.n_unknowns, 0)
    return Motions(
        space,
        bodies,
        np.stack(fields, axis=1) if fields else np.zeros(shape),
        np.reshape(parts, (-1, len(bodies), 6)),
    )


def never_stopped(motions: Motions, zones: Sequence[Zone]) -> Motions:
    """Those combinations of motions that no zone resists even if it is closed everywhere.

    Threads that do not turn are not counted here, see :func:`not_turning`.
    """
    if not motions.count:
        return motions
    stop = np.zeros((motions.count, motions.count))
    move = 1e-8 * motions.fields.T @ motions.fields / len(motions.fields)
    by_node = motions.fields.reshape(-1, 3, motions.count)
    for zone in zones:
        area = zone.faces.areas.ravel()
        for rows in zone.rows:
            value = rows @ motions.fields
            stop += value.T @ (np.resize(area, len(value))[:, None] * value) / area.sum()
        first, second = zone.pairs
        apart = by_node[second] - by_node[first]
        move += np.einsum("pkm,pkn->mn", apart, apart, optimize=True) / len(apart)
    strength, ways = eigh(stop, move)
    return motions.mixed(ways[:, strength < STOPS**2])


def not_turning(motions: Motions, zones: Sequence[Zone]) -> Motions:
    """Those combinations of motions that turn no thread which is held against turning."""
    turns = [zone.turn @ motions.fields for zone in zones if zone.turns_held]
    if not turns or not motions.count:
        return motions
    _, strength, ways = np.linalg.svd(np.concatenate(turns))
    return motions.mixed(ways[(strength > 1e-3 * strength[0]).sum() :].T)


def orthonormal(columns: np.ndarray) -> np.ndarray:
    """Orthonormal basis of the columns' span, (n, rank)."""
    if not columns.size:
        return np.zeros((len(columns), 0))
    left, strength, _ = np.linalg.svd(columns, full_matrices=False)
    return left[:, strength > 1e-9 * strength[0]]


def strongest_unknowns(columns: np.ndarray) -> np.ndarray:
    """As many rows as columns, each the farthest from the span of those before it."""
    rest, chosen = columns.copy(), []
    for _ in range(columns.shape[1]):
        best = int((rest**2).sum(axis=1).argmax())
        unit = rest[best] / np.linalg.norm(rest[best])
        rest = rest - np.outer(rest @ unit, unit)
        chosen.append(best)
    return np.array(chosen, dtype=int)
