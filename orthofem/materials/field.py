"""A material and its print frame come in, the stiffness in part axes goes out."""

from __future__ import annotations

from numpy.typing import ArrayLike

from orthofem.materials.frame import PrintFrame
from orthofem.materials.laminate import stack_stiffness, turned_layers
from orthofem.materials.material import Material
from orthofem.tensors import FloatArray, frame, rotate_stiffness, stiffness


def stiffness_of(
    material: Material, print_frame: PrintFrame, points: ArrayLike | None = None
) -> FloatArray:
    """Stiffness of a printed piece in part axes.

    Parameters
    ----------
    material : Material
        Material in print axes.
    print_frame : PrintFrame
        Build and bead directions.
    points : array_like of shape (3, ...), optional
        Places; needed only for an orthotropic material whose beads run around an axis. [mm]

    Returns
    -------
    C : ndarray of shape (6, 6), or (6, 6, ...) where it changes from place to place
        Stiffness in part axes. [MPa]

    Raises
    ------
    ValueError
        If the stiffness changes from place to place and no points are given.

    Notes
    -----
    For beads at 0 and 90 degrees in turn the stiffness is that of the stack of both, exact
    for layers thin against the part (Backus 1962).

    Examples
    --------
    >>> from orthofem.materials.loader import load
    >>> upright = stiffness_of(load("pla"), PrintFrame(build=(1, 0, 0)))
    >>> bool(upright[0, 0] < upright[1, 1])
    True
    """
    C = stiffness(material.constants)
    if material.kind == "isotropic":
        return C
    if material.kind == "transverse":  # the direction of a bead in its layer changes nothing
        return rotate_stiffness(C, frame(print_frame.build))
    if print_frame.beads == "alternating":
        C = stack_stiffness(turned_layers(C, (0.0, 90.0)))
    return rotate_stiffness(C, print_frame.axes(points))
