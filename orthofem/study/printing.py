"""What an option costs to print, piece by piece: an estimate beside its reserve factors."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
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
    mesh_part,
    skin_costs,
)
from orthofem.parts import WholePiece

from .option import Option, Print
from .setting import Setting, StickWindow

ESTIMATE = (
    "Print costs are estimates: geometry from the mesh, time from the printer's own numbers "
    "(all E unless you measured them)."
)
WINDOW = "window"
WHOLE = "whole"


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


@dataclass(frozen=True)
class OptionPrint:
    """What printing an option costs: an estimate.

    Parameters
    ----------
    option : str
    printer : Printer
    pieces : tuple of PiecePrint
    notes : tuple of str
        What the numbers leave out.
    """

    option: str
    printer: Printer
    pieces: tuple[PiecePrint, ...]
    notes: tuple[str, ...] = ()

    @property
    def extent(self) -> str:
        """Whether every piece is costed from end to end: "whole", else "window"."""
        return WHOLE if all(row.extent == WHOLE for row in self.pieces) else WINDOW

    @property
    def height(self) -> float:
        """Height of the highest piece. [mm]."""
        return max(row.height for row in self.pieces)

    @property
    def misfits(self) -> tuple[str, ...]:
        """Why pieces do not fit the printer the way they are turned."""
        return tuple(row.misfit for row in self.pieces if row.misfit)

    def total(self, name: str) -> float:
        """Sum of a column over all pieces, each as often as the stick has it."""
        return float(sum(row.count * getattr(row, name) for row in self.pieces))


def printing_costs(
    option: Option,
    part_mesh: PartMesh,
    printer: Printer,
    setting: Setting | None = None,
    whole: Sequence[PartMesh] = (),
) -> OptionPrint:
    """Estimate what printing an option costs.

    Parameters
    ----------
    option : Option
    part_mesh : PartMesh
        Mesh of the option's part.
    printer : Printer
    setting : StickWindow or HeldPart, optional
        In a window of the stick, pieces that reach its ends are labelled as cut off there.
    whole : sequence of PartMesh, optional
        Meshes of `option.whole`, in their order. They take the place of the cut-off pieces.

    Returns
    -------
    costs : OptionPrint
        One row for each printed piece; rods and glue are bought.

    Raises
    ------
    ModelError
        If a piece fits the printer no way up, or no piece is printed.
    ValueError
        If parts of one piece are printed different ways up, or a whole piece is printed in two
        ways at its two ends.
    """
    cut = _cut_off(part_mesh, setting)
    joints = len(setting.stick.joints) if isinstance(setting, StickWindow) else 1
    rows = []
    for piece, regions in _regions(part_mesh).items():
        prints = {region: option.print_of(region, piece) for region in regions}
        if not any(printed.loaded.printed for printed in prints.values()):
            continue
        if piece in cut and whole:
            continue
        extent, count = (WINDOW, 1) if piece in cut else (WHOLE, max(joints, 1))
        rows.append(_row(piece, prints, part_mesh, printer, extent, count))
    for one, mesh in zip(option.whole if whole else (), whole, strict=True):
        rows.append(_row(one.piece.name, _whole_prints(option, one, mesh), mesh, printer, WHOLE,
                         one.count))  # fmt: skip
    if not rows:
        raise ModelError(
            f"Option '{option.name}' has no printed piece; its materials are all bought ones."
        )
    return OptionPrint(option.name, printer, tuple(rows), tuple(_notes(rows, bool(whole))))


def option_costs(
    option: Option,
    part_mesh: PartMesh,
    printer: Printer,
    setting: Setting | None = None,
    known: list[PartMesh] | None = None,
) -> OptionPrint:
    """Estimate what printing an option costs, its whole pieces meshed first.

    Parameters
    ----------
    option, part_mesh, printer, setting
        As in `printing_costs`.
    known : list of PartMesh, optional
        Whole pieces that are meshed already; new ones are added.

    Returns
    -------
    costs : OptionPrint

    Raises
    ------
    ModelError, ValueError
        As `printing_costs`.
    """
    known = [] if known is None else known
    for one in option.whole:
        if not any(mesh.part == one.part for mesh in known):
            known.append(mesh_part(one.part))
    whole = [next(mesh for mesh in known if mesh.part == one.part) for one in option.whole]
    return printing_costs(option, part_mesh, printer, setting, whole)


def _notes(rows: Sequence[PiecePrint], whole: bool):
    cut = [row.piece for row in rows if row.extent == WINDOW]
    if cut:
        yield (
            f"{' and '.join(cut)}: the costs are those of the window round the joint only; the "
            "whole piece is longer. Give Option(whole=whole_pieces(...)) for the whole stick."
        )
    elif whole:
        yield "Whole pieces from end to end, without the stick's foot and handle."
    for row in rows:
        if row.misfit:
            yield row.misfit
        if row.support_turned < 0.9 * row.support_volume - 1.0:
            yield (
                f"{row.piece}: standing on its other end it would need "
                f"{row.support_turned / 1000:.1f} in place of {row.support_volume / 1000:.1f} cm3 "
                "of supported space; its layers, and so its strength, stay the same."
            )


def _row(
    piece: str, prints: Mapping[str, Print], part_mesh: PartMesh, printer: Printer, extent: str,
    count: int,
) -> PiecePrint:  # fmt: skip
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


def _cut_off(part_mesh: PartMesh, setting: Setting | None) -> set[str]:
    """Pieces that a window of the stick cuts off at its ends."""
    if not isinstance(setting, StickWindow):
        return set()
    mesh = part_mesh.mesh
    ends = [np.asarray(mesh.boundaries[name]) for name in (setting.loaded, setting.opposite)]
    cells = np.unique(mesh.f2t[:, np.concatenate(ends)])
    return {
        piece
        for region, piece in part_mesh.piece_of.items()
        if np.isin(np.asarray(mesh.subdomains[region]), cells).any()
    }


def _regions(part_mesh: PartMesh) -> dict[str, list[str]]:
    """Regions of each piece."""
    found: dict[str, list[str]] = {}
    for region, piece in part_mesh.piece_of.items():
        found.setdefault(piece, []).append(region)
    return found


def _whole_prints(option: Option, one: WholePiece, mesh: PartMesh) -> dict[str, Print]:
    """What each region of a whole piece is printed from: as the window's pieces are."""
    name = one.piece.name
    prints = {}
    for region in mesh.piece_of:
        inside = region.removeprefix(name)
        found = [option.print_of(f"{like}{inside}", like) for like in one.like]
        if len({(printed.loaded.key, printed.frame) for printed in found}) > 1:
            raise ValueError(
                f"The stick's piece '{name}' continues both {' and '.join(one.like)} of option "
                f"'{option.name}', which are printed differently; give both the same print."
            )
        prints[region] = found[0]
    return prints
