"""One option under all loads on all its meshes: the unit of work, and its answer as plain data."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, fields, replace
from time import perf_counter
from typing import cast

import numpy as np

from orthofem.errors import pick
from orthofem.loads import LOAD_CASES, LoadCase
from orthofem.mesh import MeshReport, mesh_part

from ..chain import Study
from ..evaluate import Worst, evaluate
from ..option import Option, Print
from ..setting import Loading, Setting, StickWindow, SurfaceLoad

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
    """

    option: Option
    setting: Setting
    criteria: tuple[str, ...]
    refinements: tuple[float, ...]
    size: float | None
    radius: float | None
    method: str


@dataclass(frozen=True)
class StoredMesh:
    """What is kept of a mesh: its figures."""

    report: MeshReport


@dataclass(frozen=True)
class StoredAnswer:
    """What is kept of an answer: enough for tables and verdicts, no fields."""

    worst: tuple[Worst, ...]
    part_mesh: StoredMesh

    def case(self, name: str) -> Worst:
        """Look one load case up by name."""
        return next(worst for worst in self.worst if worst.loading.name == name)


def case_of(study: Study, option: Option, method: str = "auto") -> Case:
    """Take one option out of its study, materials and load cases looked up.

    Raises
    ------
    ValueError
        If a material or load case is unknown.
    """
    return Case(
        option=_settled_option(option),
        setting=_settled_setting(study.setting),
        criteria=tuple(study.criteria),
        refinements=tuple(study.refinements),
        size=study.size,
        radius=study.radius,
        method=method,
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
    started = perf_counter()
    meshes = [
        mesh_part(case.option.part, size=case.size, refinement=level) for level in case.refinements
    ]
    times = {"mesh": perf_counter() - started}
    meshed([mesh.report.n_unknowns for mesh in meshes])
    started = perf_counter()
    levels = []
    for mesh in meshes:
        answer = evaluate(case.option, mesh, case.setting, case.criteria, case.radius, case.method)
        levels.append(
            {
                "mesh": asdict(mesh.report),
                "solver": answer.responses.solution.method,
                "residual": answer.responses.solution.residual,
                "worst": [_worst(worst) for worst in answer.worst],
            }
        )
        del answer
    times["solve"] = perf_counter() - started
    return {"levels": levels, "seconds": {name: round(t, 3) for name, t in times.items()}}


def stored_answers(result: dict, setting: Setting) -> tuple[StoredAnswer, ...]:
    """Answers coarse to fine from a stored result, titles and reasons from the setting asked."""
    cases = cast(Sequence[LoadCase | SurfaceLoad], _settled_setting(setting).cases)
    return tuple(
        StoredAnswer(
            tuple(_read_worst(*pair) for pair in zip(level["worst"], cases, strict=True)),
            StoredMesh(MeshReport(**level["mesh"])),
        )
        for level in result["levels"]
    )


def _settled_option(option: Option) -> Option:
    prints = {}
    for piece in option.part.pieces:
        for region in piece.regions:
            printed = option.print_of(region, piece.name)
            prints[region] = Print(printed.loaded, printed.frame)
    return replace(option, prints=prints)


def _settled_setting(setting: Setting) -> Setting:
    if not isinstance(setting, StickWindow):
        return setting
    cases = tuple(
        case if isinstance(case, LoadCase)
        else pick(LOAD_CASES, case, "load case")(setting.person, setting.stick)
        for case in setting.cases
    )  # fmt: skip
    stations = setting.stick.joints if setting.stations is None else setting.stations
    return replace(setting, cases=cases, stations=tuple(stations))


_KEPT = tuple(f.name for f in fields(Worst) if f.name not in ("loading", "variant"))


def _worst(worst: Worst) -> dict:
    """Plain numbers of a worst place, of its load only the governing variant."""
    loading = worst.loading
    return {
        **{name: getattr(worst, name) for name in _KEPT},
        "case": loading.name,
        "label": worst.label,
        "resultants": [float(value) for value in worst.resultants],
        "source": loading.source,
        "grade": loading.grade,
        "wanted": loading.wanted,
    }


def _read_worst(kept: dict, told: LoadCase | SurfaceLoad) -> Worst:
    loading = Loading(
        name=kept["case"],
        title=told.title,
        labels=(kept["label"],),
        resultants=np.array(kept["resultants"], dtype=float)[:, None],
        source=kept["source"],
        grade=kept["grade"],
        wanted=kept["wanted"],
        reason=told.factor_reason if isinstance(told, LoadCase) else told.reason,
        notes=tuple(getattr(told, "notes", ())),
    )
    numbers = {name: kept[name] for name in _KEPT}
    numbers["place"] = tuple(kept["place"])
    return Worst(loading=loading, variant=0, **numbers)
