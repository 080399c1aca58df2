"""What damp does to a print, in words: no number of it enters a reserve factor."""

from __future__ import annotations

from dataclasses import dataclass

from orthofem.materials.material import Material


@dataclass(frozen=True)
class MoistureNote:
    """What is known of a polymer in the damp.

    Parameters
    ----------
    text : str
        In plain words.
    grade, source : str
        Evidence.
    """

    text: str
    grade: str
    source: str


_HANDBOOK = "handbook, from memory"
_SWELLS = (
    "dimensions change by 0.5 to 1.5 %, height most (P: Faust JL et al. 2021, Polymers 13:3637)"
)
MOISTURE = {
    "pla": MoistureNote(
        "takes up 0.3 to 0.5 % of water; hydrolyses slowly and turns brittle. Strength of aged "
        "prints falls after 1344 h of hydrothermal ageing, taken as 1.5 to 2.5 years of service "
        "(P: Bergaliyeva et al. 2022, Polymers 14:5256)",
        "M-h",
        _HANDBOOK,
    ),
    "pla_silk": MoistureNote("as PLA: hydrolyses slowly and turns brittle", "M-h", _HANDBOOK),
    "petg": MoistureNote("takes up 0.2 % of water; dry before printing", "M-h", _HANDBOOK),
    "abs": MoistureNote("takes up 0.3 % of water", "M-h", _HANDBOOK),
    "asa": MoistureNote("takes up 0.4 % of water; steady in sunlight", "M-h", _HANDBOOK),
    "pa_dry": MoistureNote(
        f"takes up 2.5 to 3 % of water at 50 % relative humidity (PA6; PA12 0.8 %); the modulus "
        f"of PA6 falls by 40 to 60 %; {_SWELLS}. Use the set for 50 % relative humidity",
        "M-h",
        _HANDBOOK,
    ),
    "pa_50rh": MoistureNote(f"properties follow the damp; {_SWELLS}", "M-h", _HANDBOOK),
    "pa_cf": MoistureNote(f"as its matrix, less: {_SWELLS} for nylon", "M-h", _HANDBOOK),
    "pa_cf_ud": MoistureNote(f"as its matrix, less: {_SWELLS} for nylon", "M-h", _HANDBOOK),
    "pc": MoistureNote("takes up 0.15 % of water; must be dry to print", "M-h", _HANDBOOK),
    "tpu_95a": MoistureNote("takes up 0.5 % of water; dry before printing", "M-h", _HANDBOOK),
}


def moisture_note(material: Material) -> str:
    """Say what damp does to a material, with its grade; empty for rods.

    Parameters
    ----------
    material : Material

    Returns
    -------
    note : str
        A sentence for the report.

    Examples
    --------
    >>> from orthofem.materials.loader import load
    >>> moisture_note(load("petg"))
    'PETG: takes up 0.2 % of water; dry before printing (M-h: handbook, from memory).'
    """
    if material.polymer in MOISTURE:
        known = MOISTURE[material.polymer]
        return f"{material.title}: {known.text} ({known.grade}: {known.source})."
    if not material.printed:
        return ""
    return f"{material.title}: nothing is known here of it in the damp; test a soaked coupon."
