"""What holds two regions together where they meet: a bond between beads, a glue, or own numbers."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from orthofem import materials
from orthofem.errors import unknown
from orthofem.materials import Bond, BorderStrengths, Material, bond_of, border_strengths, weaker
from orthofem.materials import glue_strengths as of_glue
from orthofem.parts import InBox, OnCylinder, OnPlane, Part

OBLIQUE = 30.0
"""A face is between layers if its normal lies within this of the build direction, between beads if
it lies within this of the layer plane; in between it gets the lower strengths of both: E.
[degrees]"""


@dataclass(frozen=True)
class Border:
    """A face where two regions meet, and what it bears. Give a bond, a glue or strengths.

    Parameters
    ----------
    bond : str or Bond, optional
        Key of ``materials.INTERFACES``, or a bond of your own: multiplier on the strengths of the
        weaker side, between layers or between beads as the face lies in the print.
    glue : str or Material, optional
        Key of the library, path of a material file, or a material: the film between two faces.
    strengths : BorderStrengths, optional
        Your own numbers, best from a test of the pair.
    interface : str, optional
        "a|b", the regions or pieces that meet; the border's own name if not given.
    where : OnPlane, OnCylinder or InBox, optional
        Only that part of the interface, such as ``OnPlane((0, 0, 0), (1, 0, 0))``.

    Raises
    ------
    ValueError
        If not exactly one of bond, glue and strengths is given, or a name is unknown.

    Examples
    --------
    >>> Border("pla_petg").told
    'PLA on PETG, plain butt: 0.3 times the weaker side (E: by analogy with PC on PETG)'
    """

    bond: str | Bond | None = None
    glue: str | Material | None = None
    strengths: BorderStrengths | None = None
    interface: str | None = None
    where: OnPlane | OnCylinder | InBox | None = None

    def __post_init__(self):
        given = [n for n in ("bond", "glue", "strengths") if getattr(self, n) is not None]
        if len(given) != 1:
            told = ", ".join(given) or "none"
            raise ValueError(
                f"A border needs one of bond, glue and strengths; given: {told}."
                " For example Border('pla_petg'), or Border(glue='epoxy_adhesive')."
            )
        if self.strengths is not None and not isinstance(self.strengths, BorderStrengths):
            raise ValueError(
                f"strengths of a border are {self.strengths!r}; give "
                "BorderStrengths(tension, shear, source, grade)."
            )
        if not (self.where is None or hasattr(self.where, "holds")):
            raise ValueError(
                f"where of a border is {self.where!r}; give OnPlane, OnCylinder or InBox."
            )
        self.means  # noqa: B018  refuse an unknown name when the border is made

    @property
    def means(self) -> Bond | BorderStrengths:
        """What holds it: a bond, or the strengths of its glue, or one's own."""
        if self.bond is not None:
            return bond_of(self.bond)
        if self.strengths is not None:
            return self.strengths
        glue = self.glue if isinstance(self.glue, Material) else materials.load(self.glue or "")
        return of_glue(glue)

    def settled(self) -> Border:
        """Return the border with its bond or its glue's strengths looked up."""
        means = self.means
        if isinstance(means, Bond):
            return replace(self, bond=means)
        return replace(self, glue=None, strengths=means)

    @property
    def told(self) -> str:
        """What holds the border and where its numbers come from."""
        means = self.means
        if isinstance(means, BorderStrengths):
            return f"{means.source} ({means.grade})"
        words = f"{means.title}: {means.multiplier:g} times the weaker side"
        return f"{words} ({means.grade}: {means.reason})"

    def bears(self, normals: np.ndarray, sides) -> tuple[np.ndarray, np.ndarray, str]:
        """Strengths at places of the border.

        Parameters
        ----------
        normals : ndarray of shape (3, n)
            Unit normals of the face there. [-]
        sides : sequence of Print
            What the regions on both sides are printed from.

        Returns
        -------
        tension, shear : ndarray of shape (n,)
            [MPa]
        grade : str
            Evidence grade of the weakest of them.
        """
        means, n = self.means, normals.shape[1]
        if isinstance(means, BorderStrengths):
            return np.full(n, means.tension), np.full(n, means.shear), means.grade
        tension, shear, grades = zip(*(_of_side(normals, s, means) for s in sides), strict=True)
        return np.min(tension, axis=0), np.min(shear, axis=0), materials.derived(*grades)


def _of_side(normals: np.ndarray, side, bond: Bond) -> tuple[np.ndarray, np.ndarray, str]:
    """Strengths by the way the face lies in the print of one side."""
    flat, steep = (border_strengths(side.loaded, bond, f) for f in ("horizontal", "vertical"))
    build = np.asarray(side.frame.build, dtype=float)
    rise = np.degrees(np.arcsin(np.clip(np.abs(build @ normals) / np.linalg.norm(build), 0, 1)))
    between = weaker(flat, steep)
    kinds = [rise >= 90.0 - OBLIQUE - 1e-6, rise <= OBLIQUE + 1e-6]
    tension, shear = (
        np.select(kinds, [getattr(flat, n), getattr(steep, n)], getattr(between, n))
        for n in ("tension", "shear")
    )
    return tension, shear, flat.grade


def check_borders(option: str, part: Part, borders) -> dict[str, Border]:
    """Borders by name, each as a :class:`Border`; refuses what the part cannot have.

    Parameters
    ----------
    option : str
        Name of the option, for the message.
    part : Part
    borders : mapping of str to (str, Bond, BorderStrengths or Border)

    Raises
    ------
    ValueError
        If an entry is none of these, or its interface names no two pieces or regions of the part.
    """
    known = dict.fromkeys([piece.name for piece in part.pieces] + list(part.regions))
    found = {}
    for name, entry in borders.items():
        border = _as_border(option, name, entry)
        interface = border.interface or name
        sides = interface.split("|")
        if len(sides) != 2 or sides[0] == sides[1]:
            raise ValueError(
                f"Border '{interface}' of option '{option}' does not name two regions or pieces "
                f"that meet; write 'a|b', of: {', '.join(known)}. A border with a name of its own "
                "needs interface='a|b'."
            )
        for side in sides:
            if side not in known:
                raise ValueError(unknown(f"side of border '{name}'", side, known))
        found[name] = replace(border, interface=interface)
    return found


def _as_border(option: str, name: str, entry) -> Border:
    if isinstance(entry, Border):
        return entry
    if isinstance(entry, str | Bond):
        return Border(entry)
    if isinstance(entry, BorderStrengths):
        return Border(strengths=entry)
    raise ValueError(
        f"Border '{name}' of option '{option}' is {entry!r}; give the key of a bond such as "
        "'pla_petg', BorderStrengths(tension, shear), or Border(...)."
    )
