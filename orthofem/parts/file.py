"""A part from a file of the user's own: STEP, or STL with a closed surface."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from orthofem.errors import ModelError
from orthofem.parts.part import Part, Piece, Refinement
from orthofem.parts.selectors import InBox, Selector
from orthofem.parts.solids import Imported

STEP_ENDINGS = (".step", ".stp")
STL_ENDINGS = (".stl",)


@dataclass(frozen=True, kw_only=True)
class PartFile:
    """A STEP or STL file as a part.

    Parameters
    ----------
    path : str or Path
        The file; its ending tells its kind.
    unit : str or None
        Unit of the numbers in the file: "mm", "cm", "m", "inch". None: what a STEP file
        declares, mm for an STL file. A unit stated here wins over one that the file declares.
    scale : float
        Further factor on all lengths. [-]
    surfaces : dict of str to Selector
        Named surfaces, in mm, after unit and scale.
    pieces : tuple of str
        One name for each solid of a STEP file, in the file's order; one for an STL file.
    feature : float or None
        Smallest dimension to resolve; None: twice the volume over the surface. [mm]
    refine : tuple of Refinement
        Where elements are smaller.
    interest : InBox or None
        Where reported values are read.
    """

    path: str | Path
    unit: str | None = None
    scale: float = 1.0
    surfaces: dict[str, Selector] = field(default_factory=dict)
    pieces: tuple[str, ...] = ("body",)
    feature: float | None = None
    refine: tuple[Refinement, ...] = ()
    interest: InBox | None = None

    def part(self) -> Part:
        """Return the file as a part. The file is opened when it is meshed.

        Raises
        ------
        ModelError
            If the file is not there or is of another kind.
        """
        check_part_path(self.path)
        many = len(self.pieces) > 1
        pieces = tuple(
            Piece(name, Imported(str(self.path), self.unit, self.scale, k if many else None))
            for k, name in enumerate(self.pieces)
        )
        return Part(
            Path(self.path).stem.replace(" ", "_"), pieces, dict(self.surfaces), self.feature,
            self.refine, self.interest, (f"shape read from {Path(self.path).name}",),
        )  # fmt: skip


def check_part_path(path: str | Path) -> Path:
    """Refuse a path that is no part file.

    Raises
    ------
    ModelError
        If the file is not there or its ending is unknown.
    """
    file = Path(path)
    if file.suffix.lower() not in STEP_ENDINGS + STL_ENDINGS:
        raise ModelError(
            f"'{file}' is no part file by its ending; give one of: "
            f"{', '.join(STEP_ENDINGS + STL_ENDINGS)}."
        )
    if not file.is_file():
        raise ModelError(f"There is no part file '{file}'; check the path.")
    return file
