"""Beam stiffness of the section at a part's end, integrated over its facets and materials."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from orthofem.mesh import PartMesh
from orthofem.solve import Model
from orthofem.solve.beam.sections import SHEAR_SHARE


@dataclass(frozen=True)
class EndSection:
    """Beam constants of one end section.

    Parameters
    ----------
    station : float
        Where it lies along x. [mm]
    axial : float
        EA. [N]
    bending : float
        EI, mean of the two directions. [N mm^2]
    shear : float
        Shear stiffness, shear coefficient included. [N]
    """

    station: float
    axial: float
    bending: float
    shear: float


def end_section(model: Model, surface: str) -> EndSection:
    """Integrate the section constants of a flat end normal to x.

    Each facet counts with the modulus along x of the cell behind it, so that walls, infill,
    rods and glue all carry their share.
    """
    space = model.space
    basis = space.facet_basis(surface)
    points = np.asarray(basis.global_coordinates())
    young, shear = model.young_along((1.0, 0.0, 0.0)), _shear_across_x(model)
    cells = space.mesh.f2t[0, space.facets(surface)]
    weight = young[cells][:, None] * basis.dx
    axial = weight.sum()
    middle = [(weight * points[k]).sum() / axial for k in (1, 2)]
    bending = [(weight * (points[k] - m) ** 2).sum() for k, m in zip((1, 2), middle, strict=True)]
    return EndSection(
        station=float(points[0].mean()),
        axial=float(axial),
        bending=float(np.mean(bending)),
        shear=float(SHEAR_SHARE * (shear[cells][:, None] * basis.dx).sum()),
    )


def mean_line_mass(model: Model, surfaces: Sequence[str], density: Mapping[str, float]) -> float:
    """Mass per length of the end sections, each facet with the density behind it. [kg/mm].

    Parameters
    ----------
    model : Model
    surfaces : sequence of str
        End surfaces.
    density : mapping of str to float
        Of each region. [g/cm^3]

    Raises
    ------
    ValueError
        If a region at an end has no density.
    """
    of_cell = np.empty(model.mesh.nelements)
    for name, cells, _ in model.groups:
        of_cell[cells] = density[name]
    masses = []
    for surface in surfaces:
        behind = of_cell[model.mesh.f2t[0, model.space.facets(surface)]]
        if np.isnan(behind).any():
            raise ValueError(
                "A material has no density, so the stick's mass under a blow is not known; give "
                "the material a density, or the stick a mass."
            )
        masses.append(1e-6 * (behind[:, None] * model.space.facet_basis(surface).dx).sum())
    return float(np.mean(masses))


def end_pieces(part_mesh: PartMesh, surfaces: Sequence[str]) -> set[str]:
    """Pieces that reach some end surfaces: those that a window cuts off there."""
    mesh = part_mesh.mesh
    facets = np.concatenate([np.asarray(mesh.boundaries[name]) for name in surfaces])
    behind = np.unique(mesh.f2t[:, facets])
    return {
        piece
        for region, piece in part_mesh.piece_of.items()
        if np.isin(np.asarray(mesh.subdomains[region]), behind).any()
    }


def _shear_across_x(model: Model) -> np.ndarray:
    """Mean transverse shear modulus of each cell. [MPa]."""
    shear = np.empty(model.mesh.nelements)
    for _, cells, stiffness in model.groups:
        field = stiffness if stiffness.ndim == 2 else stiffness.mean(axis=-1)
        compliance = np.linalg.inv(np.moveaxis(field, (0, 1), (-2, -1)))
        shear[cells] = 2.0 / (compliance[..., 4, 4] + compliance[..., 5, 5])
    return shear
