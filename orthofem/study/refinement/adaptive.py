"""Refine where the reserve factors get their error from, until they are as sure as wanted."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import compress
from typing import Any

import numpy as np

from orthofem.mesh import MeshReport, PartMesh, SizeField, mesh_part, sizes_by_cell
from orthofem.solve.linear import factor_memory
from orthofem.solve.memory import available_memory

from ..evaluate import Answer, evaluate
from ..option import Option
from .goal import GoalError, edge_lengths, goal_errors
from .levels import Level, global_estimates, joined, local_estimates, scatter

LEFT = 0.15
"""Share of a load case's estimated error that no hot spot keeps in cells left as they are (E)."""

FINER = 1.5
"""By what the edges of such cells are divided (E). [-]"""

GLOBAL = float(np.sqrt(2.0))
"""By what all sizes are divided when the hot spots are fine enough: what is coarse far off, its
curved sides above all, reaches them too, and no estimate of stress error tells of it (E). [-]"""

MOST = 10
"""Meshes at most (E)."""

MEMORY = 0.8
"""Share of the free memory that a factor may fill (E). [-]"""


@dataclass(frozen=True)
class Reached:
    """How adaptive refinement of one option ended.

    Parameters
    ----------
    wanted, uncertainty : float
        Relative uncertainty of the reserve factors, the one asked for and the worst left. [-]
    unknowns : tuple of int
        Of each mesh.
    reason : str
        What ended it.
    """

    wanted: float
    uncertainty: float
    unknowns: tuple[int, ...]
    reason: str

    @property
    def reached(self) -> bool:
        """Whether every load case is as sure as wanted."""
        return self.uncertainty <= self.wanted

    @property
    def sentence(self) -> str:
        """The outcome in plain words."""
        text = (
            f"uncertainty of {100 * self.wanted:.3g} % "
            f"{'reached' if self.reached else 'NOT reached'}: {100 * self.uncertainty:.2g} % on "
            f"{len(self.unknowns)} meshes, {self.unknowns[-1]:,} unknowns in the last"
        )
        return text if self.reached else f"{text}; {self.reason}"


def adapted(
    asked: Any, option: Option, progress: Callable[[str], None], method: str = "auto"
) -> tuple[tuple[Answer, ...], Reached]:
    """Judge one option on ever finer meshes, from the coarsest of the study on.

    Parameters
    ----------
    asked : Study or Case
        What either says of meshes, loads and readings.
    option : Option
    progress : callable
        Called with a line of text before each step.
    method : str, optional
        Linear solver.
    """

    def mesh(finer: float, wanted: Sequence[SizeField]) -> PartMesh:
        progress(f"{option.name}: meshing")
        level = finer * asked.refinements[0]
        return mesh_part(option.part, size=asked.size, refinement=level, wanted=wanted)

    def judge(part_mesh: PartMesh, coarser: Answer | None) -> Answer:
        progress(f"{option.name}: solving {part_mesh.report.n_unknowns:,} unknowns")
        return evaluate(
            option, part_mesh, asked.setting, asked.criteria, asked.radius, method,
            asked.hot_spot, coarser,
        )  # fmt: skip

    return adapt(mesh, judge, float(asked.uncertainty or 0.0), asked.limit_unknowns)


def adapt(
    mesh: Callable[[float, Sequence[SizeField]], PartMesh],
    judge: Callable[[PartMesh, Answer | None], Answer],
    wanted: float,
    limit: int,
) -> tuple[tuple[Answer, ...], Reached]:
    """Mesh and judge again and again, smaller where it counts, until sure or at a limit.

    At the hot spots first, until these are as sure as half of what is wanted; then everywhere,
    with the hot spots as they are, and so in turn. The uncertainty is the sum of both.

    Parameters
    ----------
    mesh : callable
        From a number that divides all sizes, 1 at first, and the size fields wanted so far, none
        at first, to a mesh of the part.
    judge : callable
        From a mesh, and the answer on the mesh before if there was one, to its answer.
    wanted : float
        Relative uncertainty asked of the reserve factor of every load case. [-]
    limit : int
        Most unknowns of a mesh.

    Returns
    -------
    answers : tuple of Answer
        Coarse mesh to fine, the last one with its estimates.
    reached : Reached
    """
    fields: list[SizeField] = []
    answers: list[Answer] = []
    levels: list[Level] = []
    finer, part_mesh = 1.0, mesh(1.0, ())
    while True:
        answer = judge(part_mesh, answers[-1] if answers else None)
        goals = goal_errors(answer)
        answers.append(answer)
        levels.append(Level.of(answer, goals, finer))
        local, whole = local_estimates(levels), global_estimates(levels)
        total = [joined(*pair) for pair in zip(local, whole, scatter(answer), strict=True)]
        unsure = np.array([_left(entry.uncertainty, answer, i) for i, entry in enumerate(total)])
        reason = "" if len(answers) < MOST else f"stopped after {MOST} meshes"
        if unsure.max() <= wanted or reason:
            break
        rough = np.array([_left(entry.uncertainty, answer, i) for i, entry in enumerate(local)])
        if rough.max() > wanted / 2:
            asked, expected = _asked(answer, list(compress(goals, rough > wanted / 2)))
            fields.append(asked)
        else:
            finer, expected = finer * GLOBAL, int(GLOBAL * part_mesh.report.n_unknowns)
        reason = _too_large(expected, limit)
        if not reason:
            part_mesh = mesh(finer, fields)
            reason = _too_large(part_mesh.report.n_unknowns, limit)
        if reason:
            break
    answers[-1] = replace(answers[-1], estimates=tuple(total))
    counts = tuple(entry.part_mesh.report.n_unknowns for entry in answers)
    return tuple(answers), Reached(wanted, float(unsure.max()), counts, reason)


def _left(uncertainty: float, answer: Answer, case: int) -> float:
    """Uncertainty of a load case; none where the load never breaks the part."""
    if not np.isfinite(answer.worst[case].reserve):
        return 0.0
    return np.inf if np.isnan(uncertainty) else uncertainty


def _asked(answer: Answer, goals: Sequence[GoalError]) -> tuple[SizeField, int]:
    """Smaller size in the cells that hold most of the error; unknowns to be expected.

    References
    ----------
    Doerfler W 1996, SIAM J. Numer. Anal. 33:1106-1124 (M-h): mark the fewest cells that hold a
    given share of the estimated error.
    """
    marked = np.zeros(answer.model.mesh.nelements, bool)
    for goal in goals:
        marked |= goal.near
        for share in goal.shares:
            order = np.argsort(-share)
            rest = share.sum() - np.cumsum(share[order])
            marked[order[: np.count_nonzero(rest > LEFT * goal.size)]] = True
    edge = edge_lengths(answer)
    asked = sizes_by_cell(answer.model.mesh, np.where(marked, edge / FINER, np.inf))
    at_cells = np.minimum(asked.size[asked.cells].mean(axis=0), edge)
    report: MeshReport = answer.part_mesh.report
    return asked, int(report.n_unknowns * ((edge / at_cells) ** 3).mean())


def _too_large(unknowns: int, limit: int) -> str:
    if unknowns > limit:
        return f"the next mesh has about {unknowns:,} unknowns; {limit:,} are allowed"
    free = available_memory() / 1e9
    if factor_memory(unknowns) > MEMORY * free:
        return (
            f"the next mesh has about {unknowns:,} unknowns and wants about "
            f"{factor_memory(unknowns):.2g} GB; {free:.2g} GB are free"
        )
    return ""
