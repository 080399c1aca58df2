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
from ..contact.touched import Touch, Touched
from ..evaluate import Answer, Worst, evaluate
from ..option import Option, Print
from ..refinement.adaptive import Reached, adapted
from ..setting import Loading, Setting, StickWindow, SurfaceLoad
from ..time_heat.conditions import Conditions
from ..time_heat.finding import Lasting
from ..time_heat.judged import time_and_heat
from ..uncertainty import Estimate

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


@dataclass(frozen=True)
class StoredMesh:
    """What is kept of a mesh: its figures."""

    report: MeshReport


@dataclass(frozen=True)
class StoredAnswer:
    """What is kept of an answer: enough for tables and verdicts, no fields."""

    worst: tuple[Worst, ...]
    part_mesh: StoredMesh
    not_judged: tuple[str, ...] = ()
    estimates: tuple[Estimate, ...] = ()
    contact: Touched | None = None

    def case(self, name: str) -> Worst:
        """Look one load case up by name."""
        return next(worst for worst in self.worst if worst.loading.name == name)


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
        option=_settled_option(there),
        setting=_settled_setting(study.setting),
        criteria=tuple(study.criteria),
        refinements=tuple(study.refinements),
        size=study.size,
        radius=study.radius,
        method=method,
        conditions=study.conditions,
        hot_spot=study.hot_spot,
        uncertainty=study.uncertainty,
        limit_unknowns=study.limit_unknowns,
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
    meshed([mesh.report.n_unknowns for mesh in meshes])
    started = perf_counter()
    levels: list[dict] = []
    lasting: tuple[Lasting, ...] = ()
    for mesh in meshes:
        answer = evaluate(
            case.option, mesh, case.setting, case.criteria, case.radius, case.method, case.hot_spot
        )
        levels.append(_level(answer))
        if mesh is meshes[-1]:
            lasting = time_and_heat(answer, case.conditions, case.setting, case.method)
        del answer
    times["solve"] = perf_counter() - started
    return _result(levels, lasting, times, None)


def _refined_case(case: Case, meshed: Reading) -> dict:
    """Solve a case on meshes refined as it goes; room for the largest allowed is kept for it."""
    meshed([case.limit_unknowns])
    started = perf_counter()
    answers, reached = adapted(case, case.option, lambda text: None, case.method)
    lasting = time_and_heat(answers[-1], case.conditions, case.setting, case.method)
    times = {"mesh": 0.0, "solve": perf_counter() - started}
    return _result([_level(answer) for answer in answers], lasting, times, reached)


def _level(answer: Answer) -> dict:
    return {
        "mesh": asdict(answer.part_mesh.report),
        "solver": answer.responses.solution.method,
        "residual": answer.responses.solution.residual,
        "worst": [_worst(worst) for worst in answer.worst],
        "not_judged": list(answer.not_judged),
        "estimates": [asdict(estimate) for estimate in answer.estimates],
        "contact": None if answer.contact is None else _touched(answer.contact),
    }


def _result(levels: list[dict], lasting: Sequence[Lasting], times: dict, reached) -> dict:
    return {
        "levels": levels,
        "lasting": [asdict(row) for row in lasting],
        "reached": None if reached is None else asdict(reached),
        "seconds": {name: round(t, 3) for name, t in times.items()},
    }


def stored_answers(result: dict, setting: Setting) -> tuple[StoredAnswer, ...]:
    """Answers coarse to fine from a stored result, titles and reasons from the setting asked."""
    cases = cast(Sequence[LoadCase | SurfaceLoad], _settled_setting(setting).cases)
    return tuple(
        StoredAnswer(
            tuple(_read_worst(*pair) for pair in zip(level["worst"], cases, strict=True)),
            StoredMesh(MeshReport(**level["mesh"])),
            tuple(level["not_judged"]),
            tuple(Estimate(**kept) for kept in level["estimates"]),
            _read_touched(level["contact"], cases),
        )
        for level in result["levels"]
    )


def stored_reached(result: dict) -> Reached | None:
    """How refinement ended, from a stored result; None if none was asked for."""
    kept = result["reached"]
    return None if kept is None else Reached(**{**kept, "unknowns": tuple(kept["unknowns"])})


def stored_lasting(result: dict) -> tuple[Lasting, ...]:
    """Findings about time and heat from a stored result."""
    return tuple(Lasting.read(kept) for kept in result["lasting"])


def _settled_option(option: Option) -> Option:
    prints = {}
    for piece in option.part.pieces:
        for region in piece.regions:
            printed = option.print_of(region, piece.name)
            prints[region] = Print(printed.loaded, printed.frame)
    borders = {name: border.settled() for name, border in option.joined.items()}
    return replace(option, prints=prints, borders=borders)


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


def _touched(found: Touched) -> dict:
    """What touching changes as plain numbers."""
    return {
        "touches": [asdict(touch) for touch in found.touches],
        "bonded": [_worst(worst) for worst in found.bonded],
        "flexibility": found.flexibility.tolist(),
        "bonded_flexibility": found.bonded_flexibility.tolist(),
        "notes": list(found.notes),
    }


def _read_touched(kept: dict | None, cases: Sequence[LoadCase | SurfaceLoad]) -> Touched | None:
    if kept is None:
        return None
    return Touched(
        touches=tuple(Touch.read(touch) for touch in kept["touches"]),
        bonded=tuple(_read_worst(*pair) for pair in zip(kept["bonded"], cases, strict=True)),
        flexibility=np.array(kept["flexibility"], float),
        bonded_flexibility=np.array(kept["bonded_flexibility"], float),
        notes=tuple(kept["notes"]),
    )


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
