"""How the joint gives way where pieces touch, found on a coarser mesh if there is one."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import cast

import numpy as np

from orthofem.errors import ModelError
from orthofem.mesh import mesh_part
from orthofem.solve import Model, UnitResponses
from orthofem.solve.contact import ContactSolution

from ..answer import Answer
from ..reading import densities, stiffness_field
from ..setting import Loading, Setting
from .apart import Apart, apart
from .units import Units, typical_sizes, units_of

SCOUT = 30_000
"""Unknowns above which unit resultants are solved on a coarser mesh of about this many, if none
has been solved before (E)."""

DRIFT = 0.1
"""Change of the largest loads above which unit resultants are solved again at their new size (E).
"""

PASSES = 2
"""How often they are solved at most."""


@dataclass(frozen=True)
class Scouted:
    """Unit answers, and how the same mesh gives way if bonded.

    Parameters
    ----------
    units : Units
    base : ndarray of shape (6, 6)
        Flexibility of that mesh, bonded. [mm/N, 1/N, ...]
    """

    units: Units
    base: np.ndarray


@dataclass(frozen=True)
class ContactResponses(UnitResponses):
    """Answers to load sets under which pieces touch; in place of six unit responses.

    Parameters
    ----------
    solution : Solution
        One load set for each variant that was solved.
    about : tuple of float
        Point that resultants refer to. [mm]
    contact : ContactSolution
        The same, with what happens on the interfaces.
    secant : ndarray of shape (6, 6)
        Movement of the loaded surface per unit resultant, mean of pushed and pulled.
    scouted : Scouted
        What the secant follows from; serves finer meshes of the same option.
    """

    contact: ContactSolution
    secant: np.ndarray
    scouted: Scouted

    @property
    def flexibility(self) -> np.ndarray:
        """Movement of the loaded surface per unit resultant, mean of pushed and pulled, (6, 6)."""
        return self.secant


@dataclass(frozen=True)
class _Secant:
    """What a setting asks of responses."""

    model: Model
    flexibility: np.ndarray


def known(coarser: Answer | None) -> Scouted | None:
    """Unit answers of the same option on a coarser mesh; None without one in contact."""
    responses = None if coarser is None else coarser.responses
    return responses.scouted if isinstance(responses, ContactResponses) else None


def scouted_loads(
    bonded: Answer, setting: Setting, pieces: Apart, method: str, ready: Scouted | None = None
) -> tuple[Scouted, np.ndarray, list[Loading]]:
    """Unit answers, the flexibility that they give, and the loads that follow from it.

    Parameters
    ----------
    bonded : Answer
        The same option on the same mesh with all pieces bonded.
    setting : StickWindow or HeldPart
    pieces : Apart
        Of that mesh.
    method : str
        Linear solver.
    ready : Scouted, optional
        Used again unless the loads have drifted from the size they were solved at.
    """
    density = densities(pieces.reader.option, pieces.reader.part_mesh)
    own, scout = bonded.responses.flexibility, None
    sizes = typical_sizes([worst.loading for worst in bonded.worst], pieces.scales)
    if ready is not None:
        sizes = ready.units.sizes
    for _ in range(PASSES):
        if ready is None or _drifted(ready.units.sizes, sizes):
            scout = scout or _scout(bonded, setting, pieces, method)
            ready = Scouted(units_of(scout[0], sizes), scout[1])
        flexibility = own + ready.units.flexibility(ready.base) - ready.base
        responses = cast(UnitResponses, _Secant(pieces.model, flexibility))
        loadings = setting.loadings(responses, density)
        sizes = typical_sizes(loadings, pieces.scales)
        if not _drifted(ready.units.sizes, sizes):
            break
    assert ready is not None
    return ready, flexibility, loadings


def _drifted(solved: np.ndarray, wanted: np.ndarray) -> bool:
    """Whether unit resultants were solved at another size than is wanted."""
    return bool(np.abs(wanted / solved - 1.0).max() > DRIFT)


def _scout(
    bonded: Answer, setting: Setting, pieces: Apart, method: str
) -> tuple[Apart, np.ndarray]:
    """Pieces to solve unit resultants on, and their flexibility if bonded."""
    own = bonded.part_mesh
    if own.report.n_unknowns <= SCOUT:
        return pieces, bonded.responses.flexibility
    finer = (SCOUT / own.report.n_unknowns) ** (1 / 3)
    try:
        coarse = mesh_part(own.part, size=own.size, refinement=finer)
    except ModelError:  # too coarse for its curves
        return pieces, bonded.responses.flexibility
    if coarse.report.n_unknowns > 0.7 * own.report.n_unknowns:
        return pieces, bonded.responses.flexibility
    reader = replace(pieces.reader, part_mesh=coarse)
    model = Model(coarse.mesh, stiffness_field(reader.option, coarse))
    return apart(reader, setting, method), setting.respond(model, method).flexibility
