"""One part printed many ways: a reduced model answers most, full solves where it is unsure."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from orthofem.errors import ModelError, check_positive
from orthofem.mesh import PartMesh
from orthofem.solve import Model, in_parallel
from orthofem.solve.contact import to_split
from orthofem.solve.reduced import ReducedResponses, ReducedSpace, Reference
from orthofem.tensors import kelvin

from .evaluate import CRITERIA, densities, stiffness_field
from .gauges import Gauge, Lowest, gauges, lowest
from .option import Option
from .setting import Loading, StickWindow

CAUTION = 2.0
"""Factor on the largest ratio seen between error of the reserve and estimate of energy: E."""

FIRST = 4
"""Directions solved in full before any estimate is believed: E."""

SNAPSHOT = 1e-5
"""Residual of a full solve that enriches the space. Far below the wanted error is enough: what a
space holds is measured against the loads, not against its own answers. [-]"""


@dataclass(frozen=True)
class Sweep:
    """Many ways of printing one meshed part.

    Parameters
    ----------
    options : sequence of Option
        Turned copies of one option: build directions, bead directions or materials of any
        pieces may differ; the part is the same.
    part_mesh : PartMesh
    setting : StickWindow
    criteria : tuple of str, optional
    radius : float, optional
        Averaging radius; by material if not given. [mm]
    tolerance : float, optional
        Wanted relative error of the reserve factors. [-]
    most : int, optional
        Most full solves.
    method : str, optional
        Linear solver.
    """

    options: Sequence[Option]
    part_mesh: PartMesh
    setting: StickWindow
    criteria: tuple[str, ...] = CRITERIA
    radius: float | None = None
    tolerance: float = 0.01
    most: int = 40
    method: str = "auto"

    def __post_init__(self):
        if not self.options:
            raise ValueError("A sweep needs at least one option; see turned_options().")
        if any(option.part != self.part_mesh.part for option in self.options):
            raise ValueError("All options of a sweep share one part, the one that is meshed.")
        held = sorted({name for option in self.options for name in option.joined})
        if held:
            raise ValueError(
                f"A sweep does not judge borders, and its options have: {', '.join(held)}. Give "
                "options without borders, and judge the ways up that you choose in a study."
            )
        loose = sorted({n for option in self.options for n in to_split(option.interfaces)})
        if loose:
            raise ValueError(
                "A sweep adds answers up, which pieces in contact do not allow, and its options "
                f"have: {', '.join(loose)}. Give options without interfaces, and judge the ways "
                "up that you choose in a study."
            )
        check_positive("tolerance", self.tolerance)

    @cached_property
    def fields(self) -> list[dict]:
        """Stiffness of every region for each option."""
        return [stiffness_field(option, self.part_mesh) for option in self.options]

    @cached_property
    def turning(self) -> tuple[str, ...]:
        """Regions whose stiffness is not the same in all options."""
        first = self.fields[0]
        return tuple(
            name
            for name in first
            if any(not _same(first[name], other[name]) for other in self.fields[1:])
        )

    def loadings(self, i: int, responses) -> list[Loading]:
        """Load cases of one option."""
        return self.setting.loadings(responses, densities(self.options[i], self.part_mesh))

    def turned(self, i: int) -> dict[str, np.ndarray]:
        """Stiffness of the turning regions of one option."""
        return {name: self.fields[i][name] for name in self.turning}


@dataclass(frozen=True)
class SweepResult:
    """What a sweep found, option by option.

    Parameters
    ----------
    sweep : Sweep
    lowest : list of Lowest
        Reserve, mode and place of each load case, for each option.
    energy_estimate : ndarray of shape (n_options,)
        Estimated relative error of displacement in the energy norm. [-]
    reserve_estimate : ndarray of shape (n_options,)
        Estimated relative error of the reserve factors. [-]
    solved : tuple of int
        Options solved in full.
    space : ReducedSpace
    placed : list of Gauge
    """

    sweep: Sweep
    lowest: list[Lowest]
    energy_estimate: np.ndarray
    reserve_estimate: np.ndarray
    solved: tuple[int, ...]
    space: ReducedSpace = field(repr=False)
    placed: list[Gauge] = field(repr=False)

    @property
    def margin(self) -> np.ndarray:
        """Lowest reserve over wanted factor of each option, shape (n_options,). [-]."""
        return np.array([entry.margin for entry in self.lowest])

    @property
    def reserve(self) -> np.ndarray:
        """Reserve factors, shape (n_options, n_cases). [-]."""
        return np.array([entry.reserve for entry in self.lowest])

    def ranking(self) -> np.ndarray:
        """Options from strongest to weakest."""
        return np.argsort(-self.margin, kind="stable")

    def respond(self, i: int) -> ReducedResponses:
        """Unit responses of one option."""
        return self.space.respond(self.sweep.turned(i))

    def bound(self, i: int) -> float:
        """Rigorous bound on the relative energy error of one option, worst of its loads. [-]."""
        responses = self.respond(i)
        return float(responses.bound(_columns(self.sweep, responses)).max())

    def full(self, i: int) -> Lowest:
        """Judge one option from a full solve, for comparison."""
        return judged_full(self.sweep, i, self.respond(i), self.respond(i).full(), self.placed)


def run_sweep(sweep: Sweep, progress: Callable[[str], None] = lambda text: None) -> SweepResult:
    """Answer a sweep: full solves chosen where the estimate is worst, until all are good enough.

    Parameters
    ----------
    sweep : Sweep
    progress : callable, optional
        Called with a line of text before each full solve.

    Raises
    ------
    ModelError
        If the wanted tolerance is not reached with the allowed number of full solves.
    """
    model = Model(sweep.part_mesh.mesh, sweep.fields[0])
    window = sweep.setting
    about = (window.centre, 0.0, 0.0)
    reference = Reference(model, sweep.turning, window.loaded, window.opposite, about, sweep.method)
    placed = gauges(sweep.options, sweep.part_mesh, model, sweep.radius)
    progress("factorising the mean model")
    space = ReducedSpace.empty(reference)
    build = _Build(sweep, space, placed)
    for i in _spread(sweep, FIRST):
        progress(f"solving {sweep.options[i].name} in full")
        build = build.with_full(i)
    while True:
        energy = build.estimates()
        worst = int(np.argmax(energy))
        if energy[worst] * build.ratio <= sweep.tolerance or not sweep.turning:
            break
        if len(build.solved) >= sweep.most:
            raise ModelError(
                f"After {sweep.most} full solves the estimated error is still "
                f"{100 * energy[worst] * build.ratio:.1f} %; allow more, or a wider tolerance."
            )
        progress(f"solving {sweep.options[worst].name} in full")
        build = build.with_full(worst)
    progress("judging all directions")
    found = list(in_parallel(build.judged, range(len(sweep.options))))
    return SweepResult(
        sweep, found, energy, energy * build.ratio, build.solved, build.space, build.placed
    )


@dataclass(frozen=True)
class _Build:
    """A reduced space under construction, and how well its estimate foretells reserves."""

    sweep: Sweep
    space: ReducedSpace
    placed: list[Gauge]
    solved: tuple[int, ...] = ()
    ratios: tuple[float, ...] = ()

    @cached_property
    def columns(self) -> np.ndarray:
        """Resultants that the estimate is taken for: the loads of the option solved first."""
        return _columns(self.sweep, self.space.respond(self.sweep.turned(self.solved[0])))

    @property
    def ratio(self) -> float:
        """Error of a reserve factor per estimated energy error, twice the largest seen."""
        return CAUTION * max(self.ratios, default=1.0)

    def with_full(self, i: int) -> _Build:
        """Solve one option in full, compare with what the space said before, and add it."""
        sweep, reference = self.sweep, self.space.reference
        model = reference.turned(sweep.turned(i))
        before = self.space.respond(sweep.turned(i)) if self.space.size else None
        guess = None if before is None else before.unit_displacement
        answer = reference.solve(model, guess, SNAPSHOT)
        ratios = self.ratios
        if len(self.solved) >= FIRST - 1:
            truth = judged_full(sweep, i, before, answer, self.placed)
            error = np.abs(self.judged(i).reserve / truth.reserve - 1.0).max()
            ratios = (*ratios, float(error / self._estimate(i)))
        space = self.space.enriched(answer)
        new = space.vectors[:, self.space.size :]
        placed = [
            _joined(gauge, gauge.of(reference.model, new), self.space.size) for gauge in self.placed
        ]
        return replace(self, space=space, placed=placed, solved=(*self.solved, i), ratios=ratios)

    def judged(self, i: int) -> Lowest:
        """Reserve factors of one option from the space."""
        responses = self.space.respond(self.sweep.turned(i))
        loadings = self.sweep.loadings(i, responses)
        return lowest(
            self.sweep.options[i], responses.model, self.placed, responses.shares, loadings,
            self.sweep.criteria, self.sweep.radius,
        )  # fmt: skip

    def estimates(self) -> np.ndarray:
        """Estimated energy error of every option."""
        return np.array([self._estimate(i) for i in range(len(self.sweep.options))])

    def _estimate(self, i: int) -> float:
        responses = self.space.respond(self.sweep.turned(i))
        return float(responses.estimate(self.columns).max())


def judged_full(sweep: Sweep, i: int, responses, answer: np.ndarray, placed) -> Lowest:
    """Reserve factors from a full answer, its loads from its own flexibility."""
    reference = responses.space.reference
    full = _FullResponses(responses.model, reference.forces.T @ answer)
    read = [gauge.of(reference.model, answer) for gauge in placed]
    loadings = sweep.loadings(i, full)
    return lowest(
        sweep.options[i], full.model, read, np.eye(6), loadings, sweep.criteria, sweep.radius
    )


@dataclass(frozen=True)
class _FullResponses:
    """What a setting asks of unit responses, from a full answer."""

    model: Model
    flexibility: np.ndarray


def _columns(sweep: Sweep, responses) -> np.ndarray:
    """All resultants of all loadings side by side, (6, n)."""
    return np.concatenate([x.resultants for x in sweep.loadings(0, responses)], axis=1)


def _joined(old: Gauge, new: Gauge, size: int) -> Gauge:
    return new if size == 0 else old.joined(new)


def _spread(sweep: Sweep, count: int) -> list[int]:
    """First options to solve: each as far in stiffness from those before as can be."""
    if not sweep.turning:
        return [0]
    points = np.array([
        np.concatenate([kelvin(sweep.fields[i][name]).ravel() for name in sweep.turning])
        for i in range(len(sweep.options))
    ])  # fmt: skip
    chosen = [0]
    distance = np.linalg.norm(points - points[0], axis=1)
    while len(chosen) < min(count, len(points)) and distance.max() > 0:
        chosen.append(int(np.argmax(distance)))
        distance = np.minimum(distance, np.linalg.norm(points - points[chosen[-1]], axis=1))
    return chosen


def _same(one, other) -> bool:
    if callable(one) or callable(other):
        return one is other
    return one.shape == other.shape and bool(np.allclose(one, other, rtol=1e-12, atol=0.0))
