"""What a change of filament, a pause or a glue leaves of the bond between two faces."""

from __future__ import annotations

from dataclasses import dataclass

from orthofem.errors import check_positive, pick, unknown
from orthofem.materials.fields import required
from orthofem.materials.material import Material
from orthofem.materials.strengths import Strengths
from orthofem.materials.values import check_grade, derived


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

    def __post_init__(self):
        if check_positive(f"multiplier of bond '{self.title}'", self.multiplier) > 1.0:
            raise ValueError(
                f"multiplier of bond '{self.title}' = {self.multiplier:g}; it must not be above 1: "
                "where a border holds better than its weaker side, that side fails first."
            )
        check_grade(self.grade)


@dataclass(frozen=True)
class BorderStrengths:
    """What a border bears, all over its face.

    Parameters
    ----------
    tension : float
        Against being pulled open, along its normal. [MPa]
    shear : float
        Against sliding, in any direction on the face. [MPa]
    source : str
        Where the numbers come from.
    grade : str
        Evidence grade.

    Raises
    ------
    ValueError
        If a strength is not above zero (infinity is allowed), or the grade is unknown.
    """

    tension: float
    shear: float
    source: str = "chosen in the study"
    grade: str = "E"

    def __post_init__(self):
        for name in ("tension", "shear"):
            value = getattr(self, name)
            if not value > 0:
                raise ValueError(
                    f"Border strength in {name} = {value} MPa; it must be above zero. Give inf if "
                    "the border does not fail that way."
                )
        check_grade(self.grade)


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
    "pause": Bond(
        "same filament, print paused", 0.75, "E", "the surface has cooled, as for a second nozzle"
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


def across_interface(
    strengths: Strengths, interface: str | Bond, face: str = "horizontal"
) -> Strengths:
    """Strengths of the weaker parent where an interface runs through it.

    Parameters
    ----------
    strengths : Strengths
        Strengths of the weaker parent. [MPa]
    interface : str or Bond
        Key of `INTERFACES`, or a bond of your own.
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
    bond = bond_of(interface)
    if face not in _FACES:
        raise ValueError(unknown("interface face", face, _FACES))
    return strengths.scaled(**dict.fromkeys(_FACES[face], bond.multiplier))


def bond_of(interface: str | Bond) -> Bond:
    """Look a bond up by its key in `INTERFACES`; one of your own is returned as it is."""
    return interface if isinstance(interface, Bond) else pick(INTERFACES, interface, "interface")


def border_strengths(
    material: Material, interface: str | Bond, face: str = "horizontal"
) -> BorderStrengths:
    """What a border bears, from the strengths of the material on one side.

    Parameters
    ----------
    material : Material
        Material of that side.
    interface : str or Bond
        Key of `INTERFACES`, or a bond of your own.
    face : {"horizontal", "vertical"}
        Between layers: Zt, and the lower of S13 and S23. Between beads: Yt, and the lower of
        S12 and S23, whichever way the shear points on the face.

    Returns
    -------
    strengths : BorderStrengths
        Take the lower of both sides (`weaker`). [MPa]

    Raises
    ------
    ValueError
        If the interface or the face is unknown, or one of the strengths is missing.

    Examples
    --------
    >>> from orthofem.materials.loader import load
    >>> weak = border_strengths(load("petg"), "pla_petg")
    >>> round(weak.tension, 9), round(weak.shear, 9), weak.grade
    (6.6, 4.5, 'D(E)')
    """
    bond = bond_of(interface)
    reduced = across_interface(material.strengths, bond, face)
    tension, *shear = _FACES[face]
    reduced.require(tension, *shear, what=f"A {face} border of {material.title}")
    return BorderStrengths(
        getattr(reduced, tension),
        min(getattr(reduced, name) for name in shear),
        f"{bond.title}: {bond.multiplier:g} times the weaker side ({bond.grade}: {bond.reason})",
        derived(bond.grade, *_strength_grades(material)),
    )


def _strength_grades(material: Material) -> list[str]:
    """Grades of the strengths that the material's file gives; an estimate where it says none."""
    named = required(material.kind)["strength"]
    return [value.grade for name, value in material.values.items() if name in named] or ["E"]


def weaker(one: BorderStrengths, other: BorderStrengths) -> BorderStrengths:
    """Lower strengths of both, with the words of the one that has the lower tension."""
    lower = one if one.tension <= other.tension else other
    return BorderStrengths(lower.tension, min(one.shear, other.shear), lower.source, lower.grade)


def glue_strengths(glue: Material) -> BorderStrengths:
    """What a thin film of glue bears between two faces: the strengths of the glue itself.

    Parameters
    ----------
    glue : Material
        A material without layers.

    Raises
    ------
    ValueError
        If the material is printed, or has no strength in tension or shear.

    Examples
    --------
    >>> from orthofem.materials.loader import load
    >>> glue_strengths(load("epoxy_adhesive")).tension
    25.0
    """
    if glue.printed or not glue.strengths.is_isotropic:
        raise ValueError(
            f"{glue.title} is not a glue: give a material without layers, alike in all directions, "
            "such as 'epoxy_adhesive', or strengths of your own."
        )
    strengths = glue.strengths
    strengths.require("Zt", "S13", what="A glued border")
    return BorderStrengths(
        strengths.Zt,
        strengths.S13,
        f"{glue.title}, the glue itself; its bond to the faces may be weaker",
        derived(*_strength_grades(glue)),
    )
