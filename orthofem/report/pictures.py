"""A study's results turned into the plain data that the figures draw."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from orthofem import figures
from orthofem.failure import MODES
from orthofem.figures.gather import cut_normal, mode_cut, piece_cells
from orthofem.study import (
    Answer,
    StickWindow,
    StudyResult,
    Worst,
    axis_curve,
    file_stem,
    relative_displacement,
)

from .contact_faces import contact_pictures
from .screw import screw_pictures
from .stick import stick_margins_picture
from .whole import strongest

BEADS = {
    "along": "all one way",
    "around": "around the axis",
    "alternating": "crossing from layer to layer",
}
AXIS = (1.0, 0.0, 0.0)


def all_pictures(result: StudyResult) -> Iterator[tuple[str, str, object]]:
    """File stem, key of the figure and its data, for every figure of a study."""
    table = reserve_table(result)
    ranked = result.ranking()
    prints = {name: print_picture(answers[-1]) for name, answers in result.answers.items()}
    yield "reserve_by_option", "reserve_by_option", table
    yield (
        "overview",
        "overview",
        figures.Overview(prints[ranked[0][0]], prints[ranked[-1][0]], table),
    )
    best = strongest(result)
    if best is not None:
        title = f"The whole stick, {best}"
        yield "whole_stick", "stick_margins", stick_margins_picture(result.whole[best], title)
    for case in focus(result):
        if isinstance(result.study.setting, StickWindow):
            yield f"deflection_{case}", "deflection", deflection_curves(result, case)
        meshes = [len(answers) for answers in result.answers.values()]
        if min(meshes) > 1:
            yield f"convergence_{case}", "convergence", convergence(result, case)
            if len(set(meshes)) == 1:
                yield f"refinement_{case}", "refinement", refinement_table(result, case)
    yield from contact_pictures(result, focus(result))
    yield from screw_pictures(result)
    for name, answers in result.answers.items():
        stem = file_stem(name)
        yield f"{stem}_print", "print_directions", prints[name]
        for case in focus(result):
            worst = answers[-1].case(case)
            yield f"{stem}_{case}_surface", "index_on_surface", index_surface(result, name, worst)
            yield f"{stem}_{case}_cut", "index_on_cut", index_cut(answers[-1], worst)
            yield f"{stem}_{case}_mode", "governing_mode", governing_mode(answers[-1], worst)


def focus(result: StudyResult) -> tuple[str, ...]:
    """Load cases drawn in detail: the study's choice, or the one that holds options back."""
    return result.study.focus or (result.ranking()[-1][1].worst.loading.name,)


def reserve_table(result: StudyResult) -> figures.ReserveTable:
    """Reserve factors of all options and loads."""
    rows = [result.option_rows(name) for name in result.answers]
    loadings = [row.worst.loading for row in rows[0]]
    return figures.ReserveTable(
        options=tuple(result.answers),
        cases=tuple(loading.title for loading in loadings),
        reserve=np.array([[row.worst.reserve for row in option] for option in rows]),
        wanted=np.array([loading.wanted for loading in loadings]),
        mode=tuple(tuple(row.worst.mode for row in option) for option in rows),
    )


def print_picture(answer: Answer) -> figures.PrintPicture:
    """Cut along the axis, with every piece's layers and way up."""
    groups = piece_cells(answer.part_mesh)
    pieces = []
    for piece in groups:
        printed = _print_of(answer, piece)
        pieces.append(figures.PiecePrint(
            name=piece, build=printed.frame.build, beads=BEADS[printed.frame.beads],
            printed=printed.loaded.printed,
        ))  # fmt: skip
    normal = cut_normal([p.build for p in pieces if p.printed] or [(0.0, 1.0, 0.0)], AXIS)
    section = figures.section_picture(answer.model.mesh, groups, _middle(answer), normal)
    return figures.PrintPicture(answer.option.name, section, tuple(pieces))


def index_surface(result: StudyResult, name: str, worst: Worst) -> figures.IndexSurface:
    """Failure index on the deformed part, cut open through the worst place."""
    answer = result.answers[name][-1]
    surface = figures.surface_picture(
        answer.model.mesh,
        piece_cells(answer.part_mesh),
        answer.nodal_index(worst),
        relative_displacement(answer, worst, _held_end(result)),
        _plane(answer, worst),
    )
    return figures.IndexSurface(_title(answer, worst), surface, _place(answer, worst))


def index_cut(answer: Answer, worst: Worst) -> figures.IndexCut:
    """Failure index on the plane through the axis and the worst place."""
    section = figures.section_picture(
        answer.model.mesh,
        piece_cells(answer.part_mesh),
        *_plane(answer, worst),
        answer.nodal_index(worst),
    )
    return figures.IndexCut(_title(answer, worst), section, _place(answer, worst))


def governing_mode(answer: Answer, worst: Worst) -> figures.ModeCut:
    """Governing mode on the same plane."""
    section, mode = mode_cut(
        answer.model.mesh,
        piece_cells(answer.part_mesh),
        _plane(answer, worst),
        answer.nodal_mode(worst),
        MODES,
        answer.nodal_index(worst),
    )
    return figures.ModeCut(_title(answer, worst), section, mode, MODES, _place(answer, worst))


def deflection_curves(result: StudyResult, case: str) -> figures.DeflectionCurves:
    """Bent axis of every option under one load case, against the lower end."""
    curves = {}
    for name, answers in result.answers.items():
        worst = answers[-1].case(case)
        moved = relative_displacement(answers[-1], worst, _held_end(result))
        curves[name] = axis_curve(answers[-1], moved)
    low = max(curve[0][0] for curve in curves.values())
    high = min(curve[0][-1] for curve in curves.values())
    station = np.linspace(low, high, 80)
    title = next(iter(result.answers.values()))[-1].case(case).loading.title
    return figures.DeflectionCurves(
        options=tuple(curves),
        station=station,
        case=title,
        joint=_joint(result),
        displacement=np.array([np.interp(station, *curve) for curve in curves.values()]),
    )


def refinement_table(result: StudyResult, case: str) -> figures.RefinementTable:
    """Reserve factor from the raw peak and from the averaged stress on each mesh."""
    sizes, raw, averaged = [], [], []
    for answers in result.answers.values():
        sizes.append([_size_at(answer, answer.case(case)) for answer in answers])
        raw.append([answer.case(case).raw_reserve for answer in answers])
        averaged.append([answer.case(case).reserve for answer in answers])
    return figures.RefinementTable(
        tuple(result.answers),
        np.array(sizes),
        np.array(raw),
        np.array(averaged),
        "reserve factor [-]",
    )


def convergence(result: StudyResult, case: str) -> figures.Convergence:
    """Reserve factor from raw peak and averaged stress against unknowns, and what is left open."""
    series = [[answer.case(case) for answer in answers] for answers in result.answers.values()]
    rows = [row for row in result.rows if row.worst.loading.name == case]
    return figures.Convergence(
        tuple(result.answers),
        tuple(
            np.array([answer.part_mesh.report.n_unknowns for answer in answers])
            for answers in result.answers.values()
        ),
        tuple(np.array([worst.raw_reserve for worst in found]) for found in series),
        tuple(np.array([worst.reserve for worst in found]) for found in series),
        np.array([row.extrapolated for row in rows]),
        np.array([row.uncertainty for row in rows]),
    )


def _title(answer: Answer, worst: Worst) -> str:
    return f"{answer.option.name}: {worst.loading.title}"


def _place(answer: Answer, worst: Worst) -> figures.WorstPlace:
    lengths = {read.region: read.radius for read in answer.borders}
    lengths |= {read.region: read.radius for read in answer.readings}
    radius = lengths[worst.region]
    return figures.WorstPlace(worst.place, worst.index, worst.mode, radius)


def _plane(answer: Answer, worst: Worst) -> tuple[np.ndarray, np.ndarray]:
    """Plane that holds the worst place and runs along x through the middle of the part."""
    place = np.array(worst.place)
    return place, cut_normal(place - _middle(answer), AXIS)


def _middle(answer: Answer) -> np.ndarray:
    """Middle of the part's extent; on the axis for a stick. [mm]."""
    nodes = answer.model.space.nodes
    return 0.5 * (nodes.min(axis=1) + nodes.max(axis=1))


def _size_at(answer: Answer, worst: Worst, cells: int = 30) -> float:
    """Edge of a regular tetrahedron as large as the cells round the worst place. [mm]"""
    mesh = answer.model.mesh
    centres = mesh.p[:, mesh.t].mean(axis=1)
    distance = np.linalg.norm(centres - np.array(worst.place)[:, None], axis=0)
    near = np.argsort(distance)[:cells]
    volume = answer.model.space.volumes[near].sum(axis=1).mean()
    return float((6.0 * np.sqrt(2.0) * volume) ** (1 / 3))


def _joint(result: StudyResult) -> float | None:
    """Where the joint is drawn; None where the window holds none."""
    setting = result.study.setting
    if isinstance(setting, StickWindow) and setting.stations is None:
        return setting.centre
    return None


def _held_end(result: StudyResult) -> str | None:
    setting = result.study.setting
    return setting.opposite if isinstance(setting, StickWindow) else None


def _print_of(answer: Answer, piece: str):
    region = next(r for r, owner in answer.part_mesh.piece_of.items() if owner == piece)
    return answer.option.print_of(region, piece)
