"""From settled unknowns back to forces, pressures and slips of each zone."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ..model import Model
from .energy import Problem
from .prepared import Prepared
from .result import SLIDING, STICKING, ZoneState, relative_displacement
from .settle import Settled
from .zones import Zone


@dataclass(frozen=True)
class Places:
    """Where a zone's points are among all, and among those with friction."""

    points: slice
    rubbing: slice


def places_of(zones: list[Zone]) -> list[Places]:
    """Places of each zone, in order."""
    found, start = [], [0, 0]
    for zone in zones:
        n = len(zone.stiffness)
        sizes = (n, n if zone.friction else 0)
        found.append(Places(*(slice(a, a + size) for a, size in zip(start, sizes, strict=True))))
        start = [a + size for a, size in zip(start, sizes, strict=True)]
    return found


@dataclass(frozen=True)
class Forces:
    """Forces of one zone on its second piece.

    Parameters
    ----------
    pressing : ndarray of shape (n_points, n_loads)
        Along the normal. [N]
    rubbing : ndarray of shape (2, n_points, n_loads) or None
        Along the tangents. [N]
    sliding : ndarray of bool, shape (n_points, n_loads), or None
        Which slide against friction.
    torque : ndarray of shape (n_loads,)
        That keeps a thread from turning. [N mm]
    opening : ndarray of shape (n_points, n_loads)
        Below zero: overlap. [mm]
    nodal : ndarray of shape (n_unknowns, n_loads)
        All of these on the nodes of both pieces. [N]
    """

    pressing: np.ndarray
    rubbing: np.ndarray | None
    sliding: np.ndarray | None
    torque: np.ndarray
    opening: np.ndarray
    nodal: np.ndarray


def zone_forces(
    prepared: Prepared, settled: list[Settled], torques: np.ndarray, missing: np.ndarray
) -> list[Forces]:
    """Forces of each zone, what threads carry along their axis included.

    Parameters
    ----------
    prepared : Prepared
    settled : list of Settled
    torques : ndarray of shape (n_turns, n_loads)
        That keep threads from turning. [N mm]
    missing : ndarray of shape (n_unknowns, n_loads)
        Forces of the loads less those of the deformed pieces. [N]
    """
    turns, none = prepared.turns, np.zeros(missing.shape[1])
    turning = {} if turns is None else dict(zip(turns.zones, torques, strict=True))
    parts = [
        contact_forces(zone, prepared.problem, settled, places, turning.get(number, none))
        for number, (zone, places) in enumerate(
            zip(prepared.zones, places_of(prepared.zones), strict=True)
        )
    ]
    missing = missing + sum(part.nodal for part in parts)
    missing[prepared.held_free[0]] = 0.0
    return [
        replace(part, nodal=part.nodal + tie_forces(zone, missing))
        for zone, part in zip(prepared.zones, parts, strict=True)
    ]


def contact_forces(
    zone: Zone, problem: Problem, settled: list[Settled], places: Places, torque: np.ndarray
) -> Forces:
    """Forces of a zone.

    Parameters
    ----------
    zone : Zone
    problem : Problem
    settled : list of Settled
        One for each load.
    places : Places
        Of the zone's points.
    torque : ndarray of shape (n_loads,)
        That keeps its thread from turning. [N mm]
    """
    n_loads = len(settled)
    press, clearance = problem.press[places.points], problem.clearance[places.points]
    opening = np.stack([press @ state.unknowns + clearance for state in settled], axis=1)
    pressing = np.stack([state.pressing[places.points] for state in settled], axis=1)
    nodal = zone.press.T @ pressing
    rubbed = sliding = None
    if zone.friction:
        rubbed = np.stack([state.rubbing[:, places.rubbing] for state in settled], axis=2)
        nodal += zone.slide.T @ rubbed.reshape(-1, n_loads)
        sliding = np.stack([state.state.sliding[places.rubbing] for state in settled], axis=1)
    if zone.turns_held:
        nodal += zone.turn.T @ torque[None]
    return Forces(pressing, rubbed, sliding, torque, opening, nodal)


def tie_forces(zone: Zone, missing: np.ndarray) -> np.ndarray:
    """Forces of a thread along its axis, (n_unknowns, n_loads).

    They are what balance misses on the second piece, and the opposite on the first, whose balance
    then tells whether all is right.
    """
    forces = np.zeros((len(missing) // 3, 3, missing.shape[1]))
    first, second = zone.tied
    lacking = missing.reshape(forces.shape)[second]
    axial = np.einsum("nkl,k->nl", lacking, zone.axis)[:, None] * zone.axis[:, None]
    forces[second], forces[first] = -axial, axial
    return forces.reshape(missing.shape)


def zone_state(
    zone: Zone, forces: Forces, settled: list[Settled], displacement: np.ndarray, model: Model
) -> ZoneState:
    """What a user sees of a zone."""
    faces = zone.faces
    shape = (*faces.areas.shape, len(settled))
    area, normals = faces.areas[..., None], faces.normals[..., None]
    pressure = forces.pressing.reshape(shape) / area
    traction = pressure * normals
    status = np.where(forces.pressing > 0, STICKING, 0)
    if forces.rubbing is not None and forces.sliding is not None:
        tangents = zone.tangents.reshape(2, 3, *faces.areas.shape)
        along = forces.rubbing.reshape(2, *shape) / area
        traction = traction + np.einsum("tcfq,tfql->cfql", tangents, along)
        status = np.where(forces.sliding & (forces.pressing > 0), SLIDING, status)
    apart = relative_displacement(faces, displacement)
    slip = apart - normals * np.einsum("cfql,cfq->fql", apart, faces.normals)
    opening = forces.opening.reshape(shape)
    nodes = np.unique(faces.second)
    n_loads = len(settled)
    nodal = forces.nodal.reshape(-1, 3, n_loads)[nodes].transpose(1, 0, 2)
    moved = np.abs(displacement).max(initial=0.0)
    return ZoneState(
        name=zone.name,
        faces=faces,
        pressure=pressure,
        opening=np.where(pressure > 0, 0.0, opening),
        slip=slip,
        traction=traction,
        status=status.reshape(shape),
        torque=forces.torque,
        overlap=float(-opening.min(initial=0.0) / moved) if moved else 0.0,
        nodes=nodes,
        forces=nodal,
        points=model.space.nodes[:, nodes],
    )
