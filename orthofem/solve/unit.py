"""Unit responses: the six section resultants solved once, every load case a combination of them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from .loads import Load, Resultant
from .model import Model
from .run import Supported
from .solution import Solution
from .supports import Balanced


@dataclass(frozen=True)
class UnitResponses:
    """Answers of a part to three unit forces and three unit moments on one surface.

    Parameters
    ----------
    solution : Solution
        Six load sets: Fx, Fy, Fz [1 N], Mx, My, Mz [1 N mm] about `about`.
    about : tuple of float
        Point that the forces pass through and the moments refer to. [mm]
    """

    solution: Solution
    about: tuple[float, float, float]

    @property
    def model(self) -> Model:
        """The solved model."""
        return self.solution.model

    @cached_property
    def flexibility(self) -> np.ndarray:
        """Movement of the loaded surface per unit resultant, against the other end, (6, 6).

        Rows and columns Fx, Fy, Fz, Mx, My, Mz; work-conjugate, so symmetric. [mm/N, 1/N, ...].
        """
        u = self.solution.displacement.reshape(-1, 6)
        f = self.solution.applied.reshape(-1, 6)
        product = u.T @ f
        return 0.5 * (product + product.T)

    def displacement(self, resultants: np.ndarray) -> np.ndarray:
        """Displacements (3, n_nodes, n) under resultants (6, n). [mm]."""
        return self.solution.displacement @ resultants


def balanced_unit_responses(
    model, loaded: str, opposite: str, about=(0.0, 0.0, 0.0), method: str = "auto"
) -> UnitResponses:
    """Unit resultants on one end, balanced by tractions on the opposite end.

    No clamp: both ends carry smooth tractions, so that no stress peak arises at a support.
    Forces and moments at any section between follow from statics alone.

    Parameters
    ----------
    model : Model
    loaded, opposite : str
        Named end surfaces.
    about : array of shape (3,), optional
        Point on the section where the six resultants are taken. [mm]
    method : str, optional
        Linear solver.
    """
    point = _point(about)
    sets = balanced_pulls(loaded, opposite, point)
    return UnitResponses(Supported(model, [Balanced()], method).solve(sets), point)


def balanced_pulls(loaded: str, opposite: str, about) -> list[list[Load]]:
    """Six load sets: a unit resultant on one surface and its balance on the other."""
    return [
        [
            Resultant(loaded, tuple(unit[:3]), tuple(unit[3:]), about),
            Resultant(opposite, tuple(-unit[:3]), tuple(-unit[3:]), about),
        ]
        for unit in np.eye(6)
    ]


def held_unit_responses(
    model, loaded: str, supports, about=None, method: str = "auto"
) -> UnitResponses:
    """Unit resultants on one surface of a part that is held elsewhere.

    Parameters
    ----------
    model : Model
    loaded : str
        Named surface.
    supports : sequence of Fixed
    about : array of shape (3,), optional
        Reference point; the centroid of the surface if not given. [mm]
    method : str, optional
        Linear solver.
    """
    point = centroid(model, loaded) if about is None else _point(about)
    sets = held_pulls(loaded, point)
    return UnitResponses(Supported(model, supports, method).solve(sets), point)


def held_pulls(loaded: str, about) -> list[list[Load]]:
    """Six load sets: a unit resultant on one surface."""
    return [[Resultant(loaded, tuple(u[:3]), tuple(u[3:]), about)] for u in np.eye(6)]


def centroid(model: Model, surface: str) -> tuple[float, float, float]:
    """Middle of a named surface, by area. [mm]."""
    basis = model.space.facet_basis(surface)
    points = np.asarray(basis.global_coordinates())
    return _point((points * basis.dx).sum(axis=(1, 2)) / basis.dx.sum())


def _point(values) -> tuple[float, float, float]:
    x, y, z = (float(value) for value in values)
    return x, y, z
