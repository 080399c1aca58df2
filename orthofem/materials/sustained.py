"""How much of its strength a print may carry for long."""

from __future__ import annotations

from dataclasses import dataclass

from orthofem.errors import check_positive
from orthofem.materials.creep import LEANING_HOURS
from orthofem.materials.heat import ROOM, check_temperature
from orthofem.materials.material import Material

WEEKS = 168.0
"""From here on a load counts as one of weeks (E). [h]"""


@dataclass(frozen=True)
class SustainedCap:
    """Share of the mean short-term strength that may be carried for long.

    Parameters
    ----------
    in_plane, across : float
        In the layer, and across layers. [-]
    grade, source : str
        Evidence.
    """

    in_plane: float
    across: float
    grade: str
    source: str


NO_RUPTURE_DATA = "estimate: no time to rupture under a steady load is published, so low"
CAPPED = ("pla", "petg", "abs", "asa")
_CAP = SustainedCap(0.25, 0.20, "E", NO_RUPTURE_DATA)
_WEEKS_CAP = SustainedCap(
    0.10, 0.10, "E", f"{NO_RUPTURE_DATA}; hung or propped for weeks, stricter still"
)
_SOFT_CAP = SustainedCap(0.15, 0.15, "E", f"{NO_RUPTURE_DATA}; within 15 degrees of softening")


def sustained_cap(
    material: Material, temperature: float = ROOM, hours: float = LEANING_HOURS
) -> SustainedCap | None:
    """Largest share of strength for a load that stays; None where no value is known.

    Parameters
    ----------
    material : Material
        Printed.
    temperature : float
        [degC]
    hours : float
        How long it stays; a stick hung or propped for weeks should carry less. [h]

    References
    ----------
    .. [1] orthofem reference, material data, creep. Grade E.

    Examples
    --------
    >>> from orthofem.materials.loader import load
    >>> sustained_cap(load("petg")).in_plane
    0.25
    """
    now = check_temperature("temperature", temperature)
    if material.polymer not in CAPPED:
        return None
    softening = material.values.get("glass_transition")
    if check_positive("hours", hours, "h") >= WEEKS:
        return _WEEKS_CAP
    near = softening is not None and now > softening.mean - 15.0
    return _SOFT_CAP if near else _CAP
