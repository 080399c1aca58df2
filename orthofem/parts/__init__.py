"""Dimensions, or a file of the user's own, in; a `Part` of named pieces and surfaces out."""

from orthofem.parts.coupons import (
    COUPONS,
    FlatBar,
    GroovedBar,
    RoundBar,
    ShoulderBar,
    SnapCoupon,
)
from orthofem.parts.file import PartFile, check_part_path
from orthofem.parts.joints import (
    JOINTS,
    Cored,
    Joint,
    LooseStud,
    NotchFactor,
    PrintedStud,
    Spigot,
    TieRod,
)
from orthofem.parts.outline import Arc, Line, Outline, Pen, mirrored, polygon
from orthofem.parts.part import Part, Piece, Plane, Refinement, with_bands
from orthofem.parts.selectors import (
    FaceAt,
    InBox,
    NearCircle,
    NearPoint,
    NearTube,
    OnCylinder,
    OnPlane,
    Selector,
    Zone,
)
from orthofem.parts.shaft import Shaft, Waist, stick_pieces
from orthofem.parts.solids import (
    UNITS,
    Box,
    Common,
    Cut,
    Cylinder,
    Extruded,
    Fused,
    HalfSpace,
    Imported,
    Revolved,
    Solid,
)
from orthofem.parts.whole import WholePiece, whole_pieces

__all__ = [
    "COUPONS", "JOINTS", "UNITS", "Arc", "Box", "Common", "Cored", "Cut", "Cylinder", "Extruded",
    "FaceAt", "FlatBar", "Fused", "GroovedBar", "HalfSpace", "Imported", "InBox", "Joint", "Line",
    "LooseStud", "NearCircle", "NearPoint", "NearTube", "NotchFactor", "OnCylinder", "OnPlane",
    "Outline", "Part", "PartFile", "Pen", "Piece", "Plane", "PrintedStud", "Refinement", "Revolved",
    "RoundBar", "Selector", "Shaft", "ShoulderBar", "SnapCoupon", "Solid", "Spigot", "TieRod",
    "Waist", "WholePiece", "Zone", "check_part_path", "mirrored", "polygon", "stick_pieces",
    "whole_pieces", "with_bands",
]  # fmt: skip
