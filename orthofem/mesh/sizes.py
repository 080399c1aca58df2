"""Element size: from the smallest feature, smaller where asked, finer on tight curves."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from types import ModuleType

import numpy as np

from orthofem.errors import check_positive
from orthofem.mesh.build import Built
from orthofem.mesh.size_field import GROWTH, SizeField, add_field
from orthofem.parts import InBox, NearCircle, NearPoint, NearTube, Part, Zone
from orthofem.parts.solids import Vector

PER_FEATURE = 2  # elements across the smallest feature
PER_TURN = 12  # elements round a full turn of any curve, at refinement 1
LEAST_PER_TURN = 8  # and at any refinement: fewer are no round part any more


def bulk_size(part: Part, built: Built, size: float | None) -> float:
    """Element size away from refined zones, before `refinement` [mm].

    From `size` if given, else the part's feature, else twice volume over surface, which for a
    plate is its thickness.

    Raises
    ------
    ValueError
        If the size is not a finite number above zero.
    """
    if size is not None:
        return check_positive("element size", size, "mm")
    if part.feature is not None:
        return part.feature / PER_FEATURE
    return 2 * sum(built.solid_volume.values()) / built.area


def set_sizes(
    gmsh: ModuleType,
    part: Part,
    bulk: float,
    refinement: float,
    wanted: Sequence[SizeField] = (),
) -> None:
    """Tell the open session the element sizes."""
    check_positive("refinement", refinement)
    gmsh.option.setNumber("Mesh.MeshSizeMax", bulk / refinement)
    per_turn = max(round(PER_TURN * refinement), LEAST_PER_TURN)
    gmsh.option.setNumber("Mesh.MeshSizeFromCurvature", per_turn)
    field = gmsh.model.mesh.field
    tags = [_from_boundary(gmsh, bulk / refinement)]
    for one in part.refine:
        tag = field.add("MathEval")
        least = max(refinement, 1.0) if one.firm else refinement
        size = f"{_number(one.size / least)}+{GROWTH}*({_distance(one.zone)})"
        field.setString(tag, "F", size)
        tags.append(tag)
    tags += [add_field(gmsh, one) for one in wanted]
    least = field.add("Min")
    field.setNumbers(least, "FieldsList", tags)
    field.setAsBackgroundMesh(least)


def _from_boundary(gmsh: ModuleType, bulk: float) -> int:
    """Field that lets small elements of curves and faces grow into what they bound."""
    field = gmsh.model.mesh.field
    tag = field.add("Extend")
    for name, dim in (("CurvesList", 1), ("SurfacesList", 2)):
        field.setNumbers(tag, name, [entity for _, entity in gmsh.model.getEntities(dim)])
    field.setNumber(tag, "DistMax", bulk / GROWTH)
    field.setNumber(tag, "SizeMax", bulk)
    return tag


def _distance(zone: Zone) -> str:
    """Distance from a zone, zero inside, as an expression in x, y, z."""
    return _EXPRESSIONS[type(zone)](zone)


def _positive(value: str) -> str:
    """The value where above zero, else zero."""
    return f"(abs({value})+({value}))/2"


def _number(value: float) -> str:
    """A number as the expression reader takes it: without exponent, in brackets."""
    return f"({value:.12f})"


def _box(zone: InBox) -> str:
    sides = []
    for axis, low, high in zip("xyz", zone.low, zone.high, strict=True):
        # an infinite side never counts
        below = _positive(f"{_number(low)}-{axis}") if np.isfinite(low) else "0"
        above = _positive(f"{axis}-{_number(high)}") if np.isfinite(high) else "0"
        sides.append(f"({below}+{above})^2")
    return f"sqrt({'+'.join(sides)})"


def _circle(zone: NearCircle) -> str:
    along, away = _cylindrical(zone.centre, zone.axis)
    ring = f"sqrt({along}^2+({away}-{_number(zone.radius)})^2)"
    return _positive(f"{ring}-{_number(zone.within)}")


def _tube(zone: NearTube) -> str:
    along, away = _cylindrical(zone.base, zone.axis)
    length = _number(float(np.linalg.norm(zone.axis)))
    beyond = f"({_positive(f'0-{along}')}+{_positive(f'{along}-{length}')})"
    skin = f"sqrt({beyond}^2+({away}-{_number(zone.radius)})^2)"
    return _positive(f"{skin}-{_number(zone.within)}")


def _point(zone: NearPoint) -> str:
    to = "+".join(f"({axis}-{_number(c)})^2" for axis, c in zip("xyz", zone.point, strict=True))
    return _positive(f"sqrt({to})-{_number(zone.within)}")


def _cylindrical(origin: Vector, axis: Vector) -> tuple[str, str]:
    """Coordinates along an axis and away from it, as expressions."""
    unit = np.array(axis, float) / np.linalg.norm(axis)
    to = [f"({name}-{_number(c)})" for name, c in zip("xyz", origin, strict=True)]
    along = "(" + "+".join(f"{_number(u)}*{t}" for u, t in zip(unit, to, strict=True)) + ")"
    away = f"sqrt(abs({'+'.join(f'{t}^2' for t in to)}-{along}^2))"
    return along, away


_EXPRESSIONS: dict[type, Callable[..., str]] = {
    InBox: _box,
    NearCircle: _circle,
    NearTube: _tube,
    NearPoint: _point,
}
