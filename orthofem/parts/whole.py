"""The whole pieces of a stick, each with the halves of the joints at its two ends."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from orthofem.errors import ModelError, check_finite, check_positive
from orthofem.parts.joints.base import Joint
from orthofem.parts.outline import Outline, Pen, Point, moved
from orthofem.parts.part import Part, Piece, Refinement
from orthofem.parts.selectors import NearTube
from orthofem.parts.shaft import Shaft, Waist, draw_waist
from orthofem.parts.solids import Cut, Fused, Revolved, Solid

_SAME = 1e-9  # mm
ELEMENT_TURN = np.radians(18.0)
_DIGITS = 6  # of a length in mm


@dataclass(frozen=True)
class WholePiece:
    """One piece of a stick from end to end, for what printing it costs.

    Parameters
    ----------
    part : Part
        The piece alone, x along the stick from its own lower shoulder plane. Its joints are
        refined less than in their windows: it is made to be measured, not to be loaded.
    like : tuple of str
        Pieces of the joint's window that it continues: "upper" of the joint below it, "lower" of
        the one above. It is printed as they are.
    count : int
        How many of the stick's pieces are alike.
    """

    part: Part
    like: tuple[str, ...]
    count: int = 1

    @property
    def piece(self) -> Piece:
        """The piece itself."""
        return self.part.pieces[0]


def whole_pieces(
    joint: Joint, shaft: Shaft, length: float, stations: tuple[float, ...]
) -> tuple[WholePiece, ...]:
    """Cut a stick at its joints into whole pieces.

    Parameters
    ----------
    joint : Joint
        Used at all stations.
    shaft : Shaft
        The stick's shaft; a taper runs over the whole length, a waist sits at its station.
    length : float
        Length of the stick. [mm]
    stations : tuple of float
        Stations of the joints, rising, from the tip. [mm]

    Returns
    -------
    pieces : tuple of WholePiece
        From tip to handle; alike ones in a row once, with their number. Foot and handle are not
        in them, and a walled shaft's far ends have no end layers.

    Raises
    ------
    ValueError
        If stations do not rise within the stick, a piece is too short for its joints, or a waist
        lies on a joint.

    Examples
    --------
    >>> from orthofem.parts.joints import PrintedStud
    >>> found = whole_pieces(PrintedStud(), Shaft(32.0), 852.0, (213.0, 426.0, 639.0))
    >>> [(one.piece.name, one.count, one.like) for one in found]
    [('tip', 1, ('lower',)), ('middle', 2, ('upper', 'lower')), ('handle', 1, ('upper',))]
    """
    check_positive("stick length", length, "mm")
    inner = check_finite("stations of the joints", stations).reshape(-1)
    edges = [0.0, *inner.tolist(), float(length)]
    if (np.diff(edges) <= 0).any():
        raise ValueError(
            f"Stations of the joints {inner.tolist()} mm; they must rise and lie between the tip "
            f"at 0 and the stick's length of {length:g} mm."
        )
    number = len(edges) - 1
    found: list[WholePiece] = []
    for k in range(number):
        low, high = edges[k], edges[k + 1]
        made = _whole(joint, shaft, length, (low, high), (k > 0, k < number - 1))
        if found and _alike(found[-1], made):
            found[-1] = replace(found[-1], count=found[-1].count + 1)
        else:
            found.append(made)
    return tuple(_named(found))


def _whole(joint: Joint, shaft: Shaft, length: float, span, ends) -> WholePiece:
    """The piece between two stations, with or without a joint at each of its ends."""
    low, high = span
    long = round(high - low, _DIGITS)
    windows = {(True, True): long / 2, (True, False): long, (False, True): long}
    halves: list[tuple[str, Piece, float]] = []
    try:
        for name, station, here in (("upper", low, ends[0]), ("lower", high, ends[1])):
            if here:
                local = shaft.at(station, length)
                part = joint.part(local, windows[ends])  # type: ignore[attr-defined]
                halves.append((name, part.piece(name), station))
    except ValueError as error:
        raise ValueError(
            f"The piece from {low:g} to {high:g} mm cannot have its joints: {error}"
        ) from error
    if not halves:
        piece = replace(shaft.part(length).pieces[0], name="whole")
        return WholePiece(_part(piece, shaft, ()), ())
    shells = [(piece.solid, station) for _, piece, station in halves]
    cores = [(piece.core, station) for _, piece, station in halves if piece.core is not None]
    walls = shaft.walls or 0.0
    solid = _joined(shells, shaft, length, low, 0.0)
    core = _joined(cores, shaft, length, low, walls) if cores else None
    if shaft.waist is not None:
        reach = joint.end + joint.end_gap
        _check_waist(shaft.waist, shaft, span, [reach * end for end in ends])
        if low < shaft.waist.position < high:
            waist = replace(shaft.waist, position=shaft.waist.position - low)
            solid = Cut(solid, _waist_ring(waist, shaft.radius, long, 0.0))
            core = core and Cut(core, _waist_ring(waist, shaft.radius, long, walls))
    piece = Piece("whole", solid, core)
    reach = joint.end + joint.end_gap
    inward = {"lower": -reach, "upper": reach}
    zones = tuple(
        _zone(joint.core_radius, round(station - low, _DIGITS), inward[name])
        for name, _, station in halves
    )
    return WholePiece(_part(piece, shaft, zones), tuple(name for name, _, _ in halves))


def _joined(halves, shaft: Shaft, length: float, low: float, inset: float) -> Solid:
    """Halves of the window pieces moved to their stations, their skin along the shaft's taper."""
    made: list[Solid] = []
    for solid, station in halves:
        if not isinstance(solid, Revolved):
            raise ModelError(
                f"A whole piece is made from round ones; this joint's are {type(solid).__name__}. "
                "Give the whole piece as a part of your own."
            )
        made.append(Revolved(_placed(solid.outline, shaft, length, (station, low), inset)))
    return made[0] if len(made) == 1 else Fused(tuple(made))


def _placed(outline: Outline, shaft: Shaft, length: float, stations, inset: float) -> Outline:
    """Outline moved from its station to the piece's own x, its skin along the taper."""
    station, low = stations
    end = shaft.outer_diameter if shaft.outer_end is None else shaft.outer_end
    slope = (end - shaft.outer_diameter) / 2 / length
    local = shaft.at(station, length).radius - inset
    shift = round(station - low, _DIGITS)  # so that pieces of one length are alike

    def place(point: Point) -> Point:
        x, r = point
        skin = abs(r - local) < _SAME
        return x + shift, r + slope * x * skin

    return moved(outline, place)


def _waist_ring(waist: Waist, radius: float, long: float, inset: float) -> Revolved:
    """What a waist takes away from the plain shaft, or from what lies `inset` below its skin."""
    outer = radius - inset
    wider = replace(waist, diameter=waist.diameter - 2 * inset, fillet=waist.fillet + inset)
    half = waist.length / 2 + wider.reach(outer)
    pen = Pen(waist.position - half, outer + 1)
    draw_waist(pen, waist, outer, inset, long)
    return Revolved(pen.line(waist.position + half, outer + 1).close())


def _check_waist(waist: Waist, shaft: Shaft, span, keep) -> None:
    half = waist.length / 2 + waist.reach(shaft.radius)
    first, last = waist.position - half, waist.position + half
    low, high = span
    if last <= low or first >= high:
        return
    if first < low + keep[0] or last > high - keep[1]:
        raise ValueError(
            f"The waist reaches from {first:g} to {last:g} mm along the stick, on to the joint of "
            f"the piece from {low:g} to {high:g} mm; move the waist or the joint."
        )


def _part(piece: Piece, shaft: Shaft, zones: tuple[Refinement, ...]) -> Part:
    thinnest = shaft.outer_diameter if shaft.outer_end is None else shaft.outer_end
    feature = 0.4 * min(thinnest, shaft.outer_diameter)
    return Part("whole piece", (piece,), feature=feature, refine=zones)


def _zone(radius: float, station: float, reach: float) -> Refinement:
    """Elements that turn by `ELEMENT_TURN` round stud and socket, so that slopes are measured."""
    return Refinement(NearTube((station, 0, 0), (reach, 0, 0), radius), ELEMENT_TURN * radius)


def _alike(one: WholePiece, other: WholePiece) -> bool:
    return one.like == other.like and one.part == other.part


def _named(found: list[WholePiece]) -> list[WholePiece]:
    """Pieces named tip, middle, handle; several kinds of middle ones numbered."""
    inner = max(len(found) - 2, 0)
    middle = ["middle"] if inner == 1 else [f"middle{k + 1}" for k in range(inner)]
    names = ["whole"] if len(found) == 1 else ["tip", *middle, "handle"]
    return [
        replace(one, part=replace(one.part, pieces=(replace(one.piece, name=name),)))
        for name, one in zip(names, found, strict=True)
    ]
