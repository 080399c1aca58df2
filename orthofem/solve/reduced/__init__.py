"""A model whose regions turn on one mesh: a few full solves in, all other directions out.

The stiffness matrix is affine in the constants of each region. A space spanned by the answers at
a few directions therefore holds nearly every other one, and what is missing can be measured.
"""

from .reference import Reference
from .space import ReducedResponses, ReducedSpace

__all__ = ["ReducedResponses", "ReducedSpace", "Reference"]
