"""Displacements of split pieces as a common motion, as if bonded, and what comes apart on top."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp
from scipy.sparse.csgraph import connected_components

from orthofem.errors import ModelError

from .zones import Zone


@dataclass(frozen=True)
class SplitBasis:
    """Columns that span all displacements the supports leave free.

    ``displacement = matrix @ coordinates + prescribed``. The first coordinates move
    all copies of a node together; the others move one copy against the rest, along directions
    of its own.

    Parameters
    ----------
    matrix : sparse matrix (n_unknowns, n_coordinates)
    prescribed : ndarray of shape (n_unknowns,)
        Displacement of the supports, and how far tightened threads draw copies apart. [mm]
    leading : ndarray of int, shape (n_common,)
        Unknown that each common coordinate is the displacement of.
    apart : ndarray of int
        Coordinates that openings (and tied or rubbing slips) depend on.
    """

    matrix: sp.csr_matrix
    prescribed: np.ndarray
    leading: np.ndarray
    apart: np.ndarray

    @property
    def n_common(self) -> int:
        """Number of common coordinates."""
        return len(self.leading)

    def coordinates(self, displacement: np.ndarray) -> np.ndarray:
        """Coordinates (n_coordinates, n) of displacements (n_unknowns, n) that supports allow."""
        common, own = self.matrix[:, : self.n_common], self.matrix[:, self.n_common :]
        shared = displacement[self.leading]
        return np.concatenate([shared, own.T @ (displacement - common @ shared)])


def tied_nodes(n_nodes: int, zones: Sequence[Zone]) -> np.ndarray:
    """Number of the node that each copy is a copy of, (n_nodes,)."""
    first = np.concatenate([zone.faces.first.ravel() for zone in zones])
    second = np.concatenate([zone.faces.second.ravel() for zone in zones])
    graph = sp.coo_matrix((np.ones(first.size), (first, second)), shape=(n_nodes, n_nodes))
    return connected_components(graph, directed=False)[1]


def split_basis(
    tied: np.ndarray, zones: Sequence[Zone], held: np.ndarray, values: np.ndarray
) -> SplitBasis:
    """Make the basis.

    Parameters
    ----------
    tied : ndarray of int, shape (n_nodes,)
        From :func:`tied_nodes`.
    zones : sequence of Zone
    held : ndarray of int
        Held unknowns.
    values : ndarray
        Their displacement. [mm]
    """
    n_nodes = len(tied)
    is_held = np.zeros((n_nodes, 3), dtype=bool)
    is_held.reshape(-1)[held] = True
    prescribed = np.zeros((n_nodes, 3))
    prescribed.reshape(-1)[held] = values
    leader = _leaders(tied, is_held)
    leads = leader == np.arange(n_nodes)[:, None]
    component = np.arange(3)
    follows_held = is_held[leader, component] & ~is_held
    prescribed[follows_held] = prescribed[leader, component][follows_held]
    free = ~leads & ~is_held
    along = _tie(zones, leader, free, prescribed)
    common = leads & ~is_held
    number = np.cumsum(common.ravel()).reshape(-1, 3) - 1
    moves = ~is_held & common[leader, component]
    rows = np.flatnonzero(moves.ravel())
    columns = number[leader, component].ravel()[rows]
    n_common = int(common.sum())
    nodes, ways, apart = _own_directions(free, along, zones)
    more = n_common + np.arange(len(nodes))
    row = np.concatenate([rows, (3 * nodes[:, None] + component).ravel()])
    column = np.concatenate([columns, np.repeat(more, 3)])
    value = np.concatenate([np.ones(len(rows)), ways.ravel()])
    kept = value != 0
    matrix = sp.csr_matrix(
        (value[kept], (row[kept], column[kept])), shape=(3 * n_nodes, n_common + len(nodes))
    )
    return SplitBasis(matrix, prescribed.ravel(), np.flatnonzero(common), more[apart])


def _leaders(tied: np.ndarray, is_held: np.ndarray) -> np.ndarray:
    """For each node and component the copy that the others are measured against: a held one."""
    leader = np.empty((len(tied), 3), dtype=int)
    for k in range(3):
        order = np.lexsort((np.arange(len(tied)), ~is_held[:, k], tied))
        first = np.unique(tied[order], return_index=True)[1]
        leader[:, k] = order[first][tied]
    return leader


def _tie(zones: Sequence[Zone], leader, free, prescribed) -> dict[int, np.ndarray]:
    """Directions that copies must not move in, by node; a tightened thread's pull is prescribed."""
    along: dict[int, np.ndarray] = {}
    for zone in zones:
        parts = np.flatnonzero(np.abs(zone.axis) > 1e-9)
        for first, second in zone.tied.T.tolist():
            leads = np.unique(leader[[first, second]][:, parts])
            if len(leads) > 1 or leads[0] not in (first, second):
                raise ModelError(
                    f"Three pieces meet in one point of the thread of '{zone.name}', or supports "
                    "hold the two pieces there unlike; leave a gap at the thread's end."
                )
            copy, pull = (second, zone.pull) if leads[0] == first else (first, -zone.pull)
            if free[copy, parts].all():
                along[copy] = zone.axis
                prescribed[copy] += pull * zone.axis
    return along


def _own_directions(free: np.ndarray, along, zones) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Orthonormal directions of the copies: node, direction (n, 3), whether a zone needs it."""
    needed: dict[int, list[np.ndarray]] = {}
    for zone in zones:
        for first, second, ways in zone.needed:
            apart = first != second
            for node, way in zip(
                np.concatenate([first[apart], second[apart]]),
                np.concatenate([ways[:, apart], ways[:, apart]], axis=1).T,
                strict=True,
            ):
                if free[node].any():
                    needed.setdefault(int(node), []).append(way)
    nodes, directions, apart = [], [], []
    for node, ways in needed.items():
        tied = _orthonormal(free[node], [along[node]] if node in along else [])
        span = _orthonormal(free[node], [*tied, *ways])[len(tied) :]
        rest = _orthonormal(free[node], [*tied, *span, *np.eye(3)])[len(tied) + len(span) :]
        nodes += [node] * (len(span) + len(rest))
        directions += [*span, *rest]
        apart += [True] * len(span) + [False] * len(rest)
    return np.array(nodes, int), np.reshape(directions, (-1, 3)), np.array(apart, bool)


def _orthonormal(free: np.ndarray, ways) -> list[np.ndarray]:
    """Gram-Schmidt on the components that are free."""
    span: list[np.ndarray] = []
    for way in ways:
        rest = np.where(free, way, 0.0)
        for _ in range(2):
            for unit in span:
                rest = rest - (rest @ unit) * unit
        size = np.linalg.norm(rest)
        if size > 1e-6:
            span.append(rest / size)
        if len(span) == free.sum():
            break
    return span
