"""Components and matrices in one frame come in, the same in another frame go out."""

from orthofem.tensors.constants import (
    ElasticConstants,
    compliance,
    engineering_constants,
    stiffness,
)
from orthofem.tensors.rotation import (
    direction,
    frame,
    rotate_compliance,
    rotate_stiffness,
    rotation,
    strain_bond,
    stress_bond,
    to_print_axes,
)
from orthofem.tensors.spectrum import (
    isotropic_mean,
    isotropic_moduli,
    kelvin,
    kelvin_eigenvalues,
    stiffness_bounds,
)
from orthofem.tensors.voigt import (
    ORDER,
    FloatArray,
    strain_components,
    strain_tensor,
    stress_components,
    stress_tensor,
)

__all__ = [
    "ORDER",
    "ElasticConstants",
    "FloatArray",
    "compliance",
    "direction",
    "engineering_constants",
    "frame",
    "isotropic_mean",
    "isotropic_moduli",
    "kelvin",
    "kelvin_eigenvalues",
    "rotate_compliance",
    "rotate_stiffness",
    "rotation",
    "stiffness",
    "stiffness_bounds",
    "strain_bond",
    "strain_components",
    "strain_tensor",
    "stress_bond",
    "stress_components",
    "stress_tensor",
    "to_print_axes",
]
