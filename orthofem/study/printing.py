"""What an option costs to print, piece by piece: an estimate beside its reserve factors."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from orthofem.errors import ModelError
from orthofem.materials import Printer
from orthofem.mesh import PartMesh, mesh_part
from orthofem.parts import WholePiece

from .option import Option, Print
from .piece_print import PiecePrint, piece_cost
from .section import end_pieces
from .setting import Setting, StickWindow

ESTIMATE = (
    "Print costs are estimates: geometry from the mesh, time from the printer's own numbers "
    "(all E unless you measured them)."
)
WINDOW = "window"
WHOLE = "whole"


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
        rows.append(piece_cost(piece, prints, part_mesh, printer, extent, count))
    for one, mesh in zip(option.whole if whole else (), whole, strict=True):
        prints = _whole_prints(option, one, mesh)
        rows.append(piece_cost(one.piece.name, prints, mesh, printer, WHOLE, one.count))
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


def _cut_off(part_mesh: PartMesh, setting: Setting | None) -> set[str]:
    """Pieces that a window of the stick cuts off at its ends."""
    if not isinstance(setting, StickWindow):
        return set()
    return end_pieces(part_mesh, (setting.loaded, setting.opposite))


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
