"""The person who uses the stick."""

from __future__ import annotations

from dataclasses import dataclass

from orthofem.errors import check_between

GRAVITY = 9.80665
MASS_RANGE = (20.0, 250.0)
HEIGHT_RANGE = (1000.0, 2300.0)


@dataclass(frozen=True)
class Person:
    """Body mass and height of the user.

    Parameters
    ----------
    mass : float
        Body mass, 20 to 250. [kg]
    height : float
        Body height in the shoes to be worn, 1000 to 2300. [mm]

    Examples
    --------
    >>> round(Person(mass=80, height=1700).weight, 1)
    784.5
    """

    mass: float = 80.0
    height: float = 1700.0

    def __post_init__(self):
        check_between("Mass of the person", self.mass, *MASS_RANGE, "kg")
        check_between("Height of the person", self.height, *HEIGHT_RANGE, "mm")

    @property
    def weight(self) -> float:
        """Body weight [N]."""
        return GRAVITY * self.mass


def stick_length(height: float) -> float:
    """Length of a walking stick from tip to handle axis, L = 0.45 H + 87.

    Parameters
    ----------
    height : float
        Body height in the shoes to be worn, 1000 to 2300. [mm]

    Returns
    -------
    length : float
        Stick length. [mm]

    Raises
    ------
    ValueError
        If the height is not that of a person.

    References
    ----------
    .. [1] Kumar, Roe, Scremin 1995, Arch. Phys. Med. Rehabil. 76:1173-1175, as given by a
       clinical calculator. Grade S. The printed abstract has 0.87 m for 0.087 m.

    Examples
    --------
    >>> stick_length(1700)
    852.0
    """
    return 0.45 * check_between("Height of the person", height, *HEIGHT_RANGE, "mm") + 87.0
