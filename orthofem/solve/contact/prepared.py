"""Everything about split pieces that no load changes: found once, used by every load."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from types import SimpleNamespace
from typing import Any

import numpy as np
import scipy.sparse as sp

from ..model import Model
from ..supports import (
    Balanced,
    Support,
    check_no_free_motion,
    connected_bodies,
    hold,
    six_unknowns,
)
from .basis import SplitBasis, split_basis, tied_nodes
from .condense import Condensed, condense
from .energy import Problem
from .loose import (
    Motions,
    loose_motions,
    never_stopped,
    not_turning,
    orthonormal,
    strongest_unknowns,
)
from .zones import Zone

WEAK = 1e-9
"""Spring on a motion that only contact stops, over the typical stiffness of the interfaces."""


@dataclass(frozen=True)
class Turns:
    """Threads that do not turn: a torque between two pieces that keeps their mean turn at zero.

    Parameters
    ----------
    zones : list of int
        Which zones these are.
    forces : ndarray of shape (n_unknowns, n)
        Nodal forces of each unit torque.
    reduced : ndarray of shape (n_coordinates, n)
        The same, the other unknowns eliminated.
    response : ndarray of shape (n_coordinates, n)
        Displacement under each with the kept unknowns at zero.
    compliance : ndarray of shape (n, n)
        Turn of each under each. [rad/(N mm)]
    """

    zones: list[int]
    forces: np.ndarray
    reduced: np.ndarray
    response: np.ndarray
    compliance: np.ndarray

    def torques(self, kept: np.ndarray, unknowns: np.ndarray, turned: np.ndarray) -> np.ndarray:
        """Torques (n, n_loads) that undo the turns of the kept unknowns and of the loads."""
        total = self.reduced[kept].T @ unknowns + turned
        return -np.linalg.solve(self.compliance, total)


@dataclass(frozen=True)
class Prepared:
    """Split pieces under their laws, without loads.

    Parameters
    ----------
    model : Model
    supports : sequence of Fixed or Balanced
    bare_zones : list of Zone
        As their faces are.
    method : str
    """

    model: Model
    supports: Sequence[Support]
    bare_zones: list[Zone]
    method: str

    @cached_property
    def tied(self) -> np.ndarray:
        """Number of the node that each copy is a copy of."""
        return tied_nodes(self.model.space.nodes.shape[1], self.bare_zones)

    @cached_property
    def joined(self) -> Any:
        """The pieces as if bonded, as far as checks of supports and balance look at them."""
        space = self.model.space
        some = np.unique(self.tied, return_index=True)[1]
        return SimpleNamespace(
            mesh=space.mesh,
            nodes=space.nodes[:, some],
            cell_nodes=self.tied[space.cell_nodes],
            n_unknowns=3 * len(some),
            one_of=some,
        )

    @cached_property
    def held(self) -> tuple[np.ndarray, np.ndarray]:
        """Unknowns of the split mesh that the supports hold, and their displacement."""
        space, joined = self.model.space, self.joined
        if any(isinstance(support, Balanced) for support in self.supports):
            unknowns = np.concatenate([six_unknowns(space.nodes, b) for b in self._largest()])
            return unknowns, np.zeros(len(unknowns))
        parts = [support.held(space) for support in self.supports]
        if not parts:
            return hold(space, self.supports)  # refuses
        unknowns, values = (np.concatenate(side) for side in zip(*parts, strict=True))
        distinct, first, where = np.unique(unknowns, return_index=True, return_inverse=True)
        if np.abs(values - values[first][where]).max(initial=0.0) > 1e-12:
            return hold(space, self.supports)  # refuses
        node, component = np.divmod(distinct, 3)
        check_no_free_motion(joined, 3 * self.tied[node] + component)
        return distinct, values[first]

    def _largest(self) -> list[np.ndarray]:
        """Largest piece of each group of pieces that touch: held, it holds them all as if bonded.

        The others' motions then have plain names.
        """
        group = np.empty(len(self.joined.one_of), dtype=int)
        for number, nodes in enumerate(connected_bodies(self.joined)):
            group[nodes] = number
        largest: dict[int, np.ndarray] = {}
        for nodes in connected_bodies(self.model.space):
            largest.setdefault(int(group[self.tied[nodes[0]]]), nodes)
        return list(largest.values())

    @property
    def _centre(self) -> np.ndarray:
        """Middle of all interfaces. [mm]."""
        area = np.concatenate([zone.faces.areas.ravel() for zone in self.bare_zones])
        points = [zone.faces.points.reshape(3, -1) for zone in self.bare_zones]
        return np.concatenate(points, axis=1) @ area / area.sum()

    @cached_property
    def free(self) -> Motions:
        """Motions that neither contact nor thread can ever stop; loads must not work on them."""
        motions = loose_motions(self.model.space, self.held[0], self._centre)
        return not_turning(never_stopped(motions, self.bare_zones), self.bare_zones)

    @cached_property
    def zones(self) -> list[Zone]:
        """The zones, their gaps square to the motions that they do not stop."""
        motions = loose_motions(self.model.space, self.held[0], self._centre)
        unseen = never_stopped(motions, self.bare_zones)
        return [zone.blind_to(unseen.fields) for zone in self.bare_zones]

    @cached_property
    def held_free(self) -> tuple[np.ndarray, np.ndarray]:
        """What the supports hold, and one unknown for each motion that nothing stops."""
        unknowns, values = self.held
        inside = np.ones((len(self.tied), 3), dtype=bool)
        for zone in self.bare_zones:
            inside[zone.pairs.ravel()] = False
        fields = orthonormal(self.free.fields) * inside.reshape(-1, 1)
        pins = strongest_unknowns(fields)
        return np.concatenate([unknowns, pins]), np.concatenate([values, np.zeros(len(pins))])

    @cached_property
    def basis(self) -> SplitBasis:
        """Common motion and what comes apart."""
        return split_basis(self.tied, self.zones, *self.held_free)

    @cached_property
    def motions(self) -> Motions:
        """Rigid motions of the pieces that contact or threads must stop."""
        return loose_motions(self.model.space, self.held_free[0], self._centre)

    @cached_property
    def moving(self) -> np.ndarray:
        """These motions in the coordinates of the basis, (n_coordinates, n)."""
        return self.basis.coordinates(self.motions.fields)

    @cached_property
    def condensed(self) -> Condensed:
        """The stiffness, all but the interfaces' unknowns eliminated."""
        # what only a thread that does not turn can stop must be seen among the kept unknowns
        unseen = never_stopped(self.motions, self.zones)
        free = orthonormal(self.basis.coordinates(unseen.fields))
        pinned = strongest_unknowns(free[: self.basis.n_common])
        kept = np.concatenate([pinned, self.basis.apart]).astype(int)
        return condense(_transformed(self.model, self.basis.matrix), kept, self.method)

    @cached_property
    def turns(self) -> Turns | None:
        """Threads that do not turn."""
        which = [i for i, zone in enumerate(self.zones) if zone.turns_held]
        if not which:
            return None
        forces = np.stack([self.zones[i].turn.toarray()[0] for i in which], axis=1)
        right = self.basis.matrix.T @ forces
        kept = self.condensed.kept
        reduced = self.condensed.reduce(right)
        at_zero = reduced.copy()
        at_zero[kept] = 0.0
        response = self.condensed.expand(at_zero)
        response[kept] = 0.0
        compliance = right.T @ response
        size = (reduced[kept] ** 2).sum(axis=0) / np.diagonal(self.condensed.stiffness).mean()
        return Turns(which, forces, reduced, response, compliance + np.diag(1e-9 * size))

    @cached_property
    def weak(self) -> np.ndarray:
        """Springs on all loose motions, (n_kept, n): unit vectors times root of stiffness."""
        typical = np.diagonal(self.condensed.stiffness).mean()
        return np.sqrt(WEAK * typical) * orthonormal(self.moving[self.condensed.kept])

    @cached_property
    def problem(self) -> Problem:
        """The contact problem in the kept unknowns."""
        kept = self.basis.matrix[:, self.condensed.kept].tocsr()
        rubbing = [zone for zone in self.zones if zone.friction]
        counts = [len(zone.stiffness) for zone in rubbing]
        slides = [(zone.slide @ kept).tocsr() for zone in rubbing]
        ones = [rows[:n] for rows, n in zip(slides, counts, strict=True)]
        twos = [rows[n:] for rows, n in zip(slides, counts, strict=True)]
        rubs = [np.full(len(zone.stiffness), zone.friction) for zone in self.zones]
        friction = np.concatenate(rubs)
        offset = self.basis.prescribed
        none = sp.csr_matrix((0, kept.shape[1]))
        return Problem(
            stiffness=self._stiffness(),
            press=sp.vstack([zone.press @ kept for zone in self.zones]).tocsr(),
            press_stiffness=np.concatenate([zone.stiffness for zone in self.zones]),
            clearance=np.concatenate([z.clearance + z.press @ offset for z in self.zones]),
            slide=sp.vstack([*ones, *twos]).tocsr() if rubbing else none,
            rubbing=np.flatnonzero(friction),
            friction=friction[friction > 0],
            weak=self.weak,
        )

    def _stiffness(self) -> np.ndarray:
        """Of the pieces, of threads that do not turn, and of springs that keep loose pieces."""
        stiffness = self.condensed.stiffness.copy(order="F")
        if self.turns is not None:
            turned = self.turns.reduced[self.condensed.kept]
            stiffness += turned @ np.linalg.solve(self.turns.compliance, turned.T)
        return stiffness + self.weak @ self.weak.T


def _transformed(model: Model, basis: sp.csr_matrix) -> sp.csr_matrix:
    whole = model.matrix.tocsr()
    return sp.triu(basis.T @ (whole @ basis), format="csr")
