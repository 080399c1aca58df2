"""Section stiffness along a line, joints and supports in; displacement, bowing, modes out."""

from .buckling import Buckling, buckling
from .columns import (
    dinnik_load,
    engesser_load,
    euler_load,
    jointed_load,
    rough_jointed_load,
    stepped_load,
)
from .hinge import Hinge
from .line import Beam, beam
from .modes import Modes, modes
from .sections import Sections, round_stiffness, stepped_sections, uniform_sections
from .statics import BeamAnswer, Hold, nodal_forces, solve_beam, straight_axial
from .sway import sway_amplification

__all__ = [
    "Beam",
    "BeamAnswer",
    "Buckling",
    "Hinge",
    "Hold",
    "Modes",
    "Sections",
    "beam",
    "buckling",
    "dinnik_load",
    "engesser_load",
    "euler_load",
    "jointed_load",
    "modes",
    "nodal_forces",
    "rough_jointed_load",
    "round_stiffness",
    "solve_beam",
    "stepped_load",
    "stepped_sections",
    "straight_axial",
    "sway_amplification",
    "uniform_sections",
]
