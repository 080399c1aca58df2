"""Pieces, detailed joints and load cases in; the whole stick's weakest link and bowing out."""

from .bowing import CaseBowing, Crookedness, case_bowing
from .notch import FilletEstimate, fillet_estimate, fillet_fit
from .piece import Neck, StickPiece
from .result import BowRow, LeanComparison, StationRow, StickResult
from .shaft_section import LineStiffness, line_stiffness, stick_sections
from .studied import studied_stick
from .tip import Foothold, foothold
from .whole import WholeStick, lean_formula, least_margin, stick_line, whole_stick
from .window import DetailWindow
from .window_answer import WindowAnswer

__all__ = [
    "BowRow",
    "CaseBowing",
    "Crookedness",
    "DetailWindow",
    "FilletEstimate",
    "Foothold",
    "LeanComparison",
    "LineStiffness",
    "Neck",
    "StationRow",
    "StickPiece",
    "StickResult",
    "WholeStick",
    "WindowAnswer",
    "case_bowing",
    "fillet_estimate",
    "fillet_fit",
    "foothold",
    "lean_formula",
    "least_margin",
    "line_stiffness",
    "stick_line",
    "stick_sections",
    "studied_stick",
    "whole_stick",
]
