"""Where along the stick its reserve is read, and what it is read from."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from orthofem.errors import check_positive

from .nominal import Stand, section_reader, skin_stress
from .notch import SOURCE, FilletEstimate, fillet_estimate
from .piece import StickPiece
from .result import DETAIL, NOTCH, PLAIN
from .window import DetailWindow

INSIDE = 1e-3  # how far from a piece's own end its section is read [mm]


@dataclass(frozen=True)
class Place:
    """A station of the table.

    Parameters
    ----------
    station : float
        [mm]
    low, high : float
        Stretch that it stands for. [mm]
    words : str
        What is there.
    piece : StickPiece
    window : DetailWindow, optional
        Where a detailed model has the answer.
    fillet : FilletEstimate, optional
        Where a fillet raises the stress of the plain section.
    note : str
        What the reader must know of it.
    """

    station: float
    low: float
    high: float
    words: str
    piece: StickPiece
    window: DetailWindow | None = None
    fillet: FilletEstimate | None = None
    note: str = ""

    @property
    def basis(self) -> str:
        """What a reserve here rests on."""
        if self.window is not None:
            return DETAIL
        return PLAIN if self.fillet is None else NOTCH

    @property
    def notch(self) -> float:
        """Factor on bending stress; NaN where a model knows better. [-]."""
        if self.window is not None:
            return math.nan
        return 1.0 if self.fillet is None else self.fillet.bending.value

    @property
    def section(self) -> float:
        """Station whose plain section counts: inside the piece, at its very end. [mm]."""
        return min(max(self.station, self.piece.low + INSIDE), self.piece.high - INSIDE)

    @cached_property
    def _skin(self) -> np.ndarray:
        return skin_stress(self.piece, self.section)

    def nominal(self, resultants: np.ndarray) -> float:
        """Largest stress along the stick of the plain section; NaN in a window. [MPa]."""
        return math.nan if self.window is not None else float(np.abs(self._skin @ resultants).max())


def read_place(place: Place, criteria: tuple[str, ...]) -> Callable[[np.ndarray], Stand]:
    """Return the function from resultants (6, n) at a place to what stands there."""
    if place.window is not None:
        return place.window.stand
    scale = None if place.fillet is None else place.fillet.scale
    return section_reader(place.piece, place.section, criteria, scale)


def places_of(
    pieces: Sequence[StickPiece],
    windows: Sequence[DetailWindow],
    length: float,
    step: float | None = None,
    struck: Sequence[float] = (),
) -> list[Place]:
    """Windows, necks, evenly spread plain stations and those where loads enter, tip to handle.

    Parameters
    ----------
    pieces : sequence of StickPiece
    windows : sequence of DetailWindow
    length : float
        [mm]
    step : float, optional
        Distance of plain stations; a thirtieth of the length if not given. [mm]
    struck : sequence of float, optional
        Stations where loads enter, between which bending has its peaks. [mm]
    """
    every = check_positive("step of the stations", length / 30.0 if step is None else step, "mm")
    spans = [(window.span, window) for window in windows]
    found = []
    for (low, high), window in spans:
        piece = _piece_at(pieces, window.station)
        found.append(Place(window.station, low, high, window.name, piece, window))
    for piece in pieces:
        for neck in piece.necks:
            if not _covered(neck.station, spans):
                found.append(_neck_place(piece, neck, every))
        if piece.shaft.waist is not None:
            middle = piece.low + piece.shaft.waist.position
            if not _covered(middle, spans):
                found.append(_plain(middle, every, "waist", piece))
        count = max(2, math.ceil(piece.length / every) + 1)
        for x in np.linspace(piece.low, piece.high, count):
            at_joint = 0 < x < length and x == piece.low  # once, from the piece below
            if not at_joint and not _covered(x, spans):
                found.append(_plain(float(x), every, _words(piece, x), piece))
    for x in struck:
        known = any(abs(x - place.station) < INSIDE for place in found)
        if 0 < x < length and not known and not _covered(x, spans):
            piece = _piece_at(pieces, x)
            found.append(_plain(x, every, _words(piece, x), piece))
    found = [place for place in found if place.station > 0]
    return _bounded(sorted(found, key=lambda place: place.station), length)


def _plain(x: float, every: float, words: str, piece: StickPiece) -> Place:
    return Place(x, x - every / 2, x + every / 2, words, piece)


def _neck_place(piece: StickPiece, neck, every: float) -> Place:
    fillet = fillet_estimate(neck)
    note = f"notch factor at {neck.station:g} mm: {SOURCE}"
    if not fillet.within:
        note += "; the shape lies outside the fit's range"
    width = min(neck.fillet, every) / 2
    return Place(
        neck.station, neck.station - width, neck.station + width, "fillet of a waist", piece,
        fillet=fillet, note=note,
    )  # fmt: skip


def _words(piece: StickPiece, x: float) -> str:
    waist = piece.shaft.waist
    if waist is not None and abs(x - piece.low - waist.position) < waist.length / 2:
        return "waist"
    return "shaft"


def _covered(x: float, spans) -> bool:
    return any(low - INSIDE < x < high + INSIDE for (low, high), _ in spans)


def _piece_at(pieces: Sequence[StickPiece], x: float) -> StickPiece:
    return next(piece for piece in pieces if x <= piece.high + INSIDE)


def _bounded(places: list[Place], length: float) -> list[Place]:
    """Stretches cut so that they stay on the stick, and plain ones out of detailed windows."""
    windows = [(p.low, p.high) for p in places if p.window is not None]
    cut = []
    for place in places:
        low, high = max(place.low, 0.0), min(place.high, length)
        if place.window is None:
            for a, b in windows:
                low = max(low, b) if a < low < b else low
                high = min(high, a) if a < high < b else high
        cut.append(replace(place, low=low, high=max(high, low)))
    return cut
