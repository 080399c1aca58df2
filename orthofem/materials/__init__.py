"""A material's name and a print frame come in; stiffness, strengths and sources go out."""

from orthofem.materials.creep import (
    CREEP,
    Remaining,
    mittag_leffler,
    remaining_modulus,
    remaining_preload,
)
from orthofem.materials.expansion import expanding, free_strain
from orthofem.materials.fatigue import REPEATED, RepeatCurve, infill_power, infill_share
from orthofem.materials.field import print_stresses, stiffness_of
from orthofem.materials.frame import BEADS, PrintFrame
from orthofem.materials.heat import HeatFactor, heat_factor, modulus_factor, strength_factor
from orthofem.materials.infill import axial_modulus, infill
from orthofem.materials.interfaces import (
    INTERFACES,
    Bond,
    BorderStrengths,
    across_interface,
    bond_of,
    border_strengths,
    glue_strengths,
    weaker,
)
from orthofem.materials.laminate import layer_stresses, stack_stiffness, turned_layers
from orthofem.materials.loader import from_table, load, names
from orthofem.materials.material import Material, temperature_note
from orthofem.materials.moisture import MOISTURE, moisture_note
from orthofem.materials.patterns import PATTERNS
from orthofem.materials.printer import Printer
from orthofem.materials.processes import PROCESSES, process_factor
from orthofem.materials.strengths import Strengths
from orthofem.materials.sustained import sustained_cap
from orthofem.materials.values import ALLOWED, GRADES, Value, derived

__all__ = [
    "ALLOWED",
    "BEADS",
    "CREEP",
    "GRADES",
    "INTERFACES",
    "MOISTURE",
    "PATTERNS",
    "PROCESSES",
    "REPEATED",
    "Bond",
    "BorderStrengths",
    "HeatFactor",
    "Material",
    "PrintFrame",
    "Printer",
    "Remaining",
    "RepeatCurve",
    "Strengths",
    "Value",
    "across_interface",
    "axial_modulus",
    "bond_of",
    "border_strengths",
    "derived",
    "expanding",
    "free_strain",
    "from_table",
    "glue_strengths",
    "heat_factor",
    "infill",
    "infill_power",
    "infill_share",
    "layer_stresses",
    "load",
    "mittag_leffler",
    "modulus_factor",
    "moisture_note",
    "names",
    "print_stresses",
    "process_factor",
    "remaining_modulus",
    "remaining_preload",
    "stack_stiffness",
    "stiffness_of",
    "strength_factor",
    "sustained_cap",
    "temperature_note",
    "turned_layers",
    "weaker",
]
