"""One design choice: a part, what each piece is printed from, and which way up."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from orthofem import materials
from orthofem.errors import unknown
from orthofem.materials import Bond, BorderStrengths, Material, PrintFrame
from orthofem.parts import Part, WholePiece
from orthofem.solve.contact import Law

from .border import Border, check_borders
from .interfaces import check_interfaces, glued_borders
from .tightened import Tightened

UPRIGHT = PrintFrame(build=(1.0, 0.0, 0.0), beads="alternating")
"""Standing on the bed, the stick's axis pointing up: layers across the axis."""

LYING = PrintFrame(build=(0.0, -1.0, 0.0), bead=(1.0, 0.0, 0.0), beads="along")
"""Lying on the bed on its +y side, beads along the stick's axis: layers along the axis."""


def file_stem(name: str) -> str:
    """Option name as a file name."""
    return "".join(c if c.isalnum() else "_" for c in name.lower()).strip("_")


@dataclass(frozen=True)
class Print:
    """What a piece is made of and how it lay on the bed.

    Parameters
    ----------
    material : str or Material
        Key of the library, path of a material file, or a material.
    frame : PrintFrame, optional
        Build direction and beads in part axes; upright if not given.
    """

    material: str | Material
    frame: PrintFrame = UPRIGHT

    @cached_property
    def loaded(self) -> Material:
        """The material itself."""
        if isinstance(self.material, Material):
            return self.material
        return materials.load(self.material)


@dataclass(frozen=True)
class Option:
    """A design with its materials and print directions: one line of the comparison.

    Parameters
    ----------
    name : str
        In plain words: "loose stud printed lying".
    part : Part
        Geometry with named pieces and surfaces.
    prints : mapping of str to Print
        By piece, or by region where a piece has several.
    note : str, optional
        What a reader should know about this option.
    borders : mapping of str to (str, Bond, BorderStrengths or Border), optional
        What holds regions together where they meet, by "a|b" of two regions or pieces, or by a
        name of your own: ``{"shaft.foot|shaft.top": "pla_petg"}``. Interfaces that are not
        named are taken as bonded for good, and the answer lists them.
    whole : tuple of WholePiece, optional
        The stick's pieces from end to end, from ``whole_pieces(...)``, for what printing them
        costs; without them only the window of the part is costed.
    interfaces : mapping of str to Bonded, Glued, Contact or ThreadTie, optional
        How pieces hold together where they meet, by "a|b": ``{"stud|upper": ThreadTie()}``.
        Interfaces that are not named are bonded; the strengths of a `Glued` one are judged as a
        border. See :mod:`orthofem.solve.contact`.
    tightened : Tightened, optional
        How its joint is screwed together: the report then tells preload, opening, load shares
        and twist of the joint tightened, just touching, and with play.

    Raises
    ------
    ValueError
        If a piece is unknown, or has no print, a border names no regions of the part, or an
        interface no two of its pieces.
    """

    name: str
    part: Part
    prints: Mapping[str, Print]
    note: str = ""
    borders: Mapping[str, str | Bond | BorderStrengths | Border] = field(default_factory=dict)
    whole: tuple[WholePiece, ...] = ()
    interfaces: Mapping[str, Law] = field(default_factory=dict)
    tightened: Tightened | None = None

    def __post_init__(self):
        for name, printed in self.prints.items():
            if not isinstance(printed, Print):
                raise ValueError(
                    f"Piece '{name}' of option '{self.name}' is {printed!r}; give "
                    "Print('pla') or another Print(material, frame)."
                )
        pieces = [piece.name for piece in self.part.pieces]
        regions = [region for piece in self.part.pieces for region in piece.regions]
        for name in self.prints:
            if name not in pieces and name not in regions:
                raise ValueError(unknown(f"piece in option '{self.name}'", name, pieces))
        for piece in self.part.pieces:
            for region in piece.regions:
                self.print_of(region, piece.name)
        check_interfaces(self.name, pieces, self.interfaces, self.borders)
        self.joined  # noqa: B018  refuse a bad border when the option is made

    @cached_property
    def joined(self) -> dict[str, Border]:
        """The borders by name, each with the interface that it holds together."""
        glued = glued_borders(self.interfaces)
        return check_borders(self.name, self.part, {**glued, **self.borders})

    def print_of(self, region: str, piece: str) -> Print:
        """What a region is printed from: its own entry, or else that of its piece."""
        for name in (region, piece):
            if name in self.prints:
                return self.prints[name]
        raise ValueError(
            f"Option '{self.name}' says nothing about piece '{piece}'; add it to prints, "
            f"for example prints={{'{piece}': Print('pla')}}."
        )

    def printed(self, name: str, **frames: PrintFrame) -> Option:
        """Return the same design with some pieces printed another way up."""
        for piece in frames:
            if piece not in self.prints:
                raise ValueError(unknown(f"piece in option '{self.name}'", piece, self.prints))
        turned = {p: replace(self.prints[p], frame=frame) for p, frame in frames.items()}
        return replace(self, name=name, prints={**self.prints, **turned})

    def build_direction(self, piece: str) -> np.ndarray:
        """Unit vector that pointed up on the bed, in part axes."""
        build = np.asarray(self.prints[piece].frame.build, dtype=float)
        return build / np.linalg.norm(build)
