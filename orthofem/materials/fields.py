"""What a material file holds: sections, fields and units for each kind of material."""

from __future__ import annotations

MPA, NONE, DENSITY, CELSIUS, MM = "MPa", "-", "g/cm3", "degC", "mm"
TOUGHNESS, PER_KELVIN = "MPa sqrt(mm)", "1/K"

ELASTIC = {
    "transverse": {"E_p": MPA, "E_z": MPA, "nu_p": NONE, "nu_zp": NONE, "G_zp": MPA},
    "orthotropic": {
        **dict.fromkeys(("E1", "E2", "E3"), MPA),
        **dict.fromkeys(("nu12", "nu13", "nu23"), NONE),
        **dict.fromkeys(("G12", "G13", "G23"), MPA),
    },
    "isotropic": {"E": MPA, "nu": NONE},
}
STRENGTH = {
    "transverse": ("Xt", "Xc", "Zt", "Zc", "S_in_plane", "S_interlaminar"),
    "orthotropic": ("Xt", "Xc", "Yt", "Yc", "Zt", "Zc", "S23", "S13", "S12"),
    "isotropic": ("tension", "compression", "shear"),
}
ACROSS = ("Zt", "Zc", "S_interlaminar", "S13", "S23")
PHYSICAL = {"density": DENSITY}
THERMAL = {"use_limit": CELSIUS}
OPTIONAL = {
    "thermal": {
        **dict.fromkeys(("expansion_1", "expansion_2", "expansion_3"), PER_KELVIN),
        "glass_transition": CELSIUS,
    },
    "scatter": {"in_plane": NONE, "across": NONE},
    "fracture": {"toughness": TOUGHNESS, "critical_length": MM},
}
TOP = ("title", "kind", "polymer", "condition", "notes", "no_value", "printed")
ENTRY = ("value", "unit", "grade", "source", "condition", "low", "high", "cov", "note")
FREE_SIGN = ("nu_p", "nu_zp", "nu12", "nu13", "nu23", "nu", *OPTIONAL["thermal"], "use_limit")


def required(kind: str) -> dict[str, dict[str, str]]:
    """Fields that a file of this kind must give or declare as having no value.

    Returns
    -------
    fields : dict of str to dict of str to str
        Section name to field name to unit.

    Examples
    --------
    >>> required("isotropic")["elastic"]
    {'E': 'MPa', 'nu': '-'}
    """
    return {
        "physical": PHYSICAL,
        "elastic": ELASTIC[kind],
        "strength": dict.fromkeys(STRENGTH[kind], MPA),
        "thermal": THERMAL,
    }
