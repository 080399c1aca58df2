"""What the figures draw: plain arrays with names, checked where they are made."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

Numbers = np.ndarray


def sized(owner: str, name: str, values: Any, shape: tuple[int, ...]) -> None:
    """Refuse an array of another shape."""
    found = np.shape(values)
    if found != shape:
        raise ValueError(f"{owner}: {name} has shape {found}; it must be {shape}.")


@dataclass(frozen=True)
class SurfacePicture:
    """Triangles in space, each belonging to a named group (a piece).

    Parameters
    ----------
    points : ndarray of shape (3, n)
        Corners in part axes. [mm]
    triangles : ndarray of shape (3, m)
        Columns of `points`, counter-clockwise seen from outside.
    group : ndarray of shape (m,)
        Number of the group of each triangle.
    groups : tuple of str
        Names of the groups.
    values : ndarray of shape (n,), optional
        Field at the corners, NaN where there is none.
    displacement : ndarray of shape (3, n), optional
        Displacement of the corners. [mm]
    frame : ndarray of shape (3, 3), optional
        Columns: horizontal, vertical, toward the viewer. The picture is looked at from about
        this last direction; if the part is cut away, it is the normal of the cut.
    cut : ndarray of bool of shape (m,), optional
        Triangles that lie on the cut face.
    """

    points: Numbers
    triangles: Numbers
    group: Numbers
    groups: tuple[str, ...]
    values: Numbers | None = None
    displacement: Numbers | None = None
    frame: Numbers | None = None
    cut: Numbers | None = None

    def __post_init__(self) -> None:
        """Check that the arrays fit each other."""
        n, m = self.points.shape[1], self.triangles.shape[1]
        sized("SurfacePicture", "points", self.points, (3, n))
        sized("SurfacePicture", "triangles", self.triangles, (3, m))
        sized("SurfacePicture", "group", self.group, (m,))
        if self.values is not None:
            sized("SurfacePicture", "values", self.values, (n,))
        if self.displacement is not None:
            sized("SurfacePicture", "displacement", self.displacement, (3, n))
        if self.cut is not None:
            sized("SurfacePicture", "cut", self.cut, (m,))


@dataclass(frozen=True)
class SectionPicture:
    """A plane cut, each triangle belonging to a named group (a piece).

    Parameters
    ----------
    points : ndarray of shape (2, n)
        Cut points along the two in-plane axes. [mm]
    triangles : ndarray of shape (3, m)
        Columns of `points`, counter-clockwise.
    group : ndarray of shape (m,)
        Number of the group of each triangle.
    groups : tuple of str
        Names of the groups.
    frame : ndarray of shape (3, 3)
        Columns: horizontal axis, vertical axis and normal of the cut, in part axes.
    offset : float
        Distance of the plane from the part's origin along the normal. [mm]
    values : ndarray of shape (n,) or (k, n), optional
        Field at the points, NaN where there is none.
    """

    points: Numbers
    triangles: Numbers
    group: Numbers
    groups: tuple[str, ...]
    frame: Numbers
    offset: float = 0.0
    values: Numbers | None = None

    def __post_init__(self) -> None:
        """Check that the arrays fit each other."""
        n, m = self.points.shape[1], self.triangles.shape[1]
        sized("SectionPicture", "points", self.points, (2, n))
        sized("SectionPicture", "triangles", self.triangles, (3, m))
        sized("SectionPicture", "group", self.group, (m,))
        sized("SectionPicture", "frame", self.frame, (3, 3))
        if self.values is not None:
            sized("SectionPicture", "values", self.values, (*np.shape(self.values)[:-1], n))

    def of(self, name: str) -> Numbers:
        """Triangles (3, k) of one group."""
        return self.triangles[:, self.group == self.groups.index(name)]


@dataclass(frozen=True)
class PiecePrint:
    """How one piece is laid on the printer's bed.

    Parameters
    ----------
    name : str
        Group of the picture that this piece is.
    build : tuple of 3 floats
        Direction that points up on the bed, in part axes.
    layer : float
        Thickness of a layer. [mm]
    beads : str
        How the beads run within a layer, in words: "along the stick", "around the axis", ...
    printed : bool
        False for a rod or glue, which has no layers.
    """

    name: str
    build: tuple[float, float, float] = (1.0, 0.0, 0.0)
    layer: float = 0.2
    beads: str = ""
    printed: bool = True

    def __post_init__(self) -> None:
        """Check that there is a direction and a thickness."""
        build = np.asarray(self.build, dtype=float)
        if build.shape != (3,) or not np.isfinite(build).all() or not build.any():
            raise ValueError(
                f"PiecePrint '{self.name}': build is {self.build}; "
                "give three numbers, not all zero."
            )
        if not self.layer > 0:
            raise ValueError(
                f"PiecePrint '{self.name}': layer = {self.layer} mm; it must be above zero."
            )

    @property
    def up(self) -> Numbers:
        """Unit vector that points up on the bed, in part axes."""
        return np.asarray(self.build, dtype=float) / np.linalg.norm(self.build)

    @property
    def posture(self) -> str:
        """How the stick's axis stands while this piece is printed, in words."""
        if not self.printed:
            return "not printed"
        lean = np.degrees(np.arccos(np.clip(abs(self.up[0]), 0, 1)))
        if lean < 10:
            return "printed upright"
        return "printed lying" if lean > 80 else f"printed leaning {lean:.0f}°"


@dataclass(frozen=True)
class PrintPicture:
    """An option: its cut along the axis and how each piece is printed."""

    title: str
    section: SectionPicture
    pieces: tuple[PiecePrint, ...]
    surface: SurfacePicture | None = None

    def __post_init__(self) -> None:
        """Check that every piece is in the picture."""
        for piece in self.pieces:
            if piece.name not in self.section.groups:
                raise ValueError(
                    f"PrintPicture: no piece '{piece.name}' in the section; it has "
                    f"{', '.join(self.section.groups)}."
                )


@dataclass(frozen=True)
class WorstPlace:
    """Where the failure index is largest.

    Parameters
    ----------
    point : tuple of 3 floats
        Place in part axes. [mm]
    value : float
        Failure index there, averaged. [-]
    mode : str
        How it fails there, in words.
    radius : float
        Radius of the ball that the stress is averaged over. [mm]
    """

    point: tuple[float, float, float]
    value: float
    mode: str = ""
    radius: float = 0.0


@dataclass(frozen=True)
class IndexSurface:
    """Failure index on the deformed surface; `exaggeration` None picks a round number."""

    title: str
    surface: SurfacePicture
    worst: WorstPlace
    exaggeration: float | None = None

    def __post_init__(self) -> None:
        """Check that there is an index to draw."""
        if self.surface.values is None:
            raise ValueError("IndexSurface: the surface has no values; give the failure index.")


@dataclass(frozen=True)
class IndexCut:
    """Failure index on a plane cut through the worst place."""

    title: str
    section: SectionPicture
    worst: WorstPlace

    def __post_init__(self) -> None:
        """Check that there is an index to draw."""
        if self.section.values is None:
            raise ValueError("IndexCut: the section has no values; give the failure index.")
        sized("IndexCut", "section.values", self.section.values, self.section.points.shape[1:])


@dataclass(frozen=True)
class ModeCut:
    """Governing mode on a plane cut.

    Parameters
    ----------
    title : str
        Option and load.
    section : SectionPicture
        The cut.
    mode : ndarray of int of shape (n,)
        Number in `modes` at each point; -1 where the load is too small to matter.
    modes : tuple of str
        Modes in plain words.
    worst : WorstPlace, optional
        Marked in the picture if given.
    faint : float
        Failure index below which a point carries -1, for the legend. [-]
    """

    title: str
    section: SectionPicture
    mode: Numbers
    modes: tuple[str, ...]
    worst: WorstPlace | None = None
    faint: float = 0.1

    def __post_init__(self) -> None:
        """Check that every point has a mode."""
        sized("ModeCut", "mode", self.mode, self.section.points.shape[1:])
        mode = np.asarray(self.mode)
        if mode.size and (mode.min() < -1 or mode.max() >= len(self.modes)):
            raise ValueError(
                f"ModeCut: mode numbers run from {mode.min()} to {mode.max()}; give -1 to "
                f"{len(self.modes) - 1}, one for each of {', '.join(self.modes)}."
            )
