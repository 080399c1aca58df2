"""Solids as plain data: what a shape is, without any geometry program behind it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from orthofem.errors import check_finite, check_positive, pick
from orthofem.parts.outline import Outline

Vector = tuple[float, float, float]

UNITS = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "inch": 25.4}  # mm per unit


def check_vector(name: str, vector: Vector, length: bool = False) -> np.ndarray:
    """Return three finite numbers as an array; with `length`, refuse the zero vector.

    Raises
    ------
    ValueError
        If there are not three numbers, one is NaN or infinite, or the vector has no length.
    """
    array = check_finite(name, vector)
    if array.shape != (3,):
        raise ValueError(f"{name} is {vector}; it must be three numbers (x, y, z).")
    if length and not np.linalg.norm(array) > 0:
        raise ValueError(f"{name} is {vector}; it must have a direction, not all zeros.")
    return array


@dataclass(frozen=True)
class Revolved:
    """An outline in the (x, r) half plane turned once round the x axis [mm]."""

    outline: Outline

    def __post_init__(self):
        lowest = self.outline.points(24)[1].min()
        if lowest < -1e-9:
            raise ValueError(
                f"The outline of a solid of revolution reaches r = {lowest:g} mm; "
                "no radius may be below zero."
            )

    @property
    def volume(self) -> float:
        """Volume by Pappus' rule [mm3]."""
        return 2 * np.pi * self.outline.moment

    def support(self, direction: np.ndarray) -> float:
        """Largest x.direction over the solid [mm]."""
        x, r = self.outline.points(720)
        return float((x * direction[0] + r * np.hypot(direction[1], direction[2])).max())


@dataclass(frozen=True)
class Box:
    """A box with edges along the axes: low corner and edge lengths [mm]."""

    corner: Vector
    size: Vector

    def __post_init__(self):
        check_vector("box corner", self.corner)
        check_vector("box size", self.size)
        for axis, length in zip("xyz", self.size, strict=True):
            check_positive(f"box size along {axis}", length, "mm")

    @property
    def volume(self) -> float:
        """Volume [mm3]."""
        return float(np.prod(self.size))

    def support(self, direction: np.ndarray) -> float:
        """Largest x.direction over the solid [mm]."""
        low, size = np.array(self.corner, float), np.array(self.size, float)
        return float(low @ direction + size @ np.maximum(direction, 0))


@dataclass(frozen=True)
class Cylinder:
    """A round bar: centre of its base, vector along its whole length, radius [mm]."""

    base: Vector
    axis: Vector
    radius: float

    def __post_init__(self):
        check_vector("cylinder base", self.base)
        check_vector("cylinder axis", self.axis, length=True)
        check_positive("cylinder radius", self.radius, "mm")

    @property
    def volume(self) -> float:
        """Volume [mm3]."""
        return float(np.pi * self.radius**2 * np.linalg.norm(self.axis))

    def support(self, direction: np.ndarray) -> float:
        """Largest x.direction over the solid [mm]."""
        base, axis = np.array(self.base, float), np.array(self.axis, float)
        along = axis @ direction
        across = np.linalg.norm(direction - along * axis / (axis @ axis))
        return float(base @ direction + max(along, 0.0) + self.radius * across)


@dataclass(frozen=True)
class Extruded:
    """An outline in the plane z = base, drawn out along `direction` [mm]."""

    outline: Outline
    direction: Vector
    base: float = 0.0

    def __post_init__(self):
        check_vector("extrusion direction", self.direction, length=True)
        check_finite("extrusion base", self.base)
        if self.direction[2] == 0:
            raise ValueError(
                f"Extrusion direction {self.direction} lies in the outline's own plane; "
                "its z must not be zero."
            )

    @property
    def volume(self) -> float:
        """Volume [mm3]."""
        return float(self.outline.area * abs(self.direction[2]))

    def support(self, direction: np.ndarray) -> float:
        """Largest x.direction over the solid [mm]."""
        x, y = self.outline.points(720)
        flat = (x * direction[0] + y * direction[1]).max() + self.base * direction[2]
        return float(flat + max(np.array(self.direction, float) @ direction, 0.0))


@dataclass(frozen=True)
class HalfSpace:
    """All that lies on the side of a plane that `normal` points to: a tool for `Cut` [mm]."""

    point: Vector
    normal: Vector

    def __post_init__(self):
        check_vector("half space point", self.point)
        check_vector("half space normal", self.normal, length=True)

    @property
    def volume(self) -> None:
        """No finite volume."""

    def support(self, direction: np.ndarray) -> float:
        """Infinite."""
        return np.inf


@dataclass(frozen=True)
class Cut:
    """What is left of `solid` when `tool` is taken away."""

    solid: Solid
    tool: Solid

    @property
    def volume(self) -> None:
        """No closed form."""

    def support(self, direction: np.ndarray) -> float | None:
        """Largest x.direction over the solid where it is sure, else None [mm]."""
        whole = self.solid.support(direction)
        if isinstance(self.tool, HalfSpace) and whole is not None:
            normal = np.array(self.tool.normal, float)
            normal /= np.linalg.norm(normal)
            if np.allclose(normal, direction, atol=1e-12):
                return min(whole, float(np.array(self.tool.point, float) @ normal))
            if np.allclose(normal, -direction, atol=1e-12):
                return whole
        return None


@dataclass(frozen=True)
class Common:
    """What `solid` and `tool` share."""

    solid: Solid
    tool: Solid

    @property
    def volume(self) -> None:
        """No closed form."""

    def support(self, direction: np.ndarray) -> None:
        """Not known without building the solid."""
        return


@dataclass(frozen=True)
class Fused:
    """Several solids as one; they may lie apart, as the two rings of a glue line do."""

    solids: tuple[Solid, ...]

    def __post_init__(self):
        if not self.solids:
            raise ValueError("Fused() was given no solids; give at least one.")

    @property
    def volume(self) -> None:
        """No closed form, since the solids may overlap."""

    def support(self, direction: np.ndarray) -> float | None:
        """Largest x.direction over the solids [mm]."""
        values = [solid.support(direction) for solid in self.solids]
        known = [value for value in values if value is not None]
        return max(known) if len(known) == len(values) else None


@dataclass(frozen=True)
class Imported:
    """A solid read from a STEP or STL file.

    Parameters
    ----------
    path : str
        The file.
    unit : str or None
        Unit of the numbers in the file: "mm", "cm", "m", "inch". None: the unit that a STEP
        file declares, mm for an STL file (which declares none).
    scale : float
        Further factor on all lengths. [-]
    index : int or None
        Which solid of the file, from 0; None: the only one. [-]
    """

    path: str
    unit: str | None = None
    scale: float = 1.0
    index: int | None = None

    def __post_init__(self):
        if self.unit is not None:
            pick(UNITS, self.unit, "unit")
        check_positive("scale", self.scale)

    @property
    def volume(self) -> None:
        """Not known before the file is read."""

    def support(self, direction: np.ndarray) -> None:
        """Not known before the file is read."""
        return


Solid = Revolved | Box | Cylinder | Extruded | HalfSpace | Cut | Common | Fused | Imported
