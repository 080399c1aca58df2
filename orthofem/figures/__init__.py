"""Comes in: fields and tables as plain arrays. Goes out: figures, the same look for all."""

from __future__ import annotations

from orthofem.figures.bonded_contact import BondedContact, bonded_contact
from orthofem.figures.contact_interface import ContactPicture, contact_interface
from orthofem.figures.convergence import Convergence, convergence
from orthofem.figures.data import (
    IndexCut,
    IndexSurface,
    ModeCut,
    PiecePrint,
    PrintPicture,
    SectionPicture,
    SurfacePicture,
    WorstPlace,
)
from orthofem.figures.deflection import deflection
from orthofem.figures.directions import OrientationMap, OrientationTradeoff
from orthofem.figures.gather import (
    cut_normal,
    mode_cut,
    piece_cells,
    section_picture,
    surface_picture,
)
from orthofem.figures.governing_mode import governing_mode
from orthofem.figures.index_on_cut import index_on_cut
from orthofem.figures.index_on_surface import index_on_surface
from orthofem.figures.load_share import LoadShare, load_share
from orthofem.figures.margins import StickMargins
from orthofem.figures.orientation_map import orientation_map
from orthofem.figures.orientation_tradeoff import orientation_tradeoff
from orthofem.figures.overview import overview
from orthofem.figures.plan_tradeoff import plan_tradeoff
from orthofem.figures.plans import PlanTradeoff, StickPlan
from orthofem.figures.print_directions import print_directions
from orthofem.figures.refinement import refinement
from orthofem.figures.reserve_by_option import reserve_by_option
from orthofem.figures.save import save
from orthofem.figures.stick_margins import stick_margins
from orthofem.figures.stick_plan import stick_plan
from orthofem.figures.style import CAUTION
from orthofem.figures.tables import DeflectionCurves, Overview, RefinementTable, ReserveTable

FIGURES = {
    "print_directions": print_directions,
    "index_on_surface": index_on_surface,
    "index_on_cut": index_on_cut,
    "governing_mode": governing_mode,
    "reserve_by_option": reserve_by_option,
    "bonded_contact": bonded_contact,
    "contact_interface": contact_interface,
    "convergence": convergence,
    "deflection": deflection,
    "load_share": load_share,
    "refinement": refinement,
    "overview": overview,
    "orientation_map": orientation_map,
    "orientation_tradeoff": orientation_tradeoff,
    "stick_margins": stick_margins,
    "stick_plan": stick_plan,
    "plan_tradeoff": plan_tradeoff,
}

__all__ = [
    "CAUTION",
    "FIGURES",
    "BondedContact",
    "ContactPicture",
    "Convergence",
    "DeflectionCurves",
    "IndexCut",
    "IndexSurface",
    "LoadShare",
    "ModeCut",
    "OrientationMap",
    "OrientationTradeoff",
    "Overview",
    "PiecePrint",
    "PlanTradeoff",
    "PrintPicture",
    "RefinementTable",
    "ReserveTable",
    "SectionPicture",
    "StickMargins",
    "StickPlan",
    "SurfacePicture",
    "WorstPlace",
    "cut_normal",
    "mode_cut",
    "piece_cells",
    "save",
    "section_picture",
    "surface_picture",
]
