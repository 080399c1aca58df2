"""Mesh, stiffness, supports and loads in; displacements, stresses and unit responses out."""

from .linear import METHODS, preferred_method
from .loads import BodyForce, Pressure, Resultant, ThermalStrain, Traction
from .model import Model, Stiffness
from .run import Supported, solve
from .sampling import Samples, nodal_weights, sampled
from .solution import Solution
from .supports import Balanced, Fixed
from .threads import in_parallel
from .unit import UnitResponses, balanced_unit_responses, held_unit_responses

__all__ = [
    "METHODS",
    "Balanced",
    "BodyForce",
    "Fixed",
    "Model",
    "Pressure",
    "Resultant",
    "Samples",
    "Solution",
    "Stiffness",
    "Supported",
    "ThermalStrain",
    "Traction",
    "UnitResponses",
    "balanced_unit_responses",
    "held_unit_responses",
    "in_parallel",
    "nodal_weights",
    "preferred_method",
    "sampled",
    "solve",
]
