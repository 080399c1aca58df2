"""All that one option on one mesh has to say, and the fields that figures draw from it."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from orthofem import failure
from orthofem.mesh import PartMesh
from orthofem.solve import Model, UnitResponses

from .border_reading import BorderReading
from .contact.touched import Touched
from .option import Option
from .reading import Reading, applicable
from .uncertainty import Estimate
from .worst import Worst

CRITERIA = ("tsai_hill", "layers")


@dataclass(frozen=True)
class Answer:
    """All that one option on one mesh has to say.

    Parameters
    ----------
    option : Option
    part_mesh : PartMesh
        Split where pieces touch.
    responses : UnitResponses
        To six unit resultants; where pieces touch, to the load sets that were solved.
    readings : tuple of Reading
    worst : tuple of Worst
        One for each load case.
    criteria : tuple of str
    borders : tuple of BorderReading
    not_judged : tuple of str
        Interfaces taken as bonded for good.
    estimates : tuple of Estimate
        Of each reserve factor, where the mesh was refined for it.
    contact : Touched, optional
        What happens where pieces touch, and what the same option says if bonded there.
    """

    option: Option
    part_mesh: PartMesh
    responses: UnitResponses
    readings: tuple[Reading, ...]
    worst: tuple[Worst, ...]
    criteria: tuple[str, ...] = field(default=CRITERIA)
    borders: tuple[BorderReading, ...] = ()
    not_judged: tuple[str, ...] = ()
    estimates: tuple[Estimate, ...] = ()
    contact: Touched | None = None

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
            stress, strengths = unit @ worst.shares, reading.print.loaded.strengths
            for name in applicable(self.criteria, strengths):
                values = failure.CRITERIA[name].index(stress, strengths)
                index[reading.nodes] = np.maximum(index[reading.nodes], values)
        for border in self.borders:
            np.maximum.at(index, border.nodes, border.index(worst.shares, averaged))
        return edge_filled(space.cell_nodes, index)

    def nodal_mode(self, worst: Worst) -> np.ndarray:
        """Governing mode at every corner node, as a place in ``failure.MODES``; -1 elsewhere."""
        mode = np.full(self.model.space.nodes.shape[1], -1)
        best = np.full(len(mode), -np.inf)
        for reading in self.readings:
            stress = reading.averaged @ worst.shares
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
        for border in self.borders:
            index = np.sqrt(border.index(worst.shares))
            higher = index > best[border.nodes]
            mode[border.nodes[higher]] = border.mode(worst.shares)[higher]
            best[border.nodes[higher]] = index[higher]
        return mode

    def displacement(self, worst: Worst) -> np.ndarray:
        """Displacements (3, n_nodes) of the governing variant, the opposite end held. [mm]."""
        return self.responses.displacement(worst.shares)


def edge_filled(cell_nodes: np.ndarray, values: np.ndarray) -> np.ndarray:
    """Copy of nodal values whose mid-edge nodes hold the mean of the edge's ends."""
    ends = np.array([(0, 1), (1, 2), (0, 2), (0, 3), (1, 3), (2, 3)])
    filled = values.copy()
    for middle, (a, b) in enumerate(ends, start=4):
        filled[cell_nodes[middle]] = 0.5 * (values[cell_nodes[a]] + values[cell_nodes[b]])
    return filled
