"""A material's name and a print frame come in; stiffness, strengths and sources go out."""

from orthofem.materials.fatigue import REPEATED, RepeatCurve
from orthofem.materials.field import print_stresses, stiffness_of
from orthofem.materials.frame import BEADS, PrintFrame
from orthofem.materials.infill import axial_modulus, infill
from orthofem.materials.interfaces import INTERFACES, Bond, across_interface
from orthofem.materials.laminate import layer_stresses, stack_stiffness, turned_layers
from orthofem.materials.loader import from_table, load, names
from orthofem.materials.material import Material, temperature_note
from orthofem.materials.patterns import PATTERNS
from orthofem.materials.processes import PROCESSES, process_factor
from orthofem.materials.strengths import Strengths
from orthofem.materials.values import ALLOWED, GRADES, Value, derived

__all__ = [
    "ALLOWED",
    "BEADS",
    "GRADES",
    "INTERFACES",
    "PATTERNS",
    "PROCESSES",
    "REPEATED",
    "Bond",
    "Material",
    "PrintFrame",
    "RepeatCurve",
    "Strengths",
    "Value",
    "across_interface",
    "axial_modulus",
    "derived",
    "from_table",
    "infill",
    "layer_stresses",
    "load",
    "names",
    "print_stresses",
    "process_factor",
    "stack_stiffness",
    "stiffness_of",
    "temperature_note",
    "turned_layers",
]
