"""The chain: options on two meshes under all loads, to one comparison."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from time import perf_counter

import numpy as np

from orthofem.errors import ModelError, check_positive, pick, unknown
from orthofem.failure import CRITERIA as ALL_CRITERIA
from orthofem.mesh import PartMesh, mesh_part

from .evaluate import CRITERIA, Answer, Worst, evaluate
from .option import Option, file_stem
from .setting import Setting

Progress = Callable[[str], None]


@dataclass(frozen=True)
class Study:
    """A question: which of these options stands these loads.

    Parameters
    ----------
    title : str
    options : sequence of Option
    setting : StickWindow or HeldPart
    criteria : tuple of str, optional
        Names from ``failure.CRITERIA``; the lowest reserve governs.
    refinements : tuple of float, optional
        Meshes, each with its sizes divided by the number; the last one is reported and the
        change from the first shown beside it.
    size : float, optional
        Mesh size; from each part's smallest feature if not given. [mm]
    radius : float, optional
        Averaging radius; from each material if not given. [mm]
    focus : tuple of str, optional
        Load cases drawn in the figures; the first and the last if not given.
    note : str, optional
        What the reader should know beforehand.

    Raises
    ------
    ValueError
        If there is no option, two share a name, or a number is out of range.
    """

    title: str
    options: Sequence[Option]
    setting: Setting
    criteria: tuple[str, ...] = CRITERIA
    refinements: tuple[float, ...] = (0.7, 1.0)
    size: float | None = None
    radius: float | None = None
    focus: tuple[str, ...] = ()
    note: str = ""

    def __post_init__(self):
        names = [option.name for option in self.options]
        if not names:
            raise ValueError("A study needs at least one option.")
        twice = sorted({name for name in names if names.count(name) > 1})
        if twice:
            raise ValueError(f"Options share a name: {', '.join(twice)}. Give each its own.")
        stems = [file_stem(name) for name in names]
        alike = sorted({n for n, stem in zip(names, stems, strict=True) if stems.count(stem) > 1})
        if alike:
            raise ValueError(
                f"Options {', '.join(alike)} differ in signs only; their files would be the same. "
                "Give each another word."
            )
        if not self.criteria or not self.refinements:
            raise ValueError("A study needs at least one criterion and one refinement.")
        for name in self.criteria:
            pick(ALL_CRITERIA, name, "criterion")
        for name in self.focus:
            if name not in self.setting.case_names:
                raise ValueError(unknown("load case in focus", name, self.setting.case_names))
        for value in self.refinements:
            check_positive("refinement", value)
        if list(self.refinements) != sorted(set(self.refinements)):
            raise ValueError(f"refinements = {self.refinements}; give them coarse to fine.")
        for label, length in (("size", self.size), ("radius", self.radius)):
            if length is not None:
                check_positive(label, length, "mm")


@dataclass(frozen=True)
class Row:
    """One option under one load case: a line of the table."""

    option: str
    worst: Worst
    change: float
    raw_change: float

    @property
    def margin(self) -> float:
        """Reserve factor over the one asked for; below 1 it falls short. [-]."""
        return self.worst.reserve / self.worst.loading.wanted

    @property
    def sharp(self) -> bool:
        """Whether the raw peak still grows with the mesh while the averaged value stands."""
        return -self.raw_change > max(0.05, 2.0 * abs(self.change))


@dataclass(frozen=True)
class StudyResult:
    """What a study found.

    Parameters
    ----------
    study : Study
    answers : dict of str to tuple of Answer
        By option, coarse mesh to fine.
    failed : dict of str to str
        Options that could not be judged, with the reason.
    seconds : dict of str to float
        Time by option.
    stopped : bool
        Whether the user stopped the run before the last option.
    """

    study: Study
    answers: dict[str, tuple[Answer, ...]]
    failed: dict[str, str] = field(default_factory=dict)
    seconds: dict[str, float] = field(default_factory=dict)
    stopped: bool = False

    @property
    def rows(self) -> list[Row]:
        """One row for each option and load case, options in the study's order."""
        return [row for name in self.answers for row in self.option_rows(name)]

    def option_rows(self, name: str) -> list[Row]:
        """Rows of one option, in the order of the load cases."""
        coarse, fine = self.answers[name][0], self.answers[name][-1]
        pairs = zip(coarse.worst, fine.worst, strict=True)
        return [Row(name, new, *_changes(old, new, len(self.answers[name]))) for old, new in pairs]

    def ranking(self, cases: Sequence[str] = ()) -> list[tuple[str, Row]]:
        """Options from strongest to weakest, each with the row that holds it back."""
        best = []
        for name in self.answers:
            rows = [r for r in self.option_rows(name) if not cases or r.worst.loading.name in cases]
            best.append((name, min(rows, key=lambda row: row.margin)))
        return sorted(best, key=lambda pair: -pair[1].margin)


def run(study: Study, progress: Progress = lambda text: None, method: str = "auto") -> StudyResult:
    """Answer a study.

    An option that cannot be meshed or solved is recorded with its reason, and the rest goes on.
    Stopped by the user, it returns the options that are finished.

    Parameters
    ----------
    study : Study
    progress : callable, optional
        Called with a line of text before each step.
    method : str, optional
        Linear solver.

    Raises
    ------
    ModelError
        If no option could be judged.
    """
    result = StudyResult(study, {})
    meshes: list[tuple[float, PartMesh]] = []
    for option in study.options:
        started = perf_counter()
        try:
            result.answers[option.name] = tuple(
                _answer(study, option, level, meshes, progress, method)
                for level in study.refinements
            )
        except (ModelError, ValueError) as error:
            result.failed[option.name] = str(error)
        except KeyboardInterrupt:
            if not result.answers:
                raise
            return replace(result, stopped=True)
        result.seconds[option.name] = perf_counter() - started
    if not result.answers:
        reasons = "; ".join(f"{name}: {reason}" for name, reason in result.failed.items())
        raise ModelError(f"No option could be judged. {reasons}")
    return result


def steps(study: Study) -> int:
    """How many times :func:`run` reports progress."""
    return 2 * len(study.options) * len(study.refinements)


def _answer(study, option: Option, level: float, meshes, progress, method) -> Answer:
    part_mesh = _mesh(study, option, level, meshes, progress)
    size = f"{part_mesh.report.n_unknowns:,} unknowns"
    progress(f"{option.name}: solving {size}")
    return evaluate(option, part_mesh, study.setting, study.criteria, study.radius, method)


def _mesh(study, option: Option, level: float, meshes: list, progress) -> PartMesh:
    """Mesh a part once, however many print directions it is judged in."""
    progress(f"{option.name}: meshing")
    for refinement, known in meshes:
        if refinement == level and known.part == option.part:
            return known
    made = mesh_part(option.part, size=study.size, refinement=level)
    meshes.append((level, made))
    return made


def _changes(coarse: Worst, fine: Worst, meshes: int) -> tuple[float, float]:
    if meshes < 2:
        return np.nan, np.nan
    return (fine.reserve / coarse.reserve - 1.0, fine.raw_reserve / coarse.raw_reserve - 1.0)
