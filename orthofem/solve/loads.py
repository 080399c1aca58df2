"""What pulls on a model, each kind turned into nodal forces by quadrature on curved sides."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from skfem import Basis

from orthofem.errors import ModelError, check_finite

from .assembly import strain_operator
from .model import Model
from .space import ELEMENTS, ElementSpace

Vector = tuple[float, float, float] | np.ndarray
ZERO = (0.0, 0.0, 0.0)


@dataclass(frozen=True)
class Traction:
    """Force per area on a surface.

    Parameters
    ----------
    surface : str
        Named surface.
    value : array of shape (3,) or callable
        Traction, or a function of points (3, n_facets, n_quad) and outward normals of the same
        shape that returns it. [MPa]
    """

    surface: str
    value: Vector | Callable[[np.ndarray, np.ndarray], np.ndarray]

    def forces(self, model: Model) -> np.ndarray:
        """Nodal forces, shape (n_nodes, 3). [N]."""
        basis = model.space.facet_basis(self.surface)
        points, normals = np.asarray(basis.global_coordinates()), np.asarray(basis.normals)
        value = self.value(points, normals) if callable(self.value) else self.value
        return _integrate(basis, _as_field("traction", value, points), model.space)


@dataclass(frozen=True)
class Pressure:
    """Pressure on a surface, positive when it pushes into the part. [MPa]."""

    surface: str
    value: float | Callable[[np.ndarray], np.ndarray]

    def forces(self, model: Model) -> np.ndarray:
        """Nodal forces, shape (n_nodes, 3). [N]."""

        def traction(points, normals):
            value = self.value(points) if callable(self.value) else self.value
            return -check_finite("pressure", value) * normals

        return Traction(self.surface, traction).forces(model)


@dataclass(frozen=True)
class BodyForce:
    """Force per volume in a region, or in the whole part. [N/mm^3].

    Parameters
    ----------
    value : array of shape (3,) or callable
        Force per volume, or a function of points (3, n_cells, n_quad) that returns it.
    region : str, optional
        Named region.
    """

    value: Vector | Callable[[np.ndarray], np.ndarray]
    region: str | None = None

    def forces(self, model: Model) -> np.ndarray:
        """Nodal forces, shape (n_nodes, 3). [N]."""
        space = model.space
        cells = space.cells(self.region)
        basis = Basis(space.mesh, ELEMENTS[space.order](), intorder=4, elements=cells)
        points = np.asarray(basis.global_coordinates())
        value = self.value(points) if callable(self.value) else self.value
        return _integrate(basis, _as_field("body force", value, points), space)


@dataclass(frozen=True)
class Resultant:
    """A force and a moment on a surface, spread so that no point of it is pinched.

    The traction is ``E (a + b x (point - about))``, a linear field times the modulus of the
    material behind it along the surface's mean normal, with the wanted resultants: uniform for a
    centred force, growing with the distance from the axis for a moment, as in a beam's section.
    A stiff rod in a soft print so takes its share at once.

    Parameters
    ----------
    surface : str
        Named surface.
    force : array of shape (3,)
        [N]
    moment : array of shape (3,)
        About `about`. [N mm]
    about : array of shape (3,), optional
        Point that the force passes through and the moment refers to; the centroid of the
        surface if not given. [mm]

    Raises
    ------
    ModelError
        If the surface is too narrow to take the moment.
    """

    surface: str
    force: Vector = ZERO
    moment: Vector = ZERO
    about: Vector | None = None

    def forces(self, model: Model) -> np.ndarray:
        """Nodal forces, shape (n_nodes, 3). [N]."""
        centroid, unit_forces = _unit_resultants(model, self.surface)
        about = centroid if self.about is None else check_finite("about", self.about)
        wanted = np.concatenate(
            [check_finite("force", self.force), check_finite("moment", self.moment)]
        )
        wanted[3:] += np.cross(about - centroid, wanted[:3])
        return unit_forces @ wanted


def _unit_resultants(model: Model, surface: str) -> tuple[np.ndarray, np.ndarray]:
    """Centroid of a surface, and nodal forces (n_nodes, 3, 6) of unit resultants about it.

    Made once for a model and surface: all load cases pull on the same one or two.
    """
    made = model.unit_resultants
    if surface not in made:
        basis = model.space.facet_basis(surface)
        points = np.asarray(basis.global_coordinates())
        centroid = (points * basis.dx).sum(axis=(1, 2)) / basis.dx.sum()
        modes = rigid_motions(points, centroid)
        share = _modulus_share(model, surface, basis)
        gram = np.einsum("icfq,jcfq,fq->ij", modes, modes, basis.dx * share, optimize=True)
        size = np.sqrt(np.diag(gram))
        size[3:] = size[3:].max()  # one length for all three turns: a sliver shows
        if np.linalg.cond(gram / np.outer(size, size)) > 1e10:
            raise ModelError(
                f"Surface '{surface}' is too narrow to take a moment; choose a wider one."
            )
        tractions = share * np.tensordot(np.linalg.inv(gram), modes, 1)
        forces = [_integrate(basis, traction, model.space) for traction in tractions]
        made[surface] = centroid, np.stack(forces, axis=-1)
    return made[surface]


def _modulus_share(model: Model, surface: str, basis) -> np.ndarray:
    """Modulus behind each facet along the mean normal, over its mean, (n_facets, 1). [-]."""
    normal = (np.asarray(basis.normals) * basis.dx).sum(axis=(1, 2))
    if np.linalg.norm(normal) < 1e-9 * basis.dx.sum():
        normal = np.array([1.0, 0.0, 0.0])  # a closed surface has no mean normal: any will do
    cells = model.mesh.f2t[0, model.space.facets(surface)]
    modulus = model.young_along(normal)[cells][:, None]
    return modulus * basis.dx.sum() / (modulus * basis.dx).sum()


@dataclass(frozen=True)
class ThermalStrain:
    """A free strain that heat, shrinkage or swelling would give a region.

    Parameters
    ----------
    strain : array of shape (6,) or callable
        Strain in part axes, order 11, 22, 33, 23, 13, 12, engineering shears, or a function of
        points (3, n_cells, n_quad) that returns (6, n_cells, n_quad). [-]
    region : str, optional
        Named region; the whole part if not given.
    """

    strain: np.ndarray | Callable[[np.ndarray], np.ndarray]
    region: str | None = None

    def field(self, model: Model) -> np.ndarray:
        """Free strain at all quadrature points, zero outside the region, (6, n_cells, n_quad)."""
        space = model.space
        cells = space.cells(self.region)
        points = space.points[:, cells]
        value = self.strain(points) if callable(self.strain) else self.strain
        value = check_finite("thermal strain", value)
        wanted = ((6,), (6, *points.shape[1:]))
        if value.shape not in wanted:
            raise ValueError(
                f"thermal strain has shape {value.shape}; wanted {wanted[0]}, or {wanted[1]} from "
                "a function."
            )
        field = np.zeros((6, *space.volumes.shape))
        field[:, cells] = value[:, None, None] if value.ndim == 1 else value
        return field

    def forces(self, model: Model) -> np.ndarray:
        """Nodal forces, shape (n_nodes, 3). [N]."""
        strain = self.field(model)
        total = np.zeros((model.space.nodes.shape[1], 3))
        for _, cells, stiffness in model.groups:
            product = "ij,jcq->icq" if stiffness.ndim == 2 else "ijcq,jcq->icq"
            stress = np.einsum(product, stiffness, strain[:, cells]) * model.space.volumes[cells]
            operator = strain_operator(model.space.gradients[cells])
            nodal = np.einsum("icqnk,icq->nck", operator, stress, optimize=True)
            for local, nodes in enumerate(model.space.cell_nodes[:, cells]):
                np.add.at(total, nodes, nodal[local])
        return total


Load = Traction | Pressure | BodyForce | Resultant | ThermalStrain


def rigid_motions(points: np.ndarray, centre: np.ndarray) -> np.ndarray:
    """Three translations and three rotations about `centre`, shape (6, 3, ...) for (3, ...)."""
    arm = points - np.reshape(centre, (3,) + (1,) * (points.ndim - 1))
    modes = np.zeros((6, *points.shape))
    for i in range(3):
        modes[i, i] = 1.0
        j, k = (i + 1) % 3, (i + 2) % 3
        modes[3 + i, k], modes[3 + i, j] = arm[j], -arm[k]
    return modes


def _as_field(name: str, value, points: np.ndarray) -> np.ndarray:
    array = check_finite(name, value)
    if array.shape == (3,):
        array = array[:, None, None]
    try:
        return np.broadcast_to(array, points.shape)
    except ValueError as error:
        raise ValueError(
            f"{name} has shape {array.shape}; wanted (3,), or {points.shape} from a function."
        ) from error


def _integrate(basis, field: np.ndarray, space: ElementSpace) -> np.ndarray:
    """Integral of a vector field (3, n, n_quad) against every shape function."""
    total = np.zeros((space.nodes.shape[1], 3))
    weighted = field * basis.dx
    for local, function in enumerate(basis.basis):
        value = np.broadcast_to(np.asarray(function[0]), basis.dx.shape)
        np.add.at(total, basis.element_dofs[local], np.einsum("cfq,fq->fc", weighted, value))
    return total
