"""Fast models: one coarse window solve for each joint, shaft diameter and way up, kept."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from orthofem.errors import ModelError
from orthofem.loads import JointFlexibility
from orthofem.mesh import PartMesh, mesh_part
from orthofem.parts import Joint, Part, Shaft

from ..evaluate import evaluate
from ..option import Option, Print
from ..setting import StickWindow
from ..stick import DetailWindow, WindowAnswer
from .rules import SEPARATE, kind_of
from .wish import WAYS, Wish

_PIECES = ("lower", "upper")
FINER = (1.0, 1.4, 2.0)
STEP = 0.5
"""In a taper the local diameter is rounded to this for the fast models. [mm]"""


class Ways(NamedTuple):
    """Way up of the two pieces at a joint, and of a stud printed apart ('' where there is none)."""

    lower: str
    upper: str
    stud: str = ""


@dataclass(frozen=True)
class JointModel:
    """A joint between two pieces, each printed its way up, solved for the six unit resultants."""

    answer: WindowAnswer

    def detail(self, station: float, name: str = "joint") -> DetailWindow:
        """The model standing at a station of the stick."""
        return DetailWindow(station, self.answer, name=name)

    def by_piece(self, resultants: np.ndarray) -> dict[str, np.ndarray]:
        """Reserve of each piece under resultants (6, n) at the joint, (n,) each. [-]."""
        found = self.answer.by_piece(resultants)
        if not found:
            raise ModelError("A joint's window has no place to read stress at.")
        return found

    def reserve(self, resultants: np.ndarray) -> np.ndarray:
        """Lowest reserve (n,) under resultants (6, n) at the joint. [-]."""
        return np.min(list(self.by_piece(resultants).values()), axis=0)


@dataclass(frozen=True)
class Halves:
    """A joint whose pieces are printed different ways up, from two whose pieces are alike.

    Each piece has the reserve that it has beside one of its own kind, the stud the lower of its
    two: what one piece feels of the other's way up is left out.
    """

    lower: JointModel
    upper: JointModel

    def reserve(self, resultants: np.ndarray) -> np.ndarray:
        """Lowest reserve (n,) under resultants (6, n) at the joint. [-]."""
        below, above = self.lower.by_piece(resultants), self.upper.by_piece(resultants)
        both = [np.minimum(below[name], above[name]) for name in below if name not in _PIECES]
        return np.min([below["lower"], above["upper"], *both], axis=0)


@dataclass(frozen=True)
class Between:
    """A joint in a tapered shaft: between the models of two diameters, in logarithms."""

    thin: JointModel | Halves
    thick: JointModel | Halves
    diameters: tuple[float, float]

    def reserve(self, resultants: np.ndarray, diameter: np.ndarray) -> np.ndarray:
        """Lowest reserve (n,) under resultants (6, n) in shafts of diameters (n,). [-]."""
        first = self.thin.reserve(resultants)
        if self.diameters[0] == self.diameters[1]:
            return first
        last = self.thick.reserve(resultants)
        thin, thick = self.diameters
        share = np.log(diameter / thin) / np.log(thick / thin)
        both = np.isfinite(first) & np.isfinite(last)
        mixed = np.exp((1 - share) * np.log(first) + share * np.log(last), where=both,
                       out=np.full(first.shape, np.inf))  # fmt: skip
        return np.where(both, mixed, np.minimum(first, last))


@dataclass
class Models:
    """All fast models of a wish; each is solved when it is first asked for.

    Parameters
    ----------
    wish : Wish
    progress : callable, optional
        Called with a line of text before each solve.
    ends_only : bool, optional
        Whether a joint in a taper is taken to stand in the nearer of its two ends' diameters.
    kept : dict, optional
        Models of changed wishes.
    """

    wish: Wish
    progress: Callable[[str], None] = lambda text: None
    ends_only: bool = False
    kept: dict = field(default_factory=dict, repr=False)
    _solved: dict = field(default_factory=dict, repr=False)
    _meshes: dict = field(default_factory=dict, repr=False)

    def at(self, joint: Joint, ways: Ways, station: float) -> JointModel:
        """Model of a joint at a station, in the shaft as thick as it is there."""
        ends, local = self.wish.diameters, self.wish.diameter(station)
        if self.ends_only:
            local = min(ends, key=lambda end: abs(end - local))
        elif len(ends) > 1:
            local = min(max(round(local / STEP) * STEP, ends[0]), ends[1])
        return self.of(joint, ways, self.wish.straight(local))

    def along(self, joint: Joint, ways: Ways) -> Between:
        """Models for the search: of both ends of a taper, of pieces printed alike."""
        ends = self.wish.diameters
        thin, thick = (self._pair(joint, ways, self.wish.straight(d)) for d in (ends[0], ends[-1]))
        return Between(thin, thick, (ends[0], ends[-1]))

    def _pair(self, joint: Joint, ways: Ways, shaft: Shaft) -> JointModel | Halves:
        if ways.lower == ways.upper:
            return self.of(joint, ways, shaft)
        alike = (Ways(way, way, ways.stud) for way in (ways.lower, ways.upper))
        return Halves(*(self.of(joint, one, shaft) for one in alike))

    def of(self, joint: Joint, ways: Ways, shaft: Shaft) -> JointModel:
        """Model of a joint in a straight shaft."""
        key = (joint, ways, shaft)
        if key not in self._solved:
            self.progress(f"{joint_words(joint)}, {ways_words(ways)}: coarse model")
            mesh = self.mesh(joint, shaft)
            option = window_option(self.wish, "window", joint, ways, mesh)
            self._solved[key] = JointModel(solved(self.wish, option, mesh))
        return self._solved[key]

    def mesh(self, joint: Joint, shaft: Shaft) -> PartMesh:
        """Coarse mesh of a joint's window, made once."""
        key = (joint, shaft)
        if key not in self._meshes:
            part = joint.part(shaft, self.wish.window(joint))  # type: ignore[attr-defined]
            self._meshes[key] = coarsest(part, self.wish.coarseness)
        return self._meshes[key]

    @property
    def count(self) -> int:
        """Models solved so far."""
        return len(self._solved)


def coarsest(part: Part, refinement: float) -> PartMesh:
    """Mesh as coarse as wished, or a little finer where that would miss the part's volume.

    Raises
    ------
    ModelError
        If it cannot be meshed at twice the refinement either.
    """
    for finer in FINER[:-1]:
        try:
            return mesh_part(part, refinement=finer * refinement)
        except ModelError:
            continue  # thin walls need more cells than a coarse mesh has
    return mesh_part(part, refinement=FINER[-1] * refinement)


def window_option(wish: Wish, name: str, joint: Joint, ways: Ways, mesh: PartMesh) -> Option:
    """Window of the stick round a joint, its pieces printed their ways up."""
    return Option(name, mesh.part, prints_of(wish, joint, ways, mesh))


def prints_of(wish: Wish, joint: Joint, ways: Ways, mesh: PartMesh) -> dict[str, Print]:
    """What each region of a joint's window is printed from."""
    return {
        region: _print(wish, joint, ways, region, piece) for region, piece in mesh.piece_of.items()
    }


def _print(wish: Wish, joint: Joint, ways: Ways, region: str, piece: str) -> Print:
    if piece == "glue":
        return Print(wish.glue)
    way = ways.stud if piece == SEPARATE[kind_of(joint)] else getattr(ways, piece)
    return piece_print(wish, way, region)


def piece_print(wish: Wish, way: str, region: str) -> Print:
    """What a region of a piece is printed from: infill inside walls, else the material."""
    core = wish.core_way(way) if region.endswith(".core") else None
    return wish.print_way(way) if core is None else core


def solved(wish: Wish, option: Option, mesh: PartMesh) -> WindowAnswer:
    """Unit responses of a window, its stresses averaged where they count."""
    middle = wish.length / 2
    setting = StickWindow(wish.person, wish.stick((middle,)), ("full_weight",))
    return WindowAnswer.of(evaluate(option, mesh, setting, wish.criteria))


def flexibility(model: JointModel, station: float) -> JointFlexibility:
    """What a joint at a station yields, for the beam."""
    return model.detail(station).joint


def joint_words(joint: Joint) -> str:
    """A joint in a few words."""
    return f"{kind_of(joint).replace('_', ' ')} of {joint.core_diameter:g} mm"


def ways_words(ways: Ways) -> str:
    """Ways up in a few words."""
    assert set(ways) <= {*WAYS, ""}
    both = ways.lower if ways.lower == ways.upper else f"{ways.lower} below {ways.upper}"
    return both + (f", stud {ways.stud}" if ways.stud else "")
