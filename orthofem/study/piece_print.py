"""What one piece costs to print, from its mesh, its way up and the printer: an estimate."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from orthofem.errors import ModelError
from orthofem.materials import Material, Printer
from orthofem.mesh import (
    PartMesh,
    bed_fit,
    best_way_up,
    fewest_changes,
    filaments_in_layers,
    fine_skin,
    skin_costs,
)

from .option import Print


@dataclass(frozen=True)
class PiecePrint:
    """What printing one piece costs: an estimate.

    Parameters
    ----------
    piece : str
    extent : str
        "whole", or "window" where only a window of the stick was cut out: the piece itself is
        longer, and costs more.
    count : int
        How many of these the stick has, as far as it is known.
    way_up : tuple of float
        Build direction in part axes. [-]
    filaments : tuple of str
        Materials it is printed from.
    height : float
        On the bed. [mm]
    layers : int
    overhang_area : float
        Skin that needs something below it. [mm2]
    support_volume, support_turned : float
        Space to be supported, and the same if the piece stood on its other end. [mm3]
    footprint, bed_contact : float
        Convex outline of its shadow; what the lowest half layer rests on. [mm2]
    sides : tuple of float
        Sides of the shadow along the bed's width and depth, turned to fit best. [mm]
    volume : float
        Of the piece as if solid. [mm3]
    filament_volume, support_filament : float
        Filament laid down in the piece and in its supports. [mm3]
    mass : float
        Of the piece, NaN where a density is not known; supports not included. [g]
    changes : int
        Changes of filament.
    mixed_layers : int
        Layers that hold more than one filament: each costs a change or more.
    seconds : float
        Estimated time of printing one. [s]
    misfit : str
        Why it does not fit the printer this way up; empty if it does.
    """

    piece: str
    extent: str
    count: int
    way_up: tuple[float, float, float]
    filaments: tuple[str, ...]
    height: float
    layers: int
    overhang_area: float
    support_volume: float
    support_turned: float
    footprint: float
    bed_contact: float
    sides: tuple[float, float]
    volume: float
    filament_volume: float
    support_filament: float
    mass: float
    changes: int
    mixed_layers: int
    seconds: float
    misfit: str = ""


def piece_cost(
    piece: str, prints: Mapping[str, Print], part_mesh: PartMesh, printer: Printer, extent: str,
    count: int,
) -> PiecePrint:  # fmt: skip
    """Estimate what printing one piece costs.

    Parameters
    ----------
    piece : str
    prints : mapping of str to Print
        Of each of its regions.
    part_mesh : PartMesh
        Mesh that holds the piece.
    printer : Printer
    extent : str
        "whole" or "window".
    count : int
        How many of these the stick has.

    Raises
    ------
    ModelError
        If it fits the printer no way up.
    ValueError
        If parts of it are printed different ways up.
    """
    mesh, volumes = part_mesh.mesh, part_mesh.report.volumes
    up = _way_up(piece, prints)
    groups = {region: np.asarray(mesh.subdomains[region]) for region in prints}
    skin = fine_skin(mesh, np.concatenate(list(groups.values())))
    ways = np.stack([up, -up], axis=1)
    costs = skin_costs(skin, ways, printer.overhang_angle, printer.layer_height)
    height = float(costs.height[0])
    layers = printer.layers(height)
    sides, misfit = _fit(piece, skin.points, up, height, printer)
    materials = {region: printed.loaded for region, printed in prints.items()}
    laid = sum(material.fill * volumes[region] for region, material in materials.items())
    support = float(costs.support_volume[0])
    by_filament: dict[str, list[np.ndarray]] = {}
    for region, material in materials.items():
        by_filament.setdefault(filament_of(material), []).append(groups[region])
    joined = {name: np.concatenate(found) for name, found in by_filament.items()}
    held = filaments_in_layers(mesh, joined, up, printer.layer_height)
    changes = fewest_changes(held)
    laid_support = support * printer.support_density
    x, y, z = up.tolist()
    return PiecePrint(
        piece=piece, extent=extent, count=count, way_up=(x, y, z), filaments=tuple(joined),
        height=height, layers=layers, overhang_area=float(costs.overhang_area[0]),
        support_volume=support, support_turned=float(costs.support_volume[1]),
        footprint=float(costs.footprint[0]), bed_contact=float(costs.bed_contact[0]), sides=sides,
        volume=sum(volumes[region] for region in prints), filament_volume=laid,
        support_filament=laid_support,
        mass=1e-3 * sum(material.density * volumes[r] for r, material in materials.items()),
        changes=changes, mixed_layers=int((held.sum(axis=0) > 1).sum()),
        seconds=printer.seconds(laid + laid_support, layers, changes), misfit=misfit,
    )  # fmt: skip


def filament_of(material: Material) -> str:
    """Key of the filament that a material is printed from; infill is the same one, laid sparsely.

    Examples
    --------
    >>> from orthofem.materials import infill, load
    >>> filament_of(infill(load("pla"), "gyroid", 0.25))
    'pla'
    """
    return material.key.rsplit("+", 1)[0] if material.fill < 1.0 else material.key


def _way_up(piece: str, prints: Mapping[str, Print]) -> np.ndarray:
    """Unit vector that points up on the bed, the same for all regions of a piece."""
    ways = np.array([printed.frame.build for printed in prints.values()], dtype=float)
    ways /= np.linalg.norm(ways, axis=1, keepdims=True)
    if np.abs(ways - ways[0]).max() > 1e-6:
        told = ", ".join(f"{region} {printed.frame.build}" for region, printed in prints.items())
        raise ValueError(
            f"Piece '{piece}' is printed in one go, but its regions have different build "
            f"directions: {told}. Give all of them one."
        )
    return ways[0]


def _fit(
    piece: str, points: np.ndarray, up: np.ndarray, height: float, printer: Printer
) -> tuple[tuple[float, float], str]:
    """Sides of the shadow on the bed, and why the piece does not fit this way up, or ''."""
    room = (printer.width, printer.depth)
    fit = bed_fit(points, up[:, None], *room)
    sides = (float(fit.sides[0, 0]), float(fit.sides[1, 0]))
    reasons = []
    if height > printer.height:
        reasons.append(
            f"it is {height:.1f} mm high, {height - printer.height:.1f} mm more than the printer's "
            f"{printer.height:g} mm"
        )
    for name, side, limit in zip(("width", "depth"), sides, room, strict=True):
        if side > limit:
            reasons.append(
                f"its shadow, turned to fit best, is {side:.1f} mm along the bed's {name}, "
                f"{side - limit:.1f} mm more than the {limit:g} mm there"
            )
    if not reasons:
        return sides, ""
    way, share = best_way_up(points, *room, printer.height)
    given = f"Piece '{piece}' does not fit the printer this way up: {'; '.join(reasons)}."
    if share > 1.0:
        raise ModelError(
            f"{given} Nor does it any other way up: the best one found still takes "
            f"{share:.2f} times the printer's room of {printer.width:g} x {printer.depth:g} x "
            f"{printer.height:g} mm. Make the piece smaller (cut the stick into more pieces, or a "
            "thinner or shorter stud), or print on a larger printer."
        )
    x, y, z = way
    return sides, (
        f"{given} Turned to build direction ({x:.2f}, {y:.2f}, {z:.2f}) it would; its layers then "
        "lie another way: judge it so."
    )
