"""Sparse infill as a material: closed forms for thin walls, and walls beside infill."""

from __future__ import annotations

import math
import warnings
from dataclasses import replace

from orthofem.errors import check_between, pick
from orthofem.materials.material import Material
from orthofem.materials.patterns import PATTERNS, Pattern, Shares
from orthofem.materials.strengths import Strengths
from orthofem.materials.values import NOT_A_CHECK_VALUE, Value, derived
from orthofem.tensors import ElasticConstants

THIN, THICKEST = 0.4, 0.7  # relative density: beyond the first doubtful, beyond the second refused
THINNEST = 0.02


def infill(material: Material, pattern: str, density: float) -> Material:
    """Material that stands for sparse infill of another.

    Parameters
    ----------
    material : Material
        Solid print.
    pattern : str
        Key of `PATTERNS`: grid, triangles, hexagon, gyroid, rectilinear.
    density : float
        Relative density r: share of the volume that is filled, 0.02 to 0.7, or 1 for solid. [-]

    Returns
    -------
    material : Material
        Effective constants and strengths on the gross section, graded as derived. Walls that
        buckle are not covered.

    Raises
    ------
    ValueError
        If the pattern is unknown or the density outside the range.

    Warns
    -----
    UserWarning
        If the density is above 0.4: the closed forms are for thin walls.

    References
    ----------
    .. [1] Gibson LJ, Ashby MF 1997, Cellular Solids, 2nd ed., Cambridge University Press.

    Examples
    --------
    >>> from orthofem.materials.loader import load
    >>> round(infill(load("pla"), "triangles", 0.3).constants.E1, 6)
    320.0
    """
    form = pick(PATTERNS, pattern, "infill pattern")
    if density == 1.0:
        return material
    r = check_between("infill density", density, THINNEST, THICKEST)
    notes = [
        f"infill: {form.title}, {100 * r:.0f} %; {form.source}; {form.validity}",
        "walls of the infill that buckle are not covered",
    ]
    if r > THIN:
        notes.append(f"closed form for thin walls used at a relative density of {r:g} (> {THIN})")
        warnings.warn(
            f"infill '{pattern}' at density {r:g}: the closed form holds for thin walls, below "
            f"{THIN}; print solid or homogenise a cell.",
            stacklevel=2,
        )
    c, s = material.constants, material.strengths
    shares = form.shares(r, c.nu12)
    kind, constants = _constants(c, shares, form.square)
    strengths = _strengths(s, shares)
    return replace(
        material,
        key=f"{material.key}+{pattern}{100 * r:.0f}",
        title=f"{material.title}, {100 * r:.0f} % {form.title}",
        kind=kind,
        density=r * material.density,
        constants=constants,
        strengths=strengths,
        values=_values(material, form, r, constants, strengths),
        critical_length=math.nan,
        notes=(*material.notes, *notes),
        fill=r * material.fill,
    )


def axial_modulus(wall: float, inside: float, wall_fraction: float) -> float:
    """Modulus of walls beside infill, both stretched alike.

    Parameters
    ----------
    wall, inside : float
        Moduli of walls and infill along the load. [MPa]
    wall_fraction : float
        Share of the section that is wall, 0 to 1. [-]

    Returns
    -------
    modulus : float
        Mean by area; for bending use the section instead. [MPa]

    References
    ----------
    .. [1] Voigt mean (M-h).

    Examples
    --------
    >>> axial_modulus(3000.0, 500.0, 0.4)
    1500.0
    """
    f = check_between("wall_fraction", wall_fraction, 0.0, 1.0)
    return f * wall + (1.0 - f) * inside


def _constants(c: ElasticConstants, shares: Shares, square: bool) -> tuple[str, ElasticConstants]:
    """Kind and constants of an infill; its walls are beads, so axis 1 of the solid counts."""
    E, E_z, nu_zp = shares.E * c.E1, shares.E_z * c.E3, c.nu13 * c.E3 / c.E1
    G_z = shares.G_z * c.G13
    if not square:
        return "transverse", ElasticConstants.transverse(E, E_z, shares.nu, nu_zp, G_z)
    nu13 = nu_zp * E / E_z
    made = ElasticConstants(E, E, E_z, shares.nu, nu13, nu13, shares.G * c.E1, G_z, G_z)
    return "orthotropic", made


def _strengths(s: Strengths, shares: Shares) -> Strengths:
    """Strengths of an infill on the gross section."""
    weakest = math.nan if math.isnan(s.Xt + s.Xc) else min(s.Xt, s.Xc)
    return Strengths(
        Xt=shares.s * s.Xt,
        Xc=shares.s * s.Xc,
        Yt=shares.s * s.Xt,
        Yc=shares.s * s.Xc,
        Zt=shares.s_z * s.Zt,
        Zc=shares.s_z * s.Zc,
        S23=shares.s_layer * s.S13,
        S13=shares.s_layer * s.S13,
        S12=shares.s_shear * weakest,
    )


def _values(
    material: Material, form: Pattern, r: float, constants: ElasticConstants, strengths: Strengths
) -> dict[str, Value]:
    """Numbers of an infill, each derived from the solid's and the pattern's evidence."""
    source = f"{form.source}, at relative density {r:g}, of {material.title}"
    note = form.validity
    worst = derived(*(v.grade for v in material.values.values()), form.grade)
    if "M-l" in worst and NOT_A_CHECK_VALUE not in note:
        note = f"{note}; {NOT_A_CHECK_VALUE}"
    numbers = {
        **{
            name: (number, "-" if name.startswith("nu") else "MPa")
            for name, number in vars(constants).items()
        },
        **{name: (number, "MPa") for name, number in vars(strengths).items()},
    }
    values = {
        name: Value(number, worst, source, unit, note=note)
        for name, (number, unit) in numbers.items()
        if not math.isnan(number)
    }
    if "density" in material.values:
        solid = material.values["density"]
        values["density"] = Value(
            r * solid.mean, derived(solid.grade), f"{r:g} of the solid", "g/cm3"
        )
    kept = ("use_limit", "glass_transition")
    return values | {name: material.values[name] for name in kept if name in material.values}
