"""A part of the user's own, held on one surface and pulled on another."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

from orthofem.errors import check_finite, check_positive
from orthofem.materials.values import check_grade
from orthofem.solve import Fixed, Load, Model, UnitResponses, centroid, held_pulls
from orthofem.solve.supports import Support

from .loading import Loading, check_cases, check_names, unit_responses


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
        check_cases(self.cases)
        for case in self.cases:
            if not isinstance(case, SurfaceLoad):
                raise ValueError(f"{case!r} is not a SurfaceLoad; a held part takes those.")
            case.loading()
        check_names(self.case_names)

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
        return held_pulls(self.loaded, self.about(model))

    def respond(self, model: Model, method: str = "auto") -> UnitResponses:
        """Solve the six unit resultants on the loaded surface."""
        return unit_responses(model, self.supports, self.pulls(model), self.about(model), method)

    def loadings(self, responses: UnitResponses, density: Mapping[str, float]) -> list[Loading]:
        """All cases; they depend neither on the answers nor on densities."""
        return [case.loading() for case in self.cases]


def _columns(name: str, values) -> np.ndarray:
    """Three rows, one column for each direction."""
    array = check_finite(name, values)
    if array.shape[:1] != (3,) or array.ndim > 2:
        raise ValueError(f"{name} has shape {array.shape}; give (3,) or (3, n).")
    return array.reshape(3, -1)
