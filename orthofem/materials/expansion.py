"""The strain that heat would give a printed piece if nothing held it, in part axes."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from orthofem.errors import ModelError, check_finite
from orthofem.materials.frame import PrintFrame
from orthofem.materials.loader import load, names
from orthofem.materials.material import Material
from orthofem.tensors import FloatArray, frame, strain_components


def free_strain(
    material: Material, print_frame: PrintFrame, warming: float, points: ArrayLike | None = None
) -> FloatArray:
    """Free thermal strain of a printed piece, following the way it was printed.

    Parameters
    ----------
    material : Material
        With its expansion along bead, across it and across layers.
    print_frame : PrintFrame
        How it was printed.
    warming : float
        Change of temperature; negative when it cools. [K]
    points : array_like of shape (3, ...), optional
        Places; needed only where beads run around an axis and the layer is not alike in all its
        directions. [mm]

    Returns
    -------
    strain : ndarray of shape (6,), or (6, ...) where it changes from place to place
        Order 11, 22, 33, 23, 13, 12, engineering shears, part axes. [-]

    Raises
    ------
    ValueError
        If the material has no expansion along some axis (the message says which have), the
        warming is no number, or points are needed and missing.
    ModelError
        If beads cross in alternating layers that expand differently along and across: their
        layers strain each other, of which a mean over the layers says nothing.

    Examples
    --------
    >>> from orthofem.materials.loader import load
    >>> free_strain(load("steel"), PrintFrame(), 100.0).round(6)
    array([0.0012, 0.0012, 0.0012, 0.    , 0.    , 0.    ])
    """
    warm = float(check_finite("warming", warming))
    along = _expansion(material)
    if along[0] == along[1] == along[2]:
        return warm * along[0] * np.array([1.0, 1.0, 1.0, 0.0, 0.0, 0.0])
    if along[0] == along[1]:  # alike in the layer: where the bead runs changes nothing
        return _turned(warm * along, frame(print_frame.build))
    if print_frame.beads == "alternating":
        raise ModelError(
            f"{material.title} expands by {along[0]:g} /K along the bead and {along[1]:g} /K "
            "across it, and its beads cross in alternating layers, which then strain each other. "
            "Give beads='along' or 'around', or leave the warming out."
        )
    return _turned(warm * along, print_frame.axes(points))


def expanding() -> list[str]:
    """Keys of the library's materials whose expansion is known along all three axes.

    Examples
    --------
    >>> "steel" in expanding()
    True
    """
    return [key for key in names() if not any(map(math.isnan, load(key).expansion))]


def _expansion(material: Material) -> FloatArray:
    missing = [i + 1 for i, value in enumerate(material.expansion) if math.isnan(value)]
    if missing:
        raise ValueError(
            f"{material.title} has no thermal expansion along axis "
            f"{', '.join(map(str, missing))} (1 bead, 2 across it, 3 across layers). The library "
            f"has it for: {', '.join(expanding())}. Give your own material file with "
            f"{', '.join(f'[thermal.expansion_{i}]' for i in missing)}, measured on a bar of it, "
            "or leave the warming out."
        )
    return np.array(material.expansion, dtype=float)


def _turned(strain: FloatArray, R: FloatArray) -> FloatArray:
    """Principal strains along print axes as strain components in part axes."""
    return strain_components(np.einsum("ik...,k,jk...->ij...", R, strain, R))
