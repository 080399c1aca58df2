"""Where two pieces meet under one law: what is measured there, as rows on the displacements."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
import scipy.sparse as sp

from orthofem.errors import ModelError, check_finite

from ..model import Model
from .faces import Faces, Gaps, gaps, matched_faces
from .laws import Clearance, Contact, Law, ThreadTie
from .rows import gap_rows, vector_rows

STIFF = 1e2
"""Stiffness of contact times the size of a face over its modulus; what overlap this leaves is
turned into pressure afterwards."""
FLANK = 0.5
"""A face belongs to the thread when the cosine between its normal and the axis is less."""
Directions = list[tuple[np.ndarray, np.ndarray, np.ndarray]]


@dataclass(frozen=True)
class Zone:
    """Matched faces under one law.

    Parameters
    ----------
    name : str
        "a|b", or "a|b thread" and "a|b seat" where the law has two kinds of face.
    faces : Faces
    stiffness : ndarray of shape (n_points,)
        Force per overlap of each point. [N/mm]
    clearance : ndarray of shape (n_points,)
        Opening before any load; below zero: interference. [mm]
    gaps : Gaps
        The distances at the nodes that the opening is made of.
    n_unknowns : int
        Of the mesh.
    friction : float
        Coefficient of friction. [-]
    axis : ndarray of shape (3,)
        Direction along which a thread ties nodes; zero where there is no thread.
    tied : ndarray of int, shape (2, n_tied)
        These nodes, on the first and on the second piece.
    pull : float
        How far the second ones lie ahead along the axis once tightened. [mm]
    turns_held : bool
        Whether the thread does not turn.
    """

    name: str
    faces: Faces
    stiffness: np.ndarray
    clearance: np.ndarray
    gaps: Gaps
    n_unknowns: int
    friction: float = 0.0
    axis: np.ndarray = field(default_factory=lambda: np.zeros(3))
    tied: np.ndarray = field(default_factory=lambda: np.zeros((2, 0), dtype=int))
    pull: float = 0.0
    turns_held: bool = False

    @cached_property
    def press(self) -> sp.csr_matrix:
        """Opening of each point from displacements, (n_points, n_unknowns)."""
        return gap_rows(self.faces, self.gaps, self.n_unknowns)

    @cached_property
    def tangents(self) -> np.ndarray:
        """Two unit tangents at each point, (2, 3, n_points)."""
        normals = self.faces.normals.reshape(3, -1)
        least = np.eye(3)[np.abs(normals).argmin(axis=0)].T
        one = np.cross(normals, least, axis=0)
        one /= np.linalg.norm(one, axis=0)
        return np.stack([one, np.cross(normals, one, axis=0)])

    @cached_property
    def slide(self) -> sp.csr_matrix:
        """Slip of each point along its tangents: all of one, then of the other."""
        rows = [vector_rows(self.faces, way, self.n_unknowns) for way in self.tangents]
        return sp.vstack(rows).tocsr()

    @cached_property
    def axial(self) -> sp.csr_matrix:
        """Relative displacement of each point along a thread's axis."""
        along = np.tile(self.axis[:, None], self.faces.areas.size)
        return vector_rows(self.faces, along, self.n_unknowns)

    @cached_property
    def turn(self) -> sp.csr_matrix:
        """Mean turning of the second side about the axis through the middle, (1, n_unknowns).

        Its transpose spreads a unit torque. [rad]
        """
        points, area = self.faces.points.reshape(3, -1), self.faces.areas.ravel()
        middle = (points * area).sum(axis=1) / area.sum()
        hoop = np.cross(self.axis, (points - middle[:, None]).T).T
        weight = area / (area * (hoop**2).sum(axis=0)).sum()
        rows = vector_rows(self.faces, hoop * weight, self.n_unknowns)
        return sp.csr_matrix(rows.sum(axis=0))

    @property
    def rows(self) -> list[sp.csr_matrix]:
        """All rows that stop motion, but the turning."""
        rubs = [self.slide] if self.friction else []
        return [self.press, *rubs, *([self.axial] if self.axis.any() else [])]

    @cached_property
    def pairs(self) -> np.ndarray:
        """Nodes opposite one another, (2, n_pairs)."""
        return np.unique(np.stack([self.faces.first.ravel(), self.faces.second.ravel()]), axis=1)

    @property
    def needed(self) -> Directions:
        """First nodes, second nodes and directions (3, n) of what the rows depend on."""
        needed = [(self.gaps.first, self.gaps.second, self.gaps.normals)]
        if self.friction:
            ways = [np.tile(way[:, None], self.pairs.shape[1]) for way in np.eye(3)]
            needed += [(*self.pairs, way) for way in ways]
        return needed

    def blind_to(self, motions: np.ndarray) -> Zone:
        """The same, its gaps square to what motions (n_unknowns, n) do at their nodes.

        Normals averaged over a mesh are not quite those of a round face: without this a stud
        would be held against spinning by the roughness of its mesh.
        """
        if not motions.shape[1]:
            return self
        ways = self.gaps.normals.copy()
        by_node = motions.reshape(-1, 3, motions.shape[1])
        apart = (by_node[self.gaps.second] - by_node[self.gaps.first]).transpose(2, 1, 0)
        units: list[np.ndarray] = []
        for move in apart:
            for unit in units:
                move = move - unit * (unit * move).sum(axis=0)
            size = np.linalg.norm(move, axis=0)
            near = size > 1e-6 * np.abs(apart).max(initial=0.0)
            units.append(np.where(near, move / np.where(near, size, 1.0), 0.0))
        for unit in units:
            ways -= unit * (unit * ways).sum(axis=0)
        ways /= np.linalg.norm(ways, axis=0)
        return replace(self, gaps=replace(self.gaps, normals=ways))


def zones_of(model: Model, laws: dict[str, Law]) -> list[Zone]:
    """Zones of all interfaces that are not bonded.

    Raises
    ------
    ValueError
        If an interface is unknown or not split.
    ModelError
        If pieces are drawn to overlap by more than the interference given.
    """
    zones: list[Zone] = []
    for name, law in laws.items():
        if isinstance(law, Contact):
            zone = _zone(model, name, name, matched_faces(model.space, name), law.clearance)
            zones.append(replace(zone, friction=law.friction))
        elif isinstance(law, ThreadTie):
            zones += _thread(model, name, law)
    return zones


def _zone(model: Model, interface: str, name: str, faces: Faces, clearance: Clearance) -> Zone:
    return Zone(
        name=name,
        faces=faces,
        stiffness=_stiffness(model, interface, faces),
        clearance=_clearance(interface, faces, clearance),
        gaps=gaps(faces),
        n_unknowns=model.space.n_unknowns,
    )


def _thread(model: Model, name: str, law: ThreadTie) -> list[Zone]:
    """The thread itself and, if there are faces square to its axis, the seat."""
    axis = np.asarray(law.axis, float) / np.linalg.norm(law.axis)
    whole = matched_faces(model.space, name)
    slope = np.abs(np.einsum("cfq,c->fq", whole.normals, axis)).mean(axis=1)
    seat, flank = whole.chosen(slope >= FLANK), whole.chosen(slope < FLANK)
    if not flank.n_faces:
        raise ModelError(
            f"Interface '{name}' has no face along the thread's axis {law.axis}; a thread's core "
            "is round that axis. Check the axis, or use Contact."
        )
    found = gaps(flank)
    radial = found.normals - axis[:, None] * (axis @ found.normals)
    pair = np.unique(np.stack([flank.first.ravel(), flank.second.ravel()]), axis=1)
    thread = replace(
        _zone(model, name, f"{name} thread", flank, law.clearance),
        gaps=replace(found, normals=radial / np.linalg.norm(radial, axis=0)),
        axis=axis,
        # nodes that are also on the seat are left to the seat
        tied=pair[:, (pair[0] != pair[1]) & ~np.isin(pair[0], seat.first)],
        pull=-law.pull * _way(model, name, axis),
        turns_held=law.turning == "held",
    )
    if not seat.n_faces:
        return [thread]
    rest = _zone(model, name, f"{name} seat", seat, law.seat_clearance)
    return [thread, rest]


def _stiffness(model: Model, name: str, faces: Faces) -> np.ndarray:
    """From the softer side's modulus, so that overlap is small against what both give way."""
    moduli = []
    for piece in name.split("|"):
        cells = model.mesh.f2t[0, model.space.facets(f"{name} on {piece}")]
        moduli.append(np.mean([model.young_along(way)[cells].mean() for way in np.eye(3)]))
    # one stiffness per area everywhere, so that the pressure is as smooth as the overlap
    size = np.sqrt(faces.areas.sum(axis=1)).mean()
    return (STIFF * min(moduli) / size * faces.areas).ravel()


def _clearance(name: str, faces: Faces, given) -> np.ndarray:
    value = check_finite("clearance", given(faces.points) if callable(given) else given)
    try:
        value = np.broadcast_to(value, faces.drawn.shape)
    except ValueError as error:
        raise ValueError(
            f"clearance of '{name}' has shape {value.shape}; a function of points (3, n, m) "
            f"returns {faces.drawn.shape}."
        ) from error
    slack = 1e-6 * np.sqrt(faces.areas.sum())
    beyond = np.minimum(value, 0.0) - faces.drawn
    if beyond.max() > slack:
        place = np.unravel_index(beyond.argmax(), beyond.shape)
        raise ModelError(
            f"Pieces of interface '{name}' are drawn to overlap by {-faces.drawn[place]:.4g} mm at "
            f"{faces.points[(slice(None), *place)].round(3)} mm, more than the interference given "
            f"({max(-value[place], 0.0):.4g} mm). Draw them touching, and give an interference as "
            "a clearance below zero."
        )
    return (value + np.where(faces.drawn > slack, faces.drawn, 0.0)).ravel()


def _way(model: Model, name: str, axis: np.ndarray) -> float:
    """+1 where the second piece lies at the axis' far end, else -1."""
    middle = []
    for piece in name.split("|"):
        regions = model.mesh.subdomains
        own = [np.asarray(c) for r, c in regions.items() if r.split(".")[0] == piece]
        cells = np.concatenate(own)
        middle.append(model.space.points[:, cells].mean(axis=(1, 2)))
    return 1.0 if axis @ (middle[1] - middle[0]) > 0 else -1.0
