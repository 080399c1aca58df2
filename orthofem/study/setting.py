"""Where an option stands: a joint's place in a stick, or a part held by hand-picked surfaces."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from orthofem.errors import check_between, check_finite, pick
from orthofem.loads import LOAD_CASES, JointFlexibility, LoadCase, Person, Stick, StickStiffness
from orthofem.solve import Balanced, Load, Model, UnitResponses, balanced_pulls
from orthofem.solve.supports import Support

from .held_part import HeldPart
from .loading import Loading, check_cases, check_names, unit_responses
from .section import end_section, mean_line_mass


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
        check_cases(self.cases)
        check_names(self.case_names)
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
        return balanced_pulls(self.loaded, self.opposite, self.about(model))

    def respond(self, model: Model, method: str = "auto") -> UnitResponses:
        """Solve the six unit resultants at the window's centre, balanced at the other end."""
        return unit_responses(model, self.supports, self.pulls(model), self.about(model), method)

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


Setting = StickWindow | HeldPart


def moved_reference(flexibility: np.ndarray, shift: float) -> np.ndarray:
    """Flexibility (6, 6) about a point `shift` mm further along x than its own reference.

    A force at the new point is the same force at the old one with a moment added.
    """
    transfer = np.eye(6)
    transfer[4, 2] = -shift
    transfer[5, 1] = shift
    return transfer.T @ flexibility @ transfer
