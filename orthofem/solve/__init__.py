"""Mesh, stiffness, supports and loads in; displacements, stresses and unit responses out."""

from .error_estimate import ErrorEstimate, estimate_error
from .face import Face, face_of
from .linear import METHODS, preferred_method
from .loads import BodyForce, Load, Pressure, Resultant, ThermalStrain, Traction
from .model import Model, Stiffness
from .region_surface import region_surface
from .run import Supported, solve
from .sampling import Samples, nodal_weights, sampled
from .solution import Solution
from .supports import Balanced, Fixed
from .threads import in_parallel
from .traction import FaceTraction, face_traction
from .unit import (
    UnitResponses,
    balanced_pulls,
    balanced_unit_responses,
    centroid,
    held_pulls,
    held_unit_responses,
)

__all__ = [
    "METHODS",
    "Balanced",
    "BodyForce",
    "ErrorEstimate",
    "Face",
    "FaceTraction",
    "Fixed",
    "Load",
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
    "balanced_pulls",
    "balanced_unit_responses",
    "centroid",
    "face_of",
    "face_traction",
    "estimate_error",
    "held_pulls",
    "held_unit_responses",
    "in_parallel",
    "nodal_weights",
    "preferred_method",
    "region_surface",
    "sampled",
    "solve",
]
