"""A material and its print frame: stiffness into part axes, stress into print axes."""

from __future__ import annotations

from numpy.typing import ArrayLike

from orthofem.materials.frame import PrintFrame
from orthofem.materials.laminate import layer_stresses, stack_stiffness, turned_layers
from orthofem.materials.material import Material
from orthofem.tensors import (
    FloatArray,
    frame,
    rotate_stiffness,
    rotation,
    stiffness,
    to_print_axes,
)


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


def print_stresses(
    material: Material, print_frame: PrintFrame, stress: ArrayLike, points: ArrayLike
) -> list[FloatArray]:
    """Stress in print axes, once for each way the beads run.

    Parameters
    ----------
    material : Material
        Material of the piece.
    print_frame : PrintFrame
        How it was printed.
    stress : array_like of shape (6, ..., n_loads)
        Stress in part axes. [MPa]
    points : array_like of shape (3, ...)
        Where. [mm]

    Returns
    -------
    stresses : list of ndarray of shape (6, ..., n_loads)
        One entry; two for an orthotropic material whose beads cross in alternating layers,
        since each kind of layer carries its own share of the mean stress. [MPa]

    Examples
    --------
    >>> from orthofem.materials.loader import load
    >>> import numpy as np
    >>> pull = np.array([9.0, 0, 0, 0, 0, 0])[:, None, None]
    >>> crossed = PrintFrame(build=(0, 0, 1), bead=(1, 0, 0), beads="alternating")
    >>> along, across = print_stresses(load("pla_cf15_ud_f"), crossed, pull, np.zeros((3, 1)))
    >>> float(along[0, 0, 0] + across[1, 0, 0])
    18.0
    """
    local = to_print_axes(stress, print_frame.axes(points))
    if material.kind != "orthotropic" or print_frame.beads != "alternating":
        return [local]
    layers = layer_stresses(local, turned_layers(stiffness(material.constants), (0.0, 90.0)))
    return [layers[0], to_print_axes(layers[1], rotation("z", 90.0))]
