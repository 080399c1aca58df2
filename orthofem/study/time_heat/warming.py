"""Pieces that expand unlike each other: the stress of a warming, alone and under every load."""

from __future__ import annotations

from functools import partial

import numpy as np

from orthofem import failure
from orthofem.errors import ModelError
from orthofem.materials import free_strain, print_stresses
from orthofem.solve import Solution, ThermalStrain, solve

from ..evaluate import Answer, Reading, applicable, ball_weights
from ..option import Option
from ..setting import Loading, Setting
from .finding import Lasting

SOURCE = "linear elasticity, free strain along and across layers by the print frame"
ALONE = "warming alone"
CAUTION = (
    "stress without relaxation: a print lets go of some of it with time, which is not counted; "
    "ends of a window are free to expand"
)


def warming_loads(option: Option, piece_of, warming: float) -> list[ThermalStrain]:
    """Free strain of every region under one change of temperature, following its print frame.

    Parameters
    ----------
    option : Option
    piece_of : mapping of str to str
        Piece of each region.
    warming : float
        Change of temperature. [K]

    Raises
    ------
    ValueError
        If a material has no expansion; the message says which have.
    """
    loads = []
    for region, piece in piece_of.items():
        printed = option.print_of(region, piece)
        material, frame = printed.loaded, printed.frame
        if frame.beads == "around":
            field = partial(_at_points, material, frame, warming)
            field(np.zeros((3, 1, 1)))  # a missing expansion is told before anything is solved
            loads.append(ThermalStrain(field, region))
        else:
            loads.append(ThermalStrain(free_strain(material, frame, warming), region))
    return loads


def warmed(answer: Answer, setting: Setting, warming: float, method: str = "auto") -> Solution:
    """Solve an option's model for the warming alone, held as in its study."""
    loads = warming_loads(answer.option, answer.part_mesh.piece_of, warming)
    return solve(answer.model, setting.supports, [loads], method)


def warming_rows(
    answer: Answer, setting: Setting, warming: float, method: str = "auto"
) -> list[Lasting]:
    """Reserve of every load case on top of the stress of a warming, and of the warming alone.

    Parameters
    ----------
    answer : Answer
    setting : StickWindow or HeldPart
    warming : float
        Change of temperature since the pieces were put together. [K]
    method : str, optional
        Linear solver.

    Returns
    -------
    rows : list of Lasting
        First the warming alone, whose reserve multiplies the warming; then every load case,
        whose reserve multiplies the load while the warming stays. Where pieces touch, one row
        without a value: warming changes what touches, and answers cannot be added.
    """
    if answer.contact is not None:
        return [_not_judged(warming)]
    found = warmed(answer, setting, warming, method)
    readings = [r for r in answer.readings if r.counts.any()]
    heat = dict(zip(map(id, readings), _heat_stresses(answer, readings, found), strict=True))
    name = f"{ALONE}, {warming:+g} K"
    rows = [_lowest(answer, readings, heat, None, name)]
    return rows + [_lowest(answer, readings, heat, w.loading, name) for w in answer.worst]


def may_be_lowest(unit, resultants, kept, strengths, criterion) -> np.ndarray:
    """Places where a load on top of a stress that stays can have its lowest reserve.

    An index whose root is a gauge g obeys the triangle inequality, so the reserve R of s on top
    of f lies between ``(1 - g(f)) / g(s)`` and ``(1 + g(-f)) / g(s)``. Places whose lower bound
    lies above 1.2 times another's upper bound are left out; the search along the ray is slow.

    Returns
    -------
    near : ndarray of bool of shape (n_points,)
    """
    with np.errstate(divide="ignore"):
        rise, fall = (1.0 / criterion.reserve(sign * kept, strengths) for sign in (1.0, -1.0))
    near = np.zeros(unit.shape[1], bool)
    for column in resultants.T:
        alone = criterion.reserve(unit @ column, strengths)
        near |= (1.0 - rise) * alone <= 1.2 * ((1.0 + fall) * alone).min()
    return near


def _at_points(material, frame, warming, points):
    strain = free_strain(material, frame, warming, points)
    if strain.ndim == 1:
        strain = np.broadcast_to(strain[:, None, None], (6, *points.shape[1:]))
    return strain


def _not_judged(warming: float) -> Lasting:
    """What is said where pieces touch."""
    return Lasting(
        kind="warming", case=ALONE, title=f"{ALONE}, {warming:+g} K", what="pieces in contact",
        piece="all", place=(np.nan,) * 3, label="", stress=np.nan, reserve=np.nan, wanted=1.0,
        years=(), grade="E", source="no data",
        note="warming changes what touches, which is not solved here; judge the same option bonded",
        proven=False,
    )  # fmt: skip


def _heat_stresses(answer: Answer, readings, found: Solution) -> list[np.ndarray]:
    """Averaged stress of the warming in print axes at each reading's nodes, (6, n). [MPa]."""
    space, stresses, seen = answer.model.space, [], {}
    for reading in readings:
        if reading.region not in seen:
            cells = space.cells(reading.region)
            weights, _ = ball_weights(space, cells, reading.nodes, reading.radius)
            local = print_stresses(
                reading.print.loaded, reading.print.frame, found.stress[:, cells],
                space.points[:, cells],
            )  # fmt: skip
            flat = [stress.reshape(6, -1, 1) for stress in local]
            seen[reading.region] = iter([failure.averaged(weights, s)[..., 0] for s in flat])
        stresses.append(next(seen[reading.region]))
    return stresses


def _lowest(
    answer: Answer, readings: list[Reading], heat: dict, loading: Loading | None, name: str
) -> Lasting:
    """Lowest reserve over regions and criteria: of the warming, or of a load on top of it."""
    best = None
    for reading in readings:
        strengths, counts = reading.print.loaded.strengths, reading.counts
        kept = heat[id(reading)][:, counts]
        for key in applicable(answer.criteria, strengths):
            criterion, places = failure.CRITERIA[key], np.flatnonzero(counts)
            if loading is None:
                found = failure.evaluate(kept[..., None], [[1.0]], strengths, criterion)
            else:
                unit = reading.averaged[:, counts]
                near = may_be_lowest(unit, loading.resultants, kept, strengths, criterion)
                places = places[near]
                found = failure.evaluate(
                    unit[:, near], loading.resultants, strengths, criterion, kept[:, near]
                )
            column = int(np.argmin(found.reserve))
            if best is None or found.reserve[column] < best[0]:
                point = places[found.point[column]]
                best = (float(found.reserve[column]), reading, point, column, found.mode[column])
    if best is None:
        raise ModelError("No point of the part lies in the zone where results are read.")
    reserve, reading, point, column, mode = best
    x, y, z = answer.model.space.nodes[:, reading.nodes[point]]
    return Lasting(
        kind="warming", case=ALONE if loading is None else loading.name,
        title=name if loading is None else f"{loading.title}, on top of {name}",
        what=failure.MODES[mode], piece=reading.piece, place=(float(x), float(y), float(z)),
        label="" if loading is None else loading.labels[column], stress=float("nan"),
        reserve=reserve, wanted=1.0 if loading is None else loading.wanted, years=(), grade="D(E)",
        source=SOURCE, note=CAUTION,
    )  # fmt: skip
