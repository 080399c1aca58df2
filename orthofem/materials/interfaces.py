"""What a change of filament or a pause leaves of the bond between two beads."""

from __future__ import annotations

from dataclasses import dataclass

from orthofem.errors import pick, unknown
from orthofem.materials.strengths import Strengths


@dataclass(frozen=True)
class Bond:
    """Multiplier on the strength of the parent material at an interface.

    Parameters
    ----------
    title : str
        The interface in plain words.
    multiplier : float
        On the strength across the interface. [-]
    grade, reason : str
        Evidence grade and reason. None of these is a measured value for the pair at hand:
        confirm by a test of your own.
    low, high : float, optional
        Range. [-]
    """

    title: str
    multiplier: float
    grade: str
    reason: str
    low: float | None = None
    high: float | None = None


_BY_ANALOGY = "by analogy with PC on PETG"
_PC_PETG = (
    "Zatloukal J et al. 2025, Materials 18(16):3846, butt 15.2 and interlocked 29.9 MPa over the "
    "in-plane strength 55 MPa of PC; not a ratio to the strength across layers"
)
INTERFACES = {
    "same": Bond("same polymer and filament, no pause", 1.0, "D", "nothing changes"),
    "colour_change": Bond(
        "same polymer, other colour or brand, changed in line",
        0.85,
        "E",
        "pigment and temperature upset, same chemistry",
        0.7,
        1.0,
    ),
    "second_nozzle": Bond(
        "same polymer, second nozzle with idle time", 0.75, "E", "the surface has cooled"
    ),
    "pla_petg": Bond("PLA on PETG, plain butt", 0.3, "E", _BY_ANALOGY),
    "pla_petg_interlocked": Bond("PLA on PETG, interlocked", 0.6, "E", _BY_ANALOGY),
    "pc_petg": Bond("PC on PETG, plain butt", 0.28, "D(E)", _PC_PETG),
    "pc_petg_interlocked": Bond("PC on PETG, interlocked", 0.54, "D(E)", _PC_PETG),
    "pla_tpu": Bond("PLA on TPU", 0.2, "E", "poor chemistry"),
    "abs_asa": Bond("ABS on ASA", 0.8, "E", "close chemistry"),
    "pla_abs": Bond("PLA on ABS", 0.3, "E", "poor chemistry"),
}
_FACES = {"horizontal": ("Zt", "S13", "S23"), "vertical": ("Yt", "S12", "S23")}


def across_interface(strengths: Strengths, interface: str, face: str = "horizontal") -> Strengths:
    """Strengths of the weaker parent where an interface runs through it.

    Parameters
    ----------
    strengths : Strengths
        Strengths of the weaker parent. [MPa]
    interface : str
        Key of `INTERFACES`.
    face : {"horizontal", "vertical"}
        Between layers (pulls along 3, shear between layers), or between beads of one layer
        (pulls along 2 and shear on that face).

    Returns
    -------
    strengths : Strengths
        Reduced strengths; compression is left as it is. [MPa]

    Raises
    ------
    ValueError
        If the interface or the face is unknown; the choices are listed.

    Examples
    --------
    >>> pla = Strengths.transverse(50, 70, 28, 65, 28, 20)
    >>> across_interface(pla, "second_nozzle").Zt
    21.0
    """
    bond = pick(INTERFACES, interface, "interface")
    if face not in _FACES:
        raise ValueError(unknown("interface face", face, _FACES))
    return strengths.scaled(**dict.fromkeys(_FACES[face], bond.multiplier))
