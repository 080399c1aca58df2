"""One option on one mesh: unit responses, averaged stress in print axes, the worst of each load."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property, partial
from itertools import chain

import numpy as np
import scipy.sparse as sp

from orthofem import failure
from orthofem.errors import ModelError
from orthofem.materials import Strengths, print_stresses, stiffness_of
from orthofem.mesh import PartMesh
from orthofem.solve import Model, Stiffness, UnitResponses, in_parallel, nodal_weights, sampled

from .option import Option, Print
from .setting import Loading, Setting

DEFAULT_RADIUS = 1.0
"""Averaging radius where the library holds no critical distance: E, see DEVELOPERS.md. [mm]"""

CRITERIA = ("tsai_hill", "layers")


@dataclass(frozen=True)
class Reading:
    """Unit stresses of one region in its print axes, at the corners of its cells.

    Parameters
    ----------
    region, piece : str
    print : Print
        Material and print frame.
    nodes : ndarray of int, shape (n,)
        Corner nodes of the region.
    counts : ndarray of bool, shape (n,)
        Which nodes count for the verdict: away from loaded and held ends.
    averaged, raw : ndarray of shape (6, n, 6)
        Stress per unit resultant, over the ball of the material length and at the node. [MPa]
    radius : float
        Of the averaging ball. [mm]
    held : ndarray of int, shape (n,)
        Sample points in the ball of each node; too few, and the mesh is too coarse there.
    """

    region: str
    piece: str
    print: Print
    nodes: np.ndarray
    counts: np.ndarray
    averaged: np.ndarray
    raw: np.ndarray
    radius: float
    held: np.ndarray


@dataclass(frozen=True)
class Worst:
    """Where and how an option is nearest to failing under one load case.

    Parameters
    ----------
    loading : Loading
    reserve : float
        Factor on the load that brings the averaged stress to failure. [-]
    index : float
        Failure index of the averaged stress; 1 is failure. [-]
    criterion, mode : str
    region, piece : str
    place : tuple of float
        [mm]
    variant : int
        Column of the loading.
    held : int
        Sample points in the ball there.
    raw_reserve : float
        The same from the raw peak, which at a sharp corner is what the mesh makes it. [-]
    """

    loading: Loading
    reserve: float
    index: float
    criterion: str
    mode: str
    region: str
    piece: str
    place: tuple[float, float, float]
    variant: int
    held: int
    raw_reserve: float

    @property
    def resolved(self) -> bool:
        """Whether the mesh is fine enough there for the ball to average anything."""
        return self.held >= 8 * failure.LEAST_POINTS

    @property
    def label(self) -> str:
        """Which instant, direction or place governs."""
        return self.loading.labels[self.variant]

    @property
    def resultants(self) -> np.ndarray:
        """The six section resultants that govern. [N, N mm]."""
        return self.loading.resultants[:, self.variant]


@dataclass(frozen=True)
class Answer:
    """All that one option on one mesh has to say."""

    option: Option
    part_mesh: PartMesh
    responses: UnitResponses
    readings: tuple[Reading, ...]
    worst: tuple[Worst, ...]
    criteria: tuple[str, ...] = field(default=CRITERIA)

    def case(self, name: str) -> Worst:
        """Look one load case up by name."""
        return next(w for w in self.worst if w.loading.name == name)

    @cached_property
    def model(self) -> Model:
        """The solved model."""
        return self.responses.solution.model

    def nodal_index(self, worst: Worst, averaged: bool = True) -> np.ndarray:
        """Failure index at every node for the governing variant of a load case.

        Corner nodes take the largest of their regions and criteria; nodes in the middle of an
        edge the mean of its ends.
        """
        space = self.model.space
        index = np.full(space.nodes.shape[1], -np.inf)
        for reading in self.readings:
            unit = reading.averaged if averaged else reading.raw
            stress, strengths = unit @ worst.resultants, reading.print.loaded.strengths
            for name in applicable(self.criteria, strengths):
                values = failure.CRITERIA[name].index(stress, strengths)
                index[reading.nodes] = np.maximum(index[reading.nodes], values)
        return edge_filled(space.cell_nodes, index)

    def nodal_mode(self, worst: Worst) -> np.ndarray:
        """Governing mode at every corner node, as a place in ``failure.MODES``; -1 elsewhere."""
        mode = np.full(self.model.space.nodes.shape[1], -1)
        best = np.full(len(mode), -np.inf)
        for reading in self.readings:
            stress = reading.averaged @ worst.resultants
            strengths = reading.print.loaded.strengths
            index = np.max(
                [
                    1.0 / failure.CRITERIA[name].reserve(stress, strengths)
                    for name in applicable(self.criteria, strengths)
                ],
                axis=0,
            )
            higher = index > best[reading.nodes]
            chosen = reading.nodes[higher]
            mode[chosen] = failure.governing_mode(stress[:, higher], strengths)
            best[chosen] = index[higher]
        return mode

    def displacement(self, worst: Worst) -> np.ndarray:
        """Displacements (3, n_nodes) of the governing variant, the opposite end held. [mm]."""
        return self.responses.displacement(worst.resultants)


def evaluate(
    option: Option,
    part_mesh: PartMesh,
    setting: Setting,
    criteria: Sequence[str] = CRITERIA,
    radius: float | None = None,
    method: str = "auto",
) -> Answer:
    """Solve one option on one mesh and find the worst of every load case.

    Parameters
    ----------
    option : Option
    part_mesh : PartMesh
    setting : StickWindow or HeldPart
    criteria : sequence of str, optional
        Names from ``failure.CRITERIA``; the lowest reserve of them governs.
    radius : float, optional
        Averaging radius for all regions; by material if not given. [mm]
    method : str, optional
        Linear solver.

    Returns
    -------
    answer : Answer
    """
    model = Model(part_mesh.mesh, stiffness_field(option, part_mesh))
    return judge(option, part_mesh, setting, setting.respond(model, method), criteria, radius)


def judge(
    option: Option,
    part_mesh: PartMesh,
    setting: Setting,
    responses: UnitResponses,
    criteria: Sequence[str] = CRITERIA,
    radius: float | None = None,
) -> Answer:
    """Find the worst of every load case from unit responses that are already solved."""
    model = responses.solution.model
    responses.solution.stress  # noqa: B018  made once, before threads ask for it
    read = partial(_readings, option, part_mesh, responses, radius)
    readings = tuple(chain.from_iterable(in_parallel(read, [name for name, _, _ in model.groups])))
    worst = tuple(
        _worst(model, readings, loading, tuple(criteria))
        for loading in setting.loadings(responses, densities(option, part_mesh))
    )
    return Answer(option, part_mesh, responses, readings, worst, tuple(criteria))


def stiffness_field(option: Option, part_mesh: PartMesh) -> dict[str, Stiffness]:
    """Stiffness of every region in part axes, following its print direction."""
    field: dict[str, Stiffness] = {}
    for region, piece in part_mesh.piece_of.items():
        printed = option.print_of(region, piece)
        if printed.frame.beads == "around":
            field[region] = partial(stiffness_of, printed.loaded, printed.frame)
        else:
            field[region] = stiffness_of(printed.loaded, printed.frame)
    return field


def applicable(criteria: Sequence[str], strengths: Strengths) -> list[str]:
    """Criteria that mean something for a material: without layers none can come apart."""
    return [name for name in criteria if name != "layers" or not strengths.is_isotropic]


def densities(option: Option, part_mesh: PartMesh) -> dict[str, float]:
    """Density of every region. [g/cm^3]."""
    return {
        region: option.print_of(region, piece).loaded.density
        for region, piece in part_mesh.piece_of.items()
    }


def edge_filled(cell_nodes: np.ndarray, values: np.ndarray) -> np.ndarray:
    """Copy of nodal values whose mid-edge nodes hold the mean of the edge's ends."""
    ends = np.array([(0, 1), (1, 2), (0, 2), (0, 3), (1, 3), (2, 3)])
    filled = values.copy()
    for middle, (a, b) in enumerate(ends, start=4):
        filled[cell_nodes[middle]] = 0.5 * (values[cell_nodes[a]] + values[cell_nodes[b]])
    return filled


def _readings(
    option: Option, part_mesh: PartMesh, responses: UnitResponses, radius: float | None, region: str
) -> list[Reading]:
    """Averaged and raw unit stresses of a region, once for each way its beads run."""
    solution = responses.solution
    space = solution.model.space
    piece = part_mesh.piece_of[region]
    printed = option.print_of(region, piece)
    length = radius_of(printed, radius)
    cells = space.cells(region)
    nodes, counts = counted_nodes(part_mesh, space, region)
    weights, held = ball_weights(space, cells, nodes, length)
    at_nodes = nodal_weights(space, cells, nodes)
    stresses = print_stresses(
        printed.loaded, printed.frame, solution.stress[:, cells], space.points[:, cells]
    )
    flat = [stress.reshape(6, -1, solution.n_loads) for stress in stresses]
    return [
        Reading(
            region=region, piece=piece, print=printed, nodes=nodes, counts=counts,
            averaged=failure.averaged(weights, stress), raw=failure.averaged(at_nodes, stress),
            radius=length, held=held,
        )
        for stress in flat
    ]  # fmt: skip


def counted_nodes(part_mesh: PartMesh, space, region: str) -> tuple[np.ndarray, np.ndarray]:
    """Corner nodes of a region, and which of them count for the verdict."""
    nodes = np.unique(space.cell_nodes[:4, space.cells(region)])
    zone = part_mesh.part.interest
    inside = np.ones(len(nodes), bool) if zone is None else zone.holds(space.nodes[:, nodes], 1e-6)
    return nodes, inside


def ball_weights(space, cells, nodes, radius: float) -> tuple[sp.csr_array, np.ndarray]:
    """Weights from quadrature points to a ball round each node, and what each ball held."""
    samples = sampled(space, cells)
    weights, held = failure.averaging(
        samples.points.reshape(3, -1), samples.volumes.ravel(),
        np.zeros(samples.volumes.size, int), radius, space.nodes[:, nodes],
        np.zeros(len(nodes), int),
    )  # fmt: skip
    to_samples = sp.kron(sp.eye_array(len(cells)), samples.spread, format="csr")
    return (weights @ to_samples).tocsr(), held


def radius_of(printed: Print, radius: float | None) -> float:
    """Half of the critical distance, as in the point method; the default where none is known."""
    if radius is not None:
        return radius
    length = printed.loaded.critical_length
    return DEFAULT_RADIUS if np.isnan(length) else 0.5 * length


def _worst(
    model: Model, readings: Sequence[Reading], loading: Loading, criteria: tuple[str, ...]
) -> Worst:
    """Lowest reserve over regions, criteria and variants, and that of the raw peaks."""
    found, raw = [], []
    for reading in readings:
        if not reading.counts.any():
            continue
        for name in applicable(criteria, reading.print.loaded.strengths):
            averaged, peak = (
                failure.evaluate(
                    unit[:, reading.counts],
                    loading.resultants,
                    reading.print.loaded.strengths,
                    failure.CRITERIA[name],
                )
                for unit in (reading.averaged, reading.raw)
            )
            raw.append(peak.reserve.min())
            found.append((float(averaged.reserve.min()), reading, name, averaged))
    if not found:
        raise ModelError("No point of the part lies in the zone where results are read.")
    reserve, reading, name, verdict = min(found, key=lambda entry: entry[0])
    variant = int(np.argmin(verdict.reserve))
    point = np.flatnonzero(reading.counts)[verdict.point[variant]]
    x, y, z = model.space.nodes[:, reading.nodes[point]]
    return Worst(
        loading=loading, reserve=reserve, index=float(verdict.index[variant]), criterion=name,
        mode=failure.MODES[verdict.mode[variant]], region=reading.region, piece=reading.piece,
        place=(float(x), float(y), float(z)),
        variant=variant, held=int(reading.held[point]), raw_reserve=float(min(raw)),
    )  # fmt: skip
