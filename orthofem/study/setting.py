"""Where an option stands: a joint's place in a stick, or a part held by hand-picked surfaces."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import ArrayLike

from orthofem.errors import check_between, check_finite, check_positive, pick
from orthofem.loads import LOAD_CASES, JointFlexibility, LoadCase, Person, Stick, StickStiffness
from orthofem.materials.values import check_grade
from orthofem.solve import (
    Balanced,
    Fixed,
    Load,
    Model,
    Supported,
    UnitResponses,
    balanced_pulls,
    centroid,
    held_pulls,
)
from orthofem.solve.supports import Support

from .section import end_section, mean_line_mass


@dataclass(frozen=True)
class Loading:
    """Section resultants of one load case, all its instants, directions and places.

    Parameters
    ----------
    name, title : str
        Key, and what happens in plain words.
    labels : tuple of str
        What each column is.
    resultants : ndarray of shape (6, n)
        Fx, Fy, Fz, Mx, My, Mz. [N, N mm]
    source, grade : str
        Where the load is taken from, and its evidence grade.
    wanted : float
        Reserve factor asked for. [-]
    reason : str
        Why that factor.
    notes : tuple of str
        What the reader must know of this load.
    combination : ndarray of shape (n_solved, n), optional
        Shares of the solved load sets in each column; the resultants themselves if not given,
        for then six units were solved. [-]
    """

    name: str
    title: str
    labels: tuple[str, ...]
    resultants: np.ndarray
    source: str
    grade: str
    wanted: float
    reason: str
    notes: tuple[str, ...] = ()
    combination: np.ndarray | None = None

    @property
    def shares(self) -> np.ndarray:
        """Shares of the solved load sets in each column, (n_solved, n)."""
        return self.resultants if self.combination is None else self.combination


@dataclass(frozen=True)
class StickWindow:
    """A window of the stick round one of its joints, pulled by what the stick feels there.

    Parameters
    ----------
    person : Person
    stick : Stick
        Its ``joints`` are the stations where the window may sit.
    cases : sequence of str or LoadCase
        Names from ``LOAD_CASES``, or cases of your own.
    stations : tuple of float, optional
        Stations looked at; all joints of the stick if not given. [mm]
    centre : float, optional
        Where on the part's own x axis the station lies. [mm]
    loaded, opposite : str, optional
        End surfaces toward the handle and toward the tip.
    """

    person: Person
    stick: Stick
    cases: Sequence[str | LoadCase]
    stations: tuple[float, ...] | None = None
    centre: float = 0.0
    loaded: str = "upper_end"
    opposite: str = "lower_end"

    def __post_init__(self):
        _check_cases(self.cases)
        _check_names(self.case_names)
        stations = check_finite("stations", self._stations()).reshape(-1)
        if not stations.size:
            raise ValueError("The stick has no joints; give stations=(...,) to look at.")
        for station in stations:
            check_between("station", station, 0.0, self.stick.length, "mm")

    @property
    def case_names(self) -> tuple[str, ...]:
        """Names of the load cases."""
        return tuple(self._case(case).name for case in self.cases)

    @property
    def supports(self) -> list[Support]:
        """No clamp: the loads balance, and three points hold what is left."""
        return [Balanced()]

    def about(self, model: Model) -> tuple[float, float, float]:
        """Point that the six resultants refer to. [mm]."""
        return (self.centre, 0.0, 0.0)

    def pulls(self, model: Model) -> list[list[Load]]:
        """Six load sets: each unit resultant, balanced at the other end."""
        return [*balanced_pulls(self.loaded, self.opposite, self.about(model))]

    def respond(self, model: Model, method: str = "auto") -> UnitResponses:
        """Solve the six unit resultants at the window's centre, balanced at the other end."""
        return _respond(self, model, method)

    def loadings(self, responses: UnitResponses, density: Mapping[str, float]) -> list[Loading]:
        """All cases at all stations; blows with the stiffness that the model itself found.

        Parameters
        ----------
        responses : UnitResponses
        density : mapping of str to float
            Of each region. [g/cm^3]
        """
        stiffness = self.stick_stiffness(responses, density)
        return [self._loading(self._case(case), stiffness) for case in self.cases]

    def stick_stiffness(
        self, responses: UnitResponses, density: Mapping[str, float]
    ) -> StickStiffness:
        """The whole stick sideways: plain shaft between windows, this window at each joint.

        Its mass, where the stick has none of its own, is that of the end sections all along.
        """
        model = responses.model
        stick = self.stick
        if stick.mass is None:
            line_mass = mean_line_mass(model, (self.opposite, self.loaded), density)
            stick = replace(stick, mass=line_mass * stick.length)
        low, high = end_section(model, self.opposite), end_section(model, self.loaded)
        shaft = 0.5 * (low.bending + high.bending), 0.5 * (low.shear + high.shear)
        below, above = low.station - self.centre, high.station - self.centre
        flexibility = moved_reference(responses.flexibility, above)
        joints = tuple(
            JointFlexibility(station + below, station + above, flexibility)
            for station in self._stations()
        )
        return StickStiffness(stick, *shaft, joints=joints)

    def _stations(self) -> tuple[float, ...]:
        return tuple(self.stick.joints) if self.stations is None else self.stations

    def _case(self, case: str | LoadCase) -> LoadCase:
        if isinstance(case, LoadCase):
            return case
        return pick(LOAD_CASES, case, "load case")(self.person, self.stick)

    def _loading(self, case: LoadCase, stiffness: StickStiffness) -> Loading:
        columns, labels = [], []
        for station in self._stations():
            columns.append(case.resultants(station, stiffness))
            labels += [f"joint at {station:g} mm, {label}" for label in case.labels]
        return Loading(
            name=case.name,
            title=case.title,
            labels=tuple(labels),
            resultants=np.concatenate(columns, axis=1),
            source=case.source,
            grade=case.grade,
            wanted=case.factor,
            reason=case.factor_reason,
            notes=tuple(case.notes),
        )


@dataclass(frozen=True)
class SurfaceLoad:
    """A force and a moment on the loaded surface of a part of your own.

    Parameters
    ----------
    name, title : str
    force : array of shape (3,) or (3, n)
        One column for each direction looked at. [N]
    moment : array of shape (3,) or (3, n), optional
        About the surface's centroid. [N mm]
    source, grade : str
        Where the load is taken from, and its evidence grade.
    wanted : float
        Reserve factor asked for. [-]
    reason : str
        Why that factor.
    labels : tuple of str, optional
        One for each column.
    """

    name: str
    title: str
    force: ArrayLike
    moment: ArrayLike = (0.0, 0.0, 0.0)
    source: str = "chosen in the study"
    grade: str = "E"
    wanted: float = 2.0
    reason: str = "chosen in the study"
    labels: tuple[str, ...] = ()

    def loading(self) -> Loading:
        """The six resultants, one column for each direction."""
        force = _columns(f"force of '{self.name}'", self.force)
        moment = _columns(f"moment of '{self.name}'", self.moment)
        n = max(force.shape[1], moment.shape[1])
        columns = np.concatenate([np.broadcast_to(force, (3, n)), np.broadcast_to(moment, (3, n))])
        labels = self.labels or tuple(
            f"direction {i + 1}" if n > 1 else "as given" for i in range(n)
        )
        if len(labels) != n:
            raise ValueError(f"'{self.name}' has {n} directions but {len(labels)} labels.")
        if not np.abs(columns).sum(axis=0).all():
            raise ValueError(f"'{self.name}' has a direction without force or moment; drop it.")
        check_positive(f"wanted factor of '{self.name}'", self.wanted)
        check_grade(self.grade)
        return Loading(
            self.name,
            self.title,
            labels,
            columns,
            self.source,
            self.grade,
            self.wanted,
            self.reason,
        )


@dataclass(frozen=True)
class HeldPart:
    """A part of the user's own, held on one surface and pulled on another.

    Parameters
    ----------
    held, loaded : str
        Named surfaces.
    cases : sequence of SurfaceLoad
    components : tuple of int, optional
        Displacements held on the held surface.
    """

    held: str
    loaded: str
    cases: Sequence[SurfaceLoad]
    components: tuple[int, ...] = field(default=(0, 1, 2))

    def __post_init__(self):
        if self.held == self.loaded:
            raise ValueError(
                f"Surface '{self.held}' is both held and loaded: the load would go straight into "
                "the support. Name two surfaces."
            )
        _check_cases(self.cases)
        for case in self.cases:
            if not isinstance(case, SurfaceLoad):
                raise ValueError(f"{case!r} is not a SurfaceLoad; a held part takes those.")
            case.loading()
        _check_names(self.case_names)

    @property
    def case_names(self) -> tuple[str, ...]:
        """Names of the load cases."""
        return tuple(case.name for case in self.cases)

    @property
    def supports(self) -> list[Support]:
        """The held surface."""
        return [Fixed(self.held, self.components)]

    def about(self, model: Model) -> tuple[float, float, float]:
        """Centroid of the loaded surface, which the six resultants refer to. [mm]."""
        return centroid(model, self.loaded)

    def pulls(self, model: Model) -> list[list[Load]]:
        """Six load sets: each unit resultant on the loaded surface."""
        return [*held_pulls(self.loaded, self.about(model))]

    def respond(self, model: Model, method: str = "auto") -> UnitResponses:
        """Solve the six unit resultants on the loaded surface."""
        return _respond(self, model, method)

    def loadings(self, responses: UnitResponses, density: Mapping[str, float]) -> list[Loading]:
        """All cases; they depend neither on the answers nor on densities."""
        return [case.loading() for case in self.cases]


Setting = StickWindow | HeldPart


def _respond(setting: Setting, model: Model, method: str) -> UnitResponses:
    """Solve a setting's six unit load sets, all pieces bonded."""
    solution = Supported(model, setting.supports, method).solve(setting.pulls(model))
    return UnitResponses(solution, setting.about(model))


def _check_cases(cases) -> None:
    if isinstance(cases, str) or not len(cases):
        raise ValueError(f"cases = {cases!r}; give a list of at least one load case.")


def _check_names(names: Sequence[str]) -> None:
    twice = sorted({name for name in names if list(names).count(name) > 1})
    if twice:
        raise ValueError(f"Load cases share a name: {', '.join(twice)}. Give each its own.")


def _columns(name: str, values) -> np.ndarray:
    """Three rows, one column for each direction."""
    array = check_finite(name, values)
    if array.shape[:1] != (3,) or array.ndim > 2:
        raise ValueError(f"{name} has shape {array.shape}; give (3,) or (3, n).")
    return array.reshape(3, -1)


def moved_reference(flexibility: np.ndarray, shift: float) -> np.ndarray:
    """Flexibility (6, 6) about a point `shift` mm further along x than its own reference.

    A force at the new point is the same force at the old one with a moment added.
    """
    transfer = np.eye(6)
    transfer[4, 2] = -shift
    transfer[5, 1] = shift
    return transfer.T @ flexibility @ transfer
