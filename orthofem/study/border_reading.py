"""Borders of an option: traction on each, the worst of every load case, and what nobody judged."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from orthofem import failure
from orthofem.errors import ModelError, unknown
from orthofem.mesh import PartMesh
from orthofem.mesh.names import facet_nodes
from orthofem.solve import Face, UnitResponses, face_of, face_traction

from .border import Border
from .option import Option

if TYPE_CHECKING:
    from .evaluate import Worst


@dataclass(frozen=True)
class BorderReading:
    """Unit tractions on one border between two regions, at the corners of its facets.

    Parameters
    ----------
    name : str
        As the option calls it.
    region : str
        The two regions that meet, "a|b".
    border : Border
    nodes : ndarray of int of shape (n,)
        Corner nodes; one on a sharp edge stands once for each smooth sheet.
    counts : ndarray of bool of shape (n,)
        Which count for the verdict: away from loaded and held ends.
    averaged, raw : ndarray of shape (3, n, n_loads)
        Traction under each solved load set along the normal and twice on the face: over the disc
        of the material length, in balance with the nodal forces; at the node, from the stress.
        [MPa]
    apart : ndarray of shape (3, n, n_loads)
        `averaged` less what the stress of both sides gives over the same disc: zero but for the
        error of the mesh. [MPa]
    tension, shear : ndarray of shape (n,)
        What the border bears. [MPa]
    grade : str
        Evidence grade of these.
    radius : float
        Of the averaging disc: the smaller material length of both sides. [mm]
    held : ndarray of int of shape (n,)
        Sample points in the disc of each node.
    """

    name: str
    region: str
    border: Border
    nodes: np.ndarray
    counts: np.ndarray
    averaged: np.ndarray
    raw: np.ndarray
    apart: np.ndarray
    tension: np.ndarray
    shear: np.ndarray
    grade: str
    radius: float
    held: np.ndarray

    def index(self, shares: np.ndarray, averaged: bool = True) -> np.ndarray:
        """Failure index at each node under shares of the load sets, shape (n,). [-]."""
        unit = self.averaged if averaged else self.raw
        return failure.border_index(unit @ shares, self.tension, self.shear)

    def mode(self, shares: np.ndarray) -> np.ndarray:
        """Mode at each node under shares of the load sets, as a place in ``failure.MODES``."""
        return failure.border_mode(self.averaged @ shares, self.tension, self.shear)

    def disagreement(self, place: int, shares: np.ndarray) -> float:
        """How far nodal forces and stresses disagree on the averaged traction at a node. [-]."""
        mean, apart = (
            float(np.linalg.norm(unit[:, place] @ shares)) for unit in (self.averaged, self.apart)
        )
        return apart / mean if mean else 0.0


def border_readings(
    option: Option, part_mesh: PartMesh, responses: UnitResponses, lengths: Mapping[str, float]
) -> tuple[BorderReading, ...]:
    """Read the unit tractions on all borders that an option names.

    Parameters
    ----------
    option : Option
    part_mesh : PartMesh
    responses : UnitResponses
    lengths : mapping of str to float
        Averaging radius of each region. [mm]

    Raises
    ------
    ValueError
        If a border's regions do not meet; the message lists those that do.
    ModelError
        If no facet of an interface lies where the border is said to be.
    """
    return tuple(
        _reading(option, part_mesh, responses, lengths, name, pair, facets)
        for name, border in option.joined.items()
        for pair, facets in border_facets(part_mesh, name, border).items()
    )


def border_facets(part_mesh: PartMesh, name: str, border: Border) -> dict[str, np.ndarray]:
    """Facets of a border for each pair of regions "a|b" that it joins.

    Raises
    ------
    ValueError
        If its regions do not meet; the message lists those that do.
    ModelError
        If no facet lies where the border is said to be.
    """
    wanted = set((border.interface or name).split("|"))
    met = region_pairs(part_mesh)
    owner = part_mesh.piece_of
    found = {
        pair: facets
        for pair, facets in met.items()
        if any(
            {one, other} == wanted
            for one in (pair.split("|")[0], owner[pair.split("|")[0]])
            for other in (pair.split("|")[1], owner[pair.split("|")[1]])
        )
    }
    if not found:
        choices = [n for n in part_mesh.mesh.boundaries if "|" in n]
        raise ValueError(unknown(f"interface of border '{name}'", border.interface, choices))
    if border.where is None:
        return found
    kept = {pair: facets[_holds(part_mesh, facets, border.where)] for pair, facets in found.items()}
    kept = {pair: facets for pair, facets in kept.items() if facets.size}
    if not kept:
        raise ModelError(
            f"No facet of interface '{border.interface}' lies where border '{name}' is said to be, "
            f"{border.where}. Check its point, normal or box; all numbers are mm in part axes."
        )
    return kept


def region_pairs(part_mesh: PartMesh) -> dict[str, np.ndarray]:
    """Facets where two regions meet, by "a|b"."""
    regions = set(part_mesh.piece_of)
    found = {}
    for name, facets in part_mesh.mesh.boundaries.items():
        if "|" in name and set(name.split("|")) <= regions:
            found[name] = np.asarray(facets)
    return found


def _holds(part_mesh: PartMesh, facets: np.ndarray, where) -> np.ndarray:
    """Which facets lie there with all of their nodes."""
    nodes = facet_nodes(part_mesh.mesh, facets)
    size = float(np.linalg.norm(np.ptp(part_mesh.mesh.p, axis=1)))
    inside = where.holds(nodes.reshape(3, -1), 1e-6 * size).reshape(nodes.shape[1:])
    return np.asarray(inside.all(axis=0))


def _reading(option, part_mesh, responses, lengths, name, pair, facets) -> BorderReading:
    space = responses.solution.model.space
    border, regions = option.joined[name], pair.split("|")
    whole = face_traction(responses.solution, face_of(space, space.cells(regions[0])))
    traction = whole.only(np.isin(whole.face.facets, facets))
    face = traction.face
    nodes, sheets = _places(face)
    radius = min(lengths[region] for region in regions)
    weights, held = failure.averaging(
        face.points.reshape(3, -1), face.areas.ravel(),
        np.repeat(face.sheets, face.shares.shape[1]), radius, space.nodes[:, nodes], sheets,
    )  # fmt: skip
    normals = _unit(np.stack([weights @ part for part in face.normals.reshape(3, -1)]))
    axes = _axes(normals)
    averaged, by_stress = np.einsum("aim,siml->saml", axes, traction.averaged(weights))
    raw = np.einsum("aim,iml->aml", axes, traction.at_nodes(nodes, sheets))
    prints = [option.print_of(region, part_mesh.piece_of[region]) for region in regions]
    tension, shear, grade = border.bears(normals, prints)
    zone = part_mesh.part.interest
    counts = np.ones(len(nodes), bool) if zone is None else zone.holds(space.nodes[:, nodes], 1e-6)
    return BorderReading(
        name, pair, border, nodes, counts, averaged, raw, averaged - by_stress,
        tension, shear, grade, radius, held,
    )  # fmt: skip


def _places(face: Face) -> tuple[np.ndarray, np.ndarray]:
    """Corner nodes of a face, once for each smooth sheet that they lie on."""
    pairs = np.stack([face.nodes[:3].ravel(), np.tile(face.sheets, 3)])
    nodes, sheets = np.unique(pairs, axis=1)
    return nodes, sheets


def _unit(vectors: np.ndarray) -> np.ndarray:
    return vectors / np.linalg.norm(vectors, axis=0)


def _axes(normals: np.ndarray) -> np.ndarray:
    """Normal and two directions on the face at right angles, shape (3, 3, n), axes first."""
    least = np.eye(3)[np.abs(normals).argmin(axis=0)].T
    one = _unit(np.cross(normals, least, axis=0))
    return np.stack([normals, one, np.cross(normals, one, axis=0)])


def with_borders(worst: Worst, readings: Sequence[BorderReading], nodes: np.ndarray) -> Worst:
    """The worst place of a load case, with the borders among the places.

    Parameters
    ----------
    worst : Worst
        Of all regions.
    readings : sequence of BorderReading
    nodes : ndarray of shape (3, n_nodes)
        [mm]
    """
    for reading in readings:
        if not reading.counts.any():
            continue
        counted = np.flatnonzero(reading.counts)
        limits = reading.tension[counted], reading.shear[counted]
        found, peak = (
            failure.evaluate_border(unit[:, counted], worst.loading.shares, *limits)
            for unit in (reading.averaged, reading.raw)
        )
        worst = replace(worst, raw_reserve=min(worst.raw_reserve, float(peak.reserve.min())))
        variant = int(np.argmin(found.reserve))
        if not found.reserve[variant] < worst.reserve:
            continue
        point = counted[found.point[variant]]
        x, y, z = (float(v) for v in nodes[:, reading.nodes[point]])
        apart = reading.disagreement(int(point), worst.loading.shares[:, variant])
        worst = replace(
            worst, reserve=float(found.reserve[variant]), index=float(found.index[variant]),
            criterion=failure.BORDER, mode=failure.MODES[found.mode[variant]],
            region=reading.region, piece=reading.name, place=(x, y, z), variant=variant,
            held=int(reading.held[point]), disagreement=apart,
        )  # fmt: skip
    return worst


def borders_not_judged(option: Option, part_mesh: PartMesh) -> tuple[str, ...]:
    """Interfaces taken as bonded for good: between pieces, and between bands of two materials.

    Where a border covers a part of an interface, the rest is listed.
    """
    judged: list[np.ndarray] = [np.zeros(0, int)]
    for name, border in option.joined.items():
        judged.extend(border_facets(part_mesh, name, border).values())
    covered = np.concatenate(judged)
    left: dict[str, np.ndarray] = {}
    for pair, facets in region_pairs(part_mesh).items():
        label = _label(option, part_mesh, *pair.split("|"))
        if label:
            told = np.isin(facets, covered)
            left[label] = np.concatenate([left.get(label, np.zeros(0, bool)), told])
    return tuple(
        f"{label} (the rest of it)" if told.any() else label
        for label, told in left.items()
        if not told.all()
    )


def _label(option: Option, part_mesh: PartMesh, one: str, other: str) -> str:
    """How an interface is told; empty where it is no border: infill in its own walls."""
    pieces = [part_mesh.piece_of[region] for region in (one, other)]
    if pieces[0] != pieces[1]:
        return "|".join(pieces)
    keys = [option.print_of(region, pieces[0]).loaded.key for region in (one, other)]
    bands = [region.removesuffix(".wall").removesuffix(".core") for region in (one, other)]
    return f"{bands[0]}|{bands[1]}" if keys[0] != keys[1] and bands[0] != bands[1] else ""
