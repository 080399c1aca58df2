"""What is wished for: a stick of some shape, a person, a printer, joints that are allowed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from orthofem.errors import ModelError, check_between, check_positive, pick
from orthofem.failure import CRITERIA as ALL_CRITERIA
from orthofem.loads import LOAD_CASES, LoadCase, Person, Stick
from orthofem.materials import Material, Printer, PrintFrame
from orthofem.parts import Joint, Shaft

from ..evaluate import CRITERIA
from ..option import LYING, UPRIGHT, Print
from ..stick import Crookedness
from ..stick.piece import cut_shaft
from .rules import JointRule, fits, window_of

WAYS: dict[str, PrintFrame] = {"upright": UPRIGHT, "lying": LYING}
MOST_PIECES = 8
CASES = ("everyday_walking", "full_weight", "side_kick")


@dataclass(frozen=True)
class Wish:
    """A stick that is wanted.

    Parameters
    ----------
    length : float
        From tip to handle. [mm]
    outline : float or Shaft
        Outer diameter, or a shaft with taper, waist, bore or walls; a waist's position is its
        station on the stick. [mm]
    joints : sequence of str or JointRule
        Joints that are allowed; none: the stick is one piece.
    person : Person, optional
    printer : Printer, optional
    material : str or Material, optional
        What pieces and studs are printed from.
    infill : Material, optional
        What lies inside the walls, where the outline has walls.
    glue : str or Material, optional
    cases : sequence of str or LoadCase, optional
        Load cases; names from ``LOAD_CASES``.
    ways : sequence of str, optional
        Ways up that are allowed: "upright", "lying".
    most_pieces : int, optional
    keep_from_handle : float, optional
        No joint is nearer to the handle: where the hand grips (E). [mm]
    keep_from_waist : float, optional
        Between a joint's window and the fillets of a waist (E). [mm]
    handle_overhang : float, optional
        From the shaft's axis to the end of the handle. [mm]
    crooked : Crookedness, optional
    criteria : tuple of str, optional
    coarseness : float, optional
        Refinement of the fast models' meshes. [-]
    refinements : tuple of float, optional
        Meshes that the top plans are confirmed on.
    confirm : int, optional
        How many plans, from the strongest, are confirmed in detail.
    title, note : str, optional

    Raises
    ------
    ValueError
        If a number is out of its range or a name is unknown.
    ModelError
        If the wish cannot be fulfilled, with what gives.
    """

    length: float
    outline: float | Shaft
    joints: Sequence[str | JointRule] = ()
    person: Person = field(default_factory=Person)
    printer: Printer = field(default_factory=Printer)
    material: str | Material = "pla"
    infill: Material | None = None
    glue: str | Material = "epoxy_adhesive"
    cases: Sequence[str | LoadCase] = CASES
    ways: Sequence[str] = tuple(WAYS)
    most_pieces: int = 6
    keep_from_handle: float = 100.0
    keep_from_waist: float = 10.0
    handle_overhang: float = 60.0
    crooked: Crookedness = field(default_factory=Crookedness)
    criteria: tuple[str, ...] = CRITERIA
    coarseness: float = 0.5
    refinements: tuple[float, ...] = (0.7, 1.0)
    confirm: int = 2
    title: str = "A stick from its wish"
    note: str = ""

    def __post_init__(self):
        if not isinstance(self.outline, Shaft):
            object.__setattr__(self, "outline", Shaft(float(self.outline)))
        self.stick()
        self._check_numbers()
        self._check_names()
        self.print_way(next(iter(self.ways)))  # an unknown material is told at once
        if (self.shaft.walls is None) != (self.infill is None):
            raise ValueError(
                f"The outline has walls {self.shaft.walls} and infill {self.infill}; give both or "
                "neither: infill=infill(load('pla'), 'gyroid', 0.25)."
            )

    def _check_numbers(self) -> None:
        check_between("most pieces", self.most_pieces, 1, MOST_PIECES)
        check_between("plans to confirm", self.confirm, 0, 20)
        check_positive("coarseness", self.coarseness)
        for name in ("keep_from_handle", "keep_from_waist"):
            check_between(name, getattr(self, name), 0.0, self.length, "mm")
        waist = self.shaft.waist
        if waist is not None:
            half = waist.length / 2 + waist.reach(self.shaft.radius)
            check_between("waist position", waist.position, half, self.length - half, "mm")
        if not self.refinements or list(self.refinements) != sorted(set(self.refinements)):
            raise ValueError(f"refinements = {self.refinements}; give them coarse to fine.")

    def _check_names(self) -> None:
        if isinstance(self.cases, str) or not len(self.cases):
            raise ValueError(f"cases = {self.cases!r}; give a list of at least one load case.")
        for case in self.cases:
            if not isinstance(case, LoadCase):
                pick(LOAD_CASES, case, "load case")
        if isinstance(self.ways, str) or not len(self.ways):
            raise ValueError(f"ways = {self.ways!r}; give a list of 'upright', 'lying' or both.")
        for way in self.ways:
            pick(WAYS, way, "way up")
        for name in self.criteria:
            pick(ALL_CRITERIA, name, "criterion")
        names = [rule.name for rule in self.rules]
        twice = sorted({name for name in names if names.count(name) > 1})
        if twice:
            raise ValueError(
                f"Joints share a name: {', '.join(twice)}. Give each its own with "
                "JointRule(..., name=...)."
            )

    @property
    def shaft(self) -> Shaft:
        """The outline."""
        return self.outline  # type: ignore[return-value]  # made a Shaft above

    @cached_property
    def rules(self) -> tuple[JointRule, ...]:
        """The joints that are allowed."""
        given = (self.joints,) if isinstance(self.joints, str | JointRule) else self.joints
        return tuple(rule if isinstance(rule, JointRule) else JointRule(rule) for rule in given)

    def diameter(self, station: float) -> float:
        """Outer diameter at a station, a waist left out. [mm]."""
        return self.shaft.at(station, self.length).outer_diameter

    @property
    def diameters(self) -> tuple[float, ...]:
        """Diameters that the fast models are made for: one, or the two ends of a taper. [mm]."""
        ends = (self.diameter(0.0), self.diameter(self.length))
        return (ends[0],) if ends[0] == ends[1] else (min(ends), max(ends))

    def straight(self, diameter: float) -> Shaft:
        """Straight shaft like the outline, of some diameter."""
        return replace(self.shaft, outer_diameter=diameter, outer_end=None, waist=None)

    @cached_property
    def designs(self) -> dict[str, Joint]:
        """Joints by name, sized to the thinnest shaft; only those that fit all along.

        Raises
        ------
        ModelError
            If joints are allowed, but none of them fits.
        """
        thinnest = min(self.diameters)
        found, reasons = {}, []
        for rule in self.rules:
            try:
                joint = rule.joint(thinnest)
                reason = fits(joint, self._shafts, window_of(joint, max(self.diameters)))
            except ValueError as error:
                reason = str(error)
            if reason:
                reasons.append(f"{rule.name}: {reason}")
            else:
                found[rule.name] = joint
        if self.rules and not found:
            raise ModelError(
                f"None of the allowed joints fits a stick {thinnest:g} mm thick. "
                f"{' '.join(reasons)} What gives: a thicker outline, or a joint with other sizes."
            )
        return found

    @property
    def _shafts(self) -> tuple[Shaft, ...]:
        return tuple(self.straight(d) for d in self.diameters)

    def window(self, joint: Joint) -> float:
        """How far the window of a joint reaches to each side. [mm]."""
        return window_of(joint, max(self.diameters))

    def stick(self, stations: Sequence[float] = ()) -> Stick:
        """The stick as the loads see it."""
        check_positive("length of the stick", self.length, "mm")
        return Stick(self.length, tuple(stations), self.diameter(self.length), self.handle_overhang)

    def built(self, stick: Stick) -> list[LoadCase]:
        """The load cases on a stick."""
        return [
            case if isinstance(case, LoadCase) else LOAD_CASES[case](self.person, stick)
            for case in self.cases
        ]

    def print_way(self, way: str) -> Print:
        """What a piece is printed from, some way up."""
        printed = Print(self.material, WAYS[way])
        printed.loaded  # noqa: B018  read now
        return printed

    def core_way(self, way: str) -> Print | None:
        """What a piece's infill counts as, some way up."""
        return None if self.infill is None else Print(self.infill, WAYS[way])

    def piece_shaft(self, low: float, high: float) -> Shaft:
        """Outline of one piece, x from its own low end."""
        return cut_shaft(self.shaft, self.length, low, high)

    def free_of_waist(self, stations: np.ndarray, window: float) -> np.ndarray:
        """Which stations are far enough from a waist for a joint's window."""
        waist = self.shaft.waist
        if waist is None:
            return np.ones(np.shape(stations), bool)
        half = waist.length / 2 + waist.reach(self.shaft.radius)
        return np.abs(stations - waist.position) >= half + window + self.keep_from_waist
