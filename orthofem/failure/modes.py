"""In which way a stress would break the print: the strength that is used up most."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from orthofem.failure.principal import layer_principal, shear_square, space_principal
from orthofem.materials.strengths import Strengths
from orthofem.tensors import FloatArray
from orthofem.tensors.voigt import six

MODES = (
    "layers part",
    "layers slide",
    "bead breaks along",
    "beads part in the layer",
    "crushing",
    "material breaks",
    "border parts",
    "border slides",
)
"""Ways of breaking: six that a stress decides, then two that the traction on a border decides."""
BEHIND = {
    "layers part": ("Zt",),
    "layers slide": ("S_interlaminar", "S23", "S13"),
    "bead breaks along": ("Xt",),
    "beads part in the layer": ("Yt", "Xt"),
    "crushing": ("Xc", "Zc"),
    "material breaks": ("tension", "Xt"),
}
"""Strengths that a mode rests on, as a material names them; the first that it has counts."""
_NEEDED = (
    ("Zt",),
    ("S23", "S13"),
    ("Xt",),
    ("Yt", "S12"),
    ("Xc", "Yc", "Zc"),
    (),
)


def utilisation(stress: ArrayLike, strengths: Strengths) -> FloatArray:
    """Stress over strength for each of the first six ways of breaking, in the order of `MODES`.

    Parameters
    ----------
    stress : array_like of shape (6, ...)
        Stress in print axes, order 11, 22, 33, 23, 13, 12. [MPa]
    strengths : Strengths
        Strengths. [MPa]

    Returns
    -------
    used : ndarray of shape (6, ...)
        Used share of the strength, zero or above, one row per mode. [-]

    Raises
    ------
    ValueError
        If the first axis of `stress` is not 6 long, or a strength is missing.

    Notes
    -----
    Strengths that differ between axes 1 and 2: component over strength. Shear 12 and tension
    along 2 count as "beads part in the layer".

    Strengths alike in the layer have no distinct beads, and the answer must not depend on the
    axes chosen there: larger principal stress of the layer over Xt ("bead breaks along": a break
    within the layer by tension), smaller one over Xc ("crushing"), and the shear on the line that
    carries no normal stress, ``sqrt(s12² - s11 s22)``, over S12 ("beads part in the layer"); that
    shear is s12 under pure shear and zero under uniaxial stress. Shear between layers is the
    resultant of s13 and s23.

    Strengths alike in all directions of space (no layers): the same over principal stresses in
    space, "material breaks" or "crushing".

    Examples
    --------
    >>> pla = Strengths.transverse(Xt=50, Xc=70, Zt=28, Zc=65, S_in_plane=28, S_interlaminar=20)
    >>> utilisation([0, 0, 14, 0, 5, 7], pla)
    array([0.5 , 0.25, 0.14, 0.25, 0.1 , 0. ])
    """
    strengths.require(what="The share of strength used")
    return _used(six("stress", stress), strengths)


def _used(s: FloatArray, strengths: Strengths) -> FloatArray:
    if strengths.is_isotropic:
        return _isotropic(s, strengths)
    if strengths.is_transverse:
        return _alike_in_layer(s, strengths)
    return _beads(s, strengths)


def _beads(s: FloatArray, strengths: Strengths) -> FloatArray:
    t = strengths
    zero = np.zeros(s.shape[1:])
    parts = s[2] / t.Zt
    slides = np.maximum(np.abs(s[3]) / t.S23, np.abs(s[4]) / t.S13)
    beads = np.maximum(s[1] / t.Yt, np.abs(s[5]) / t.S12)
    crush = np.maximum.reduce([-s[0] / t.Xc, -s[1] / t.Yc, -s[2] / t.Zc])
    return np.maximum(np.stack([parts, slides, s[0] / t.Xt, beads, crush, zero]), 0.0)


def _alike_in_layer(s: FloatArray, strengths: Strengths) -> FloatArray:
    t = strengths
    larger, smaller = layer_principal(s)
    zero = np.zeros(s.shape[1:])
    slides = np.hypot(s[3], s[4]) / t.S13
    beads = np.sqrt(np.maximum(shear_square(s), 0.0)) / t.S12
    crush = np.maximum(-smaller / t.Xc, -s[2] / t.Zc)
    return np.maximum(np.stack([s[2] / t.Zt, slides, larger / t.Xt, beads, crush, zero]), 0.0)


def _isotropic(s: FloatArray, strengths: Strengths) -> FloatArray:
    smallest, _, largest = space_principal(s)
    shear = np.sqrt(np.maximum(-smallest * largest, 0.0)) / strengths.S12
    used = np.zeros((len(_NEEDED), *s.shape[1:]))
    used[5] = np.maximum.reduce([largest / strengths.Xt, -smallest / strengths.Xc, shear])
    return np.maximum(used, 0.0)


def governing_mode(
    stress: ArrayLike, strengths: Strengths, among: Sequence[int] | None = None
) -> NDArray[np.intp]:
    """Mode whose strength is used up most, as a place in `MODES`.

    Parameters
    ----------
    stress : array_like of shape (6, ...)
        Stress in print axes. [MPa]
    strengths : Strengths
        Strengths. [MPa]
    among : sequence of int, optional
        Places in `MODES` to choose from; the first six if not given. A criterion that sees only
        some ways of breaking (`Criterion.modes`) must not be told of another.

    Returns
    -------
    mode : ndarray of int of shape (...)
        Place in `MODES`; the earlier one where two are equal.

    Raises
    ------
    ValueError
        If the first axis of `stress` is not 6 long, or a strength is missing.

    Examples
    --------
    >>> pla = Strengths.transverse(Xt=50, Xc=70, Zt=28, Zc=65, S_in_plane=28, S_interlaminar=20)
    >>> MODES[governing_mode([0, 0, 14, 0, 5, 7], pla)]
    'layers part'
    """
    places = np.arange(len(_NEEDED)) if among is None else np.asarray(among)
    needed = [name for place in places for name in _NEEDED[place]]
    strengths.require(*needed, what="The governing mode")
    return places[np.argmax(_used(six("stress", stress), strengths)[places], axis=0)]
