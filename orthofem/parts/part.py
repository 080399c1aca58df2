"""A part: pieces printed in one go, their regions, and the names of its surfaces."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from orthofem.errors import check_finite, check_positive, pick
from orthofem.parts.selectors import InBox, Selector, Zone
from orthofem.parts.solids import Solid, Vector, check_vector


@dataclass(frozen=True)
class Plane:
    """A plane: a point on it and its normal [mm]."""

    point: Vector
    normal: Vector

    def __post_init__(self):
        check_vector("plane point", self.point)
        check_vector("plane normal", self.normal, length=True)


@dataclass(frozen=True)
class Piece:
    """What is printed in one go.

    Parameters
    ----------
    name : str
        Its name; also its region's, when it has only one.
    solid : Solid
        Its shape.
    core : Solid or None
        Space filled with infill: the piece then has the regions "wall" and "core".
    splits : tuple of Plane
        Parallel layer planes that cut the piece into bands, in order along their normal.
    band_names : tuple of str
        One more than there are splits, in the same order.
    """

    name: str
    solid: Solid
    core: Solid | None = None
    splits: tuple[Plane, ...] = ()
    band_names: tuple[str, ...] = ()

    def __post_init__(self):
        _check_name("piece", self.name)
        bands = len(self.splits) + 1 if self.splits else 0
        if len(self.band_names) != bands:
            raise ValueError(
                f"Piece '{self.name}' has {len(self.splits)} splits and {len(self.band_names)} "
                f"band names; give {bands}."
            )
        for name in self.band_names:
            _check_name("band", name)
        _check_distinct(f"band of piece '{self.name}'", self.band_names)

    @property
    def regions(self) -> tuple[str, ...]:
        """Names of its regions."""
        bands = [f"{self.name}.{band}" for band in self.band_names] or [self.name]
        if self.core is None:
            return tuple(bands)
        return tuple(f"{band}.{inside}" for band in bands for inside in ("wall", "core"))


@dataclass(frozen=True)
class Refinement:
    """Smaller elements in a zone, growing with the distance from it.

    Parameters
    ----------
    zone : Zone
        Where.
    size : float
        About the length of their edges [mm].
    firm : bool
        Whether a coarser mesh keeps this size, because larger elements would not fit.
    """

    zone: Zone
    size: float
    firm: bool = False

    def __post_init__(self):
        check_positive("refinement size", self.size, "mm")


@dataclass(frozen=True)
class Part:
    """Pieces in their places, and the surfaces that loads and supports name.

    Parameters
    ----------
    name : str
        The part's name.
    pieces : tuple of Piece
        May touch; must not overlap.
    surfaces : dict of str to Selector
        Named surfaces.
    feature : float or None
        Smallest dimension that the elements must resolve; half of it is the element size
        unless one is asked for. None: from the volume and surface of the solid. [mm]
    refine : tuple of Refinement
        Where elements are smaller.
    interest : InBox or None
        Where reported values are read, away from loaded ends. None: everywhere.
    notes : tuple of str
        What a reader of the report should know about this part.
    """

    name: str
    pieces: tuple[Piece, ...]
    surfaces: dict[str, Selector] = field(default_factory=dict)
    feature: float | None = None
    refine: tuple[Refinement, ...] = ()
    interest: InBox | None = None
    notes: tuple[str, ...] = ()

    def __post_init__(self):
        if not self.pieces:
            raise ValueError(f"Part '{self.name}' has no pieces; give at least one.")
        _check_distinct("piece", [piece.name for piece in self.pieces])
        for name in self.surfaces:
            _check_name("surface", name)
        if self.feature is not None:
            check_positive("feature", self.feature, "mm")

    @property
    def regions(self) -> tuple[str, ...]:
        """Names of all regions, piece by piece."""
        return tuple(region for piece in self.pieces for region in piece.regions)

    def piece(self, name: str) -> Piece:
        """The piece of that name."""
        return pick({piece.name: piece for piece in self.pieces}, name, "piece")


def with_bands(
    part: Part,
    piece: str,
    build: Vector,
    heights: tuple[float, ...],
    names: tuple[str, ...],
    lowest: float | None = None,
) -> Part:
    """Cut a piece into bands of different filament, exactly at layer planes.

    Parameters
    ----------
    part : Part
        The part.
    piece : str
        Name of the piece to cut.
    build : tuple of 3 floats
        Its build direction, in part axes.
    heights : tuple of float
        Heights of the layer planes above the piece's lowest point, rising. [mm]
    names : tuple of str
        Band names from the bed upwards, one more than heights.
    lowest : float or None
        Where the bed is along the unit build direction, for solids whose lowest point is not
        known in closed form. [mm]

    Returns
    -------
    part : Part
        The same part with the bands.

    Raises
    ------
    ValueError
        If the heights do not rise, or the lowest point of the solid is not known.
    """
    up = check_vector("build direction", build, length=True)
    up /= np.linalg.norm(up)
    levels = check_finite("band heights", heights)
    if levels.ndim != 1 or levels.size == 0 or (np.diff(levels, prepend=0.0) <= 0).any():
        raise ValueError(
            f"Band heights {heights} must be above zero and rise from one to the next."
        )
    old = part.piece(piece)
    if lowest is None:
        top = old.solid.support(-up)
        if top is None:
            raise ValueError(
                f"The lowest point of piece '{piece}' along {build} has no closed form; "
                "give it: with_bands(..., lowest=...)."
            )
        lowest = -top
    splits = tuple(Plane(_vector((lowest + level) * up), _vector(up)) for level in levels)
    new = replace(old, splits=splits, band_names=tuple(names))
    return replace(part, pieces=tuple(new if p is old else p for p in part.pieces))


def _vector(array: np.ndarray) -> Vector:
    x, y, z = array.tolist()
    return x, y, z


def _check_name(kind: str, name: str) -> None:
    if not name or any(mark in name for mark in "|. \t\n"):
        raise ValueError(
            f"{kind} name '{name}' is not allowed; use letters, digits, '_' or '-', "
            "without '|', '.' or blanks."
        )


def _check_distinct(kind: str, names) -> None:
    twice = sorted({name for name in names if list(names).count(name) > 1})
    if twice:
        raise ValueError(f"Two of one name: {kind} {', '.join(twice)}; names must differ.")
