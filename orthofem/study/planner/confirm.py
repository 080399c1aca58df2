"""A plan answered in detail: meshes for every kind of joint in it, and the whole stick again."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from time import perf_counter
from typing import NamedTuple

from orthofem.errors import ModelError
from orthofem.parts import Joint

from ..chain import Study, run
from ..option import Option
from ..setting import StickWindow
from ..stick import DetailWindow, StickResult, WindowAnswer, whole_stick
from ..stick.result import DETAIL
from .layout import Layout, question_of
from .models import Models, Ways, prints_of, ways_words
from .result import Compared, Confirmation, Plan
from .wish import Wish


def confirmed(
    models: Models, plan: Plan, progress: Callable[[str], None] = lambda text: None
) -> Confirmation:
    """Answer a plan's joints with detailed models, and put them in the stick.

    Parameters
    ----------
    models : Models
    plan : Plan
    progress : callable, optional

    Returns
    -------
    confirmation : Confirmation
        With the reason where a detailed model could not be solved.
    """
    started = perf_counter()
    layout, wish = plan.layout, models.wish
    if layout.joint is None:
        return Confirmation(plan.stick)
    try:
        answers = {
            key: _answered(models, layout.joint, key[0], stations, layout, progress)
            for key, stations in kinds(wish, layout).items()
        }
    except ModelError as error:
        return Confirmation(None, failed=str(error), seconds=perf_counter() - started)
    windows = [
        DetailWindow(x, answers[_kind(wish, layout, k)].window, name=f"joint {k + 1}")
        for k, x in enumerate(layout.stations)
    ]
    progress("the whole stick with its detailed joints")
    stick = whole_stick(replace(question_of(models, layout), windows=windows))
    unknowns = tuple(found.unknowns for found in answers.values())
    rows = tuple(_compared(wish, plan, stick, answers))
    return Confirmation(stick, rows, unknowns, perf_counter() - started)


class _Detailed(NamedTuple):
    """What is kept of a joint's detailed study: its meshes and fields are let go."""

    window: WindowAnswer
    unknowns: int
    uncertainty: dict[str, float]  # of each load case's reserve, from the meshes


def kinds(wish: Wish, layout: Layout) -> dict[tuple[Ways, float], list[float]]:
    """Stations of each kind of joint: by ways up and local diameter."""
    found: dict[tuple[Ways, float], list[float]] = {}
    for k, x in enumerate(layout.stations):
        found.setdefault(_kind(wish, layout, k), []).append(x)
    return found


def _kind(wish: Wish, layout: Layout, number: int) -> tuple[Ways, float]:
    return layout.at_joint(number), round(wish.diameter(layout.stations[number]), 2)


def _answered(
    models: Models, joint: Joint, ways: Ways, stations: list[float], layout: Layout, progress
) -> _Detailed:
    wish = models.wish
    shaft = wish.straight(wish.diameter(stations[0]))
    mesh = models.mesh(joint, shaft)
    name = f"{layout.design}, {ways_words(ways)}"
    option = Option(name, mesh.part, prints_of(wish, joint, ways, mesh))
    setting = StickWindow(
        wish.person, wish.stick(layout.stations), wish.cases, stations=tuple(stations)
    )
    study = Study(f"Joints of: {layout.words}", [option], setting, wish.criteria, wish.refinements)
    result = run(study, progress)
    finest = result.answers[name][-1]
    sure = {row.worst.loading.name: row.uncertainty for row in result.rows}
    return _Detailed(WindowAnswer.of(finest), finest.part_mesh.report.n_unknowns, sure)


def _compared(wish: Wish, plan: Plan, stick: StickResult, answers):
    """Fast margins beside detailed ones, each with its meshes' uncertainty."""
    fast = {(r.station, r.case): r.margin for r in plan.stick.rows if r.basis == DETAIL}
    for row in stick.rows:
        if row.basis != DETAIL:
            continue
        number = plan.layout.stations.index(row.station)
        sure = answers[_kind(wish, plan.layout, number)].uncertainty[row.case]
        yield Compared(
            row.station, row.case, row.title, fast[row.station, row.case], row.margin, sure
        )
