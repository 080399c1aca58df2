"""One option under all loads on all its meshes: the unit of work, and its answer as plain data."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from time import perf_counter

from orthofem.materials import Printer
from orthofem.mesh import PartMesh, mesh_part
from orthofem.parts import WholePiece

from ..chain import Study
from ..evaluate import evaluate
from ..option import Option
from ..printing import option_costs
from ..refinement.adaptive import adapted
from ..setting import Setting
from ..time_heat.conditions import Conditions
from ..time_heat.finding import Lasting
from ..time_heat.judged import time_and_heat
from .settled import settled_option, settled_setting
from .stored import plain_level, plain_print

Reading = Callable[[list[int]], None]


@dataclass(frozen=True)
class Case:
    """One option of one study, with nothing left to look up by name.

    Parameters
    ----------
    option : Option
        Each region with its material itself.
    setting : StickWindow or HeldPart
        With the load cases themselves.
    criteria : tuple of str
    refinements : tuple of float
        Coarse to fine. [-]
    size, radius : float or None
        Mesh size and averaging radius. [mm]
    method : str
        Linear solver.
    conditions : Conditions or None
        Time and heat; the option's materials are as they leave them.
    hot_spot : str
        How the stress of a hot spot is read.
    uncertainty : float or None
        Relative uncertainty to refine for. [-]
    limit_unknowns : int
        Most unknowns of a mesh refined so.
    printer : Printer or None
        What its pieces are printed on.
    whole : tuple of WholePiece
        The option's pieces from end to end, where a printer asks for them.
    """

    option: Option
    setting: Setting
    criteria: tuple[str, ...]
    refinements: tuple[float, ...]
    size: float | None
    radius: float | None
    method: str
    conditions: Conditions | None = None
    hot_spot: str = "volume"
    uncertainty: float | None = None
    limit_unknowns: int = 300_000
    printer: Printer | None = None
    whole: tuple[WholePiece, ...] = ()


def case_of(study: Study, option: Option, method: str = "auto") -> Case:
    """Take one option out of its study, materials and load cases looked up.

    Raises
    ------
    ValueError
        If a material or load case is unknown.
    ModelError
        If a material is not rated under the study's conditions, or nothing is known of it.
    """
    there = option if study.conditions is None else study.conditions.applied(option)
    return Case(
        option=settled_option(there),
        setting=settled_setting(study.setting),
        criteria=tuple(study.criteria),
        refinements=tuple(study.refinements),
        size=study.size,
        radius=study.radius,
        method=method,
        conditions=study.conditions,
        hot_spot=study.hot_spot,
        uncertainty=study.uncertainty,
        limit_unknowns=study.limit_unknowns,
        printer=study.printer,
        whole=() if study.printer is None else option.whole,
    )


def solve_case(case: Case, meshed: Reading = lambda unknowns: None) -> dict:
    """Mesh and solve a case.

    Parameters
    ----------
    case : Case
    meshed : callable, optional
        Called with the number of unknowns of each mesh when all are made and nothing is solved
        yet; may wait until there is memory.

    Returns
    -------
    result : dict
        Plain data: for each mesh its figures and the worst of every load case; times in seconds.
    """
    if case.uncertainty is not None:
        return _refined_case(case, meshed)
    started = perf_counter()
    meshes = [
        mesh_part(case.option.part, size=case.size, refinement=level) for level in case.refinements
    ]
    times = {"mesh": perf_counter() - started}
    costs = _printed(case, meshes[0])
    meshed([mesh.report.n_unknowns for mesh in meshes])
    started = perf_counter()
    levels: list[dict] = []
    lasting: tuple[Lasting, ...] = ()
    answer = None
    for mesh in meshes:
        answer = evaluate(
            case.option, mesh, case.setting, case.criteria, case.radius, case.method,
            case.hot_spot, answer,
        )  # fmt: skip
        levels.append(plain_level(answer))
        if mesh is meshes[-1]:
            lasting = time_and_heat(answer, case.conditions, case.setting, case.method)
    times["solve"] = perf_counter() - started
    return _result(levels, lasting, times, None, costs)


def _refined_case(case: Case, meshed: Reading) -> dict:
    """Solve a case on meshes refined as it goes; room for the largest allowed is kept for it."""
    costs = None
    if case.printer is not None:
        mesh = mesh_part(case.option.part, size=case.size, refinement=case.refinements[0])
        costs = _printed(case, mesh)
    meshed([case.limit_unknowns])
    started = perf_counter()
    answers, reached = adapted(case, case.option, lambda text: None, case.method)
    lasting = time_and_heat(answers[-1], case.conditions, case.setting, case.method)
    times = {"mesh": 0.0, "solve": perf_counter() - started}
    return _result([plain_level(answer) for answer in answers], lasting, times, reached, costs)


def _result(
    levels: list[dict], lasting: Sequence[Lasting], times: dict, reached, costs: dict | None
) -> dict:
    return {
        "levels": levels,
        "lasting": [asdict(row) for row in lasting],
        "reached": None if reached is None else asdict(reached),
        "printing": costs,
        "seconds": {name: round(t, 3) for name, t in times.items()},
    }


def _printed(case: Case, mesh: PartMesh) -> dict | None:
    """Print costs as plain data; a piece that fits the printer no way up is not judged either."""
    if case.printer is None:
        return None
    return plain_print(option_costs(case.option, mesh, case.printer, case.setting))
