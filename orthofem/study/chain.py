"""The chain: options on two meshes under all loads, to one comparison."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import combinations
from time import perf_counter

from orthofem.errors import ModelError, check_between, check_positive, pick, unknown
from orthofem.failure import CRITERIA as ALL_CRITERIA
from orthofem.failure import HOT_SPOTS
from orthofem.materials import Printer
from orthofem.mesh import PartMesh, mesh_part
from orthofem.parts import Shaft

from .bench import Foretold, arm_on, foretell
from .evaluate import CRITERIA, Answer, evaluate
from .option import Option, file_stem
from .printing import OptionPrint, option_costs
from .refinement.adaptive import MOST, Reached, adapted
from .row import Row, rows_of
from .screw.judged import tightened_states
from .setting import Setting, StickWindow
from .stick import StickResult, studied_stick
from .time_heat.conditions import Conditions
from .time_heat.finding import Lasting
from .time_heat.judged import time_and_heat
from .uncertainty import LEAST

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
    conditions : Conditions, optional
        Time and heat; at room temperature, at once and once if not given.
    printer : Printer, optional
        What the pieces are printed on; without it, print costs are left out. An option with a
        piece that fits it no way up is not judged.
    hot_spot : str, optional
        How the stress of a hot spot is read: "volume" (mean over a ball), "point" or "line" of
        the theory of critical distances; the radius is half of the material length in all three.
    uncertainty : float, optional
        Relative uncertainty wanted of every reserve factor: refine where they get their error
        from, starting at the first of the refinements, until it is reached. [-]
    limit_unknowns : int, optional
        Most unknowns of a mesh refined so.
    outline : Shaft, optional
        Of the whole stick round a window: each option is judged as a whole stick too, its
        answer at every joint, beams between them.

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
    conditions: Conditions | None = None
    printer: Printer | None = None
    hot_spot: str = "volume"
    uncertainty: float | None = None
    limit_unknowns: int = 300_000
    outline: Shaft | None = None

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
        for option in self.options:
            tightened_states(option, self.setting, ())
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
        pick(HOT_SPOTS, self.hot_spot, "hot spot form")
        if self.uncertainty is not None:
            check_between("uncertainty", self.uncertainty, LEAST, 1.0)
        check_positive("limit of unknowns", self.limit_unknowns)
        asked = (("outline", self.outline, Shaft), ("printer", self.printer, Printer))
        for label, given, kind in asked:
            if given is not None and not isinstance(given, kind):
                raise ValueError(f"{label} = {given!r}; give a {kind.__name__}(...).")
        if self.outline is not None and not isinstance(self.setting, StickWindow):
            raise ValueError(
                "outline is that of a stick round a window; a HeldPart has none. Leave it out."
            )
        if self.conditions is not None:
            self.conditions.check(self.setting)


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
    lasting : dict of str to tuple of Lasting
        What time and heat do, by option, on the finest mesh.
    printing : dict of str to OptionPrint
        Estimated print costs by option, if the study names a printer.
    reached : dict of str to Reached
        How refinement ended by option, if the study asks for an uncertainty.
    whole : dict of str to StickResult
        The stick with this joint as a whole by option, if the study gives its outline.
    not_whole : dict of str to str
        Options that make no whole stick, with the reason.
    """

    study: Study
    answers: dict[str, tuple[Answer, ...]]
    failed: dict[str, str] = field(default_factory=dict)
    seconds: dict[str, float] = field(default_factory=dict)
    stopped: bool = False
    lasting: dict[str, tuple[Lasting, ...]] = field(default_factory=dict)
    printing: dict[str, OptionPrint] = field(default_factory=dict)
    reached: dict[str, Reached] = field(default_factory=dict)
    whole: dict[str, StickResult] = field(default_factory=dict)
    not_whole: dict[str, str] = field(default_factory=dict)

    @cached_property
    def bench(self) -> dict[str, Foretold | str]:
        """What each option's bench test should show, or why that is not foretold."""
        setting = self.study.setting
        if not isinstance(setting, StickWindow):
            return {}
        found: dict[str, Foretold | str] = {}
        for name, answers in self.answers.items():
            try:
                found[name] = foretell(answers, setting, arm_on(self.study.printer))
            except (ModelError, ValueError) as error:
                found[name] = str(error)
        return found

    @property
    def rows(self) -> list[Row]:
        """One row for each option and load case, options in the study's order."""
        return [row for name in self.answers for row in self.option_rows(name)]

    def option_rows(self, name: str) -> list[Row]:
        """Rows of one option, in the order of the load cases."""
        return rows_of(name, self.answers[name])

    def ranking(self, cases: Sequence[str] = ()) -> list[tuple[str, Row]]:
        """Options from strongest to weakest, each with the row that holds it back."""
        best = []
        for name in self.answers:
            rows = [r for r in self.option_rows(name) if not cases or r.worst.loading.name in cases]
            best.append((name, min(rows, key=lambda row: row.margin)))
        return sorted(best, key=lambda pair: -pair[1].margin)

    def ties(self, cases: Sequence[str] = ()) -> list[tuple[str, str]]:
        """Pairs of options, the stronger first, that the meshes cannot tell apart."""
        pairs = combinations(self.ranking(cases), 2)
        return [(a, b) for (a, one), (b, other) in pairs if one.tied_with(other)]


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
    whole: list[PartMesh] = []
    for option in study.options:
        started = perf_counter()
        try:
            if study.printer is not None:
                progress(f"{option.name}: costing its print")
                coarse = _mesh(study, option, study.refinements[0], meshes)
                result.printing[option.name] = option_costs(
                    option, coarse, study.printer, study.setting, whole
                )
            there = option if study.conditions is None else study.conditions.applied(option)
            if study.uncertainty is None:
                answers = _answers(study, there, meshes, progress, method)
            else:
                answers, result.reached[option.name] = adapted(study, there, progress, method)
            result.lasting[option.name] = time_and_heat(
                answers[-1], study.conditions, study.setting, method
            )
            result.answers[option.name] = answers
            _stand(result, option.name)
            for answer in answers:
                answer.responses.solution.release()
        except (ModelError, ValueError) as error:
            result.failed[option.name] = str(error)
        except KeyboardInterrupt:
            if not result.answers:
                raise
            return replace(result, stopped=True)
        result.seconds[option.name] = perf_counter() - started
    if not result.answers:
        raise ModelError(f"No option could be judged. {_told_once(result.failed)}")
    return result


def _told_once(failed: dict[str, str]) -> str:
    """Why options failed, a reason that several share told once."""
    shared: dict[str, list[str]] = {}
    for name, reason in failed.items():
        shared.setdefault(reason, []).append(f"'{name}'")
    return " ".join(f"{', '.join(names)}: {reason}" for reason, names in shared.items())


def _stand(result: StudyResult, name: str) -> None:
    """Judge an option as a whole stick, or keep the reason why it makes none."""
    study = result.study
    if study.outline is None or not isinstance(study.setting, StickWindow):
        return
    try:
        result.whole[name] = studied_stick(result.answers[name][-1], study.setting, study.outline)
    except (ModelError, ValueError) as error:
        result.not_whole[name] = str(error)


def steps(study: Study) -> int:
    """How many times :func:`run` reports progress; at most, if it refines as it goes."""
    printed = study.printer is not None
    meshes = len(study.refinements) if study.uncertainty is None else MOST
    return len(study.options) * (2 * meshes + printed)


def _answers(study, option: Option, meshes, progress, method) -> tuple[Answer, ...]:
    """Answers of one option coarse to fine."""
    answers: list[Answer] = []
    for level in study.refinements:
        progress(f"{option.name}: meshing")
        part_mesh = _mesh(study, option, level, meshes)
        progress(f"{option.name}: solving {part_mesh.report.n_unknowns:,} unknowns")
        found = evaluate(
            option, part_mesh, study.setting, study.criteria, study.radius, method,
            study.hot_spot, answers[-1] if answers else None,
        )  # fmt: skip
        answers.append(found)
    return tuple(answers)


def _mesh(study, option: Option, level: float, meshes: list) -> PartMesh:
    """Mesh a part once, however many print directions it is judged in."""
    for refinement, known in meshes:
        if refinement == level and known.part == option.part:
            return known
    made = mesh_part(option.part, size=study.size, refinement=level)
    meshes.append((level, made))
    return made
