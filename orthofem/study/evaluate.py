"""One option on one mesh: solved, averaged stress in print axes, the worst of each load."""

from __future__ import annotations

from collections.abc import Sequence

from orthofem.mesh import PartMesh
from orthofem.solve import Model, UnitResponses
from orthofem.solve.contact import to_split

from .answer import CRITERIA, Answer
from .border_reading import border_readings, borders_not_judged
from .contact.touching import touching
from .option import Option
from .reading import (
    DEFAULT_RADIUS,
    Reader,
    Reading,
    applicable,
    ball_weights,
    counted_nodes,
    densities,
    radius_of,
    stiffness_field,
)
from .setting import Setting
from .worst import Worst, worst_place

__all__ = [
    "CRITERIA",
    "DEFAULT_RADIUS",
    "Answer",
    "Reading",
    "Worst",
    "applicable",
    "ball_weights",
    "counted_nodes",
    "densities",
    "evaluate",
    "judge",
    "radius_of",
    "stiffness_field",
]


def evaluate(
    option: Option,
    part_mesh: PartMesh,
    setting: Setting,
    criteria: Sequence[str] = CRITERIA,
    radius: float | None = None,
    method: str = "auto",
    hot_spot: str = "volume",
    coarser: Answer | None = None,
) -> Answer:
    """Solve one option on one mesh and find the worst of every load case.

    Parameters
    ----------
    option : Option
        Bonded all over, or with pieces that touch.
    part_mesh : PartMesh
    setting : StickWindow or HeldPart
    criteria : sequence of str, optional
        Names from ``failure.CRITERIA``; the lowest reserve of them governs.
    radius : float, optional
        Averaging radius for all regions; by material if not given. [mm]
    method : str, optional
        Linear solver.
    hot_spot : str, optional
        Name in ``failure.HOT_SPOTS``: how the stress of a hot spot is read.
    coarser : Answer, optional
        The same on a coarser mesh: saves finding anew how much softer contact makes the joint.

    Returns
    -------
    answer : Answer

    Raises
    ------
    ValueError
        If pieces whose interface is in contact do not meet.
    ModelError
        If contact leaves a piece loose, or does not settle.
    """
    model = Model(part_mesh.mesh, stiffness_field(option, part_mesh))
    responses = setting.respond(model, method)
    bonded = judge(option, part_mesh, setting, responses, criteria, radius, hot_spot)
    if not to_split(option.interfaces):
        return bonded
    reader = Reader(option, part_mesh, radius, hot_spot)
    return touching(bonded, setting, reader, method, coarser)


def judge(
    option: Option,
    part_mesh: PartMesh,
    setting: Setting,
    responses: UnitResponses,
    criteria: Sequence[str] = CRITERIA,
    radius: float | None = None,
    hot_spot: str = "volume",
) -> Answer:
    """Find the worst of every load case from unit responses that are already solved."""
    model = responses.solution.model
    readings = Reader(option, part_mesh, radius, hot_spot).readings(responses.solution)
    lengths = {reading.region: reading.radius for reading in readings}
    borders = border_readings(option, part_mesh, responses, lengths)
    worst = tuple(
        worst_place(model, readings, borders, loading, tuple(criteria))
        for loading in setting.loadings(responses, densities(option, part_mesh))
    )
    return Answer(
        option, part_mesh, responses, readings, worst, tuple(criteria), borders,
        borders_not_judged(option, part_mesh),
    )  # fmt: skip
