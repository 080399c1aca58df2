"""The stick as a whole: detailed models where they are, beams and estimates between them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from orthofem.errors import pick
from orthofem.failure import CRITERIA as ALL_CRITERIA
from orthofem.loads import LOAD_CASES, LoadCase, Person, Stick
from orthofem.loads.cases.leaning import LEAN_BOW, LEAN_FORCE, LEAN_OFFSET
from orthofem.solve.beam import Beam, beam, buckling

from ..evaluate import CRITERIA
from .bowing import CaseBowing, Crookedness, case_bowing
from .piece import StickPiece, check_pieces
from .places import Place, places_of, read_place
from .result import BUCKLES, BowRow, LeanComparison, StationRow, StickResult
from .shaft_section import LineStiffness, line_stiffness, stick_sections, tip_and_hand
from .tip import TIP_FRICTION, foothold
from .window import DetailWindow, check_windows

HOLD_FULL_WEIGHT = 3.0  # buckling load over full weight, preset 6 (E)


@dataclass(frozen=True)
class WholeStick:
    """What to ask of a whole stick.

    Parameters
    ----------
    person : Person
    stick : Stick
        Length, joints, handle. Without a mass of its own it takes that of its pieces.
    pieces : sequence of StickPiece
        From tip to handle.
    windows : sequence of DetailWindow, optional
        Detailed answers where there are any.
    cases : sequence of str or LoadCase, optional
        Names from ``LOAD_CASES``, or cases of your own; all names if not given.
    crooked : Crookedness, optional
        L/300 and no play if not given (E).
    friction : float, optional
        Of the rubber foot on the floor. [-]
    criteria : tuple of str, optional
        Names from ``failure.CRITERIA``, for stations without a detailed answer.
    step : float, optional
        Distance of plain stations; a thirtieth of the length if not given. [mm]
    """

    person: Person
    stick: Stick
    pieces: Sequence[StickPiece]
    windows: Sequence[DetailWindow] = ()
    cases: Sequence[str | LoadCase] = tuple(LOAD_CASES)
    crooked: Crookedness = field(default_factory=Crookedness)
    friction: float = TIP_FRICTION
    criteria: tuple[str, ...] = CRITERIA
    step: float | None = None

    def __post_init__(self):
        if isinstance(self.cases, str) or not len(self.cases):
            raise ValueError(f"cases = {self.cases!r}; give a list of at least one load case.")
        for name in self.criteria:
            pick(ALL_CRITERIA, name, "criterion")
        object.__setattr__(self, "pieces", check_pieces(self.pieces, self.stick.length))

    def built(self) -> list[LoadCase]:
        """The load cases themselves."""
        return [
            case if isinstance(case, LoadCase)
            else pick(LOAD_CASES, case, "load case")(self.person, self.stick)
            for case in self.cases
        ]  # fmt: skip


def whole_stick(question: WholeStick) -> StickResult:
    """Put a stick together from its pieces and joints and find its weakest link.

    Parameters
    ----------
    question : WholeStick

    Returns
    -------
    result : StickResult

    Notes
    -----
    First-order resultants are those of the load cases. What bowing adds to them comes from a
    beam with the true sections, the joints' flexibility, an initial bow and the axial force of
    the straight stick; blows enter it with their static-equivalent force.
    """
    lean = LOAD_CASES["off_axis_lean"](question.person, question.stick)
    rows, followed = _judged(question, question.built(), [lean])
    holds = (foothold(case, question.friction) for case in followed.cases)
    return StickResult(
        question.person, followed.stiffness.stick, tuple(rows),
        tuple(_bow_row(case) for case in followed.cases), _lean(lean, followed, question.crooked),
        tuple(h for h in holds if h is not None), _outline(question.pieces),
        tuple(question.stick.joints), tuple(_notes(question, followed)),
    )  # fmt: skip


def least_margin(question: WholeStick) -> float:
    """Least margin of a whole stick, bowing included: `whole_stick` where nothing else is asked.

    Loads that are only reported do not count, unless there are no others.
    """
    cases = question.built()
    counted = [case for case in cases if counts(case)] or cases
    return min(row.margin for row in _judged(question, counted, [])[0])


def counts(case: LoadCase) -> bool:
    """Whether a load case counts for the weakest link; some are only reported."""
    return not case.factor_reason.startswith("report only")


@dataclass(frozen=True)
class _Followed:
    """A stick's beam, its places, and every load case followed on it."""

    notes: tuple[str, ...]
    places: list[Place]
    line: Beam
    stiffness: LineStiffness
    cases: list[CaseBowing]
    known: dict


def _judged(
    question: WholeStick, cases: Sequence[LoadCase], others: Sequence[LoadCase]
) -> tuple[list[StationRow], _Followed]:
    """Rows of all places under all cases; the line has nodes for some other cases too."""
    length = question.stick.length
    notes = check_windows(question.windows, stick_sections(question.pieces), length)
    struck = sorted(load_stations(cases))
    places = places_of(question.pieces, question.windows, length, question.step, struck)
    line = stick_line(question, [*cases, *others], [place.station for place in places])
    stiffness = line_stiffness(question.stick, line)
    known: dict = {}
    bowed = [case_bowing(case, line, stiffness, question.crooked, known) for case in cases]
    rows = [
        row
        for place in places
        for row in _rows(place, bowed, stiffness, question.criteria)
    ]  # fmt: skip
    return rows, _Followed(notes, places, line, stiffness, bowed, known)


def stick_line(
    question: WholeStick, cases: Sequence[LoadCase], stations: Sequence[float] = ()
) -> Beam:
    """Return the beam of a whole stick, with a node at every load, clamp and asked-for station."""
    length = question.stick.length
    wanted = {0.0, length / 2.0, length, *stations, *load_stations(cases)}
    for case in cases:
        wanted |= {float(x) for x in case.clamped if x is not None}
    joints = [window.joint for window in question.windows]
    return beam(length, stick_sections(question.pieces), joints, stations=sorted(wanted))


def load_stations(cases: Sequence[LoadCase]) -> set[float]:
    """Stations where loads and blows of some cases enter the stick. [mm]."""
    entered = [np.unique(case.loads.stations) for case in cases if case.loads is not None]
    struck = [np.unique(case.blow.stations) for case in cases if case.blow is not None]
    return {float(x) for stations in (*entered, *struck) for x in stations}


def _rows(
    place: Place, cases: Sequence[CaseBowing], stiffness: LineStiffness, criteria: tuple[str, ...]
):
    """One row per load case at one place."""
    x, read = place.station, read_place(place, criteria)
    for bowing in cases:
        case = bowing.case
        straight = case.resultants(x, stiffness)
        extra = straight - bowing.straight(x)  # a blow's own inertia, which no statics has
        bent = bowing.bowed(x) + extra
        stand, first = read(bent), read(straight)
        k = int(np.argmin(stand.reserve))
        one, add = bowing.variants[k], extra[:, k : k + 1]

        def reserve(resultants, factors, add=add):
            return read(resultants + add * factors).reserve

        factor, buckles = one.breaking_factor(x, reserve)
        yield StationRow(
            x, place.low, place.high, place.words, place.basis, case.name, case.title,
            case.labels[k], straight[:, k], bent[:, k], place.nominal(bent[:, k]), place.notch,
            float(first.reserve.min()), factor, case.factor,
            BUCKLES if buckles else stand.mode[k], case.grade,
            counts(case),
        )  # fmt: skip


def _bow_row(bowing: CaseBowing) -> BowRow:
    pressed = max(0.0, *(float(-v.axial.min()) for v in bowing.variants))
    straight, bowed = bowing.deflection
    return BowRow(
        bowing.case.name, bowing.case.title, pressed, bowing.limit,
        HOLD_FULL_WEIGHT if bowing.case.name == "full_weight" else 1.0, bowing.amplification,
        straight, bowed, pressed / bowing.case.stick.length,
    )  # fmt: skip


def _lean(case: LoadCase, followed: _Followed, crooked: Crookedness) -> LeanComparison:
    """Mid-length bow under the off-axis lean, beside the closed form and the published test."""
    length, middle = case.stick.length, case.stick.length / 2.0
    line, stiffness = followed.line, followed.stiffness
    force = float(np.abs(case.loads.forces[0]).max()) if case.loads is not None else LEAN_FORCE
    bows = []
    for shape in (replace(crooked, share=0.0, play=0.0), crooked):
        found = case_bowing(case, line, stiffness, shape, followed.known).variants[0].bowed
        bows.append(math.inf if found is None else float(np.hypot(*found.moved(middle)[1:3, 0])))
    limit = float(buckling(line, tip_and_hand(length), -1.0).factors[0])
    straight, bent = bows
    formula = lean_formula(force, limit, length)
    return LeanComparison(force, LEAN_OFFSET, straight, bent, formula, LEAN_BOW)


def lean_formula(force: float, buckling_load: float, length: float) -> float:
    """Mid-length bow of a uniform stick under an eccentric push at its handle only.

    Parameters
    ----------
    force, buckling_load : float
        [N]
    length : float
        [mm]

    Returns
    -------
    bow : float
        e [sin(k L/2)/sin(k L) - 1/2], k = sqrt(P/EI); inf from the buckling load on. [mm]

    References
    ----------
    .. [1] Beam-column theory (D).

    Examples
    --------
    >>> from orthofem.solve.beam import euler_load
    >>> load = euler_load(84e6, 900.0)  # 20 mm at 900 mm take 84e6 N mm2
    >>> round(lean_formula(400.0, load, 900.0), 1)
    20.0
    """
    if force >= buckling_load:
        return math.inf
    turn = math.pi * math.sqrt(force / buckling_load)
    return LEAN_OFFSET * (math.sin(turn / 2.0) / math.sin(turn) - 0.5)


def _outline(pieces: Sequence[StickPiece]) -> np.ndarray:
    """Station and outer radius from tip to handle, every corner kept. [mm]."""
    parts = []
    for piece in pieces:
        marks = np.unique([*np.linspace(piece.low, piece.high, 60), *piece.breaks])
        parts.append(np.stack([marks, piece.radius(marks)]))
    return np.concatenate(parts, axis=1)


def _notes(question: WholeStick, followed: _Followed) -> list[str]:
    notes = [
        *followed.notes,
        "the axial force is that of the straight stick; loads keep their direction",
        f"initial bow {1e3 * question.crooked.share:.3g} thousandths of the length and "
        f"{question.crooked.play:g} degrees of play at each joint (E), to the side that the load "
        "bends to",
    ]
    bare = sorted(set(question.stick.joints) - {w.station for w in question.windows})
    if bare:
        at = ", ".join(f"{x:g}" for x in bare)
        notes.append(f"no detailed answer for the joint at {at} mm: the plain shaft stands there")
    drawn_in = [piece for piece in question.pieces if piece.core and piece.necks]
    spans = [w.span for w in question.windows]
    if any(not any(a < n.station < b for a, b in spans) for p in drawn_in for n in p.necks):
        notes.append(
            "walls drawn in to a waist round a sparse core bend more than the beams say: 12 % more "
            "with 3 mm of wall round 20 % infill, 6 % with 6 mm (own solids of one shape, D); give "
            "the waist a detailed window"
        )
    notes += sorted({place.note for place in followed.places if place.note})
    return notes
