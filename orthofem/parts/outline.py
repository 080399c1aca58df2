"""Closed outlines of straight lines and circular arcs, in a plane or an (x, r) half plane."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from orthofem.errors import check_finite

Point = tuple[float, float]
_SAME = 1e-9  # two outline points closer than this are one [mm]
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(24)


@dataclass(frozen=True)
class Line:
    """A straight line from the last point to `to` [mm]."""

    to: Point


@dataclass(frozen=True)
class Arc:
    """A circular arc of less than 180 degrees from the last point to `to` round `centre` [mm]."""

    to: Point
    centre: Point


@dataclass(frozen=True)
class Outline:
    """A closed outline: a start point and segments that lead back to it.

    Parameters
    ----------
    start : tuple of 2 floats
        First point. [mm]
    segments : tuple of Line or Arc
        The last one must end at `start`.

    Raises
    ------
    ValueError
        If a number is not finite, a segment has no length, an arc has unequal radii or spans
        180 degrees or more, the outline does not close, or it crosses itself.

    Examples
    --------
    >>> square = Outline((0, 0), (Line((2, 0)), Line((2, 2)), Line((0, 2)), Line((0, 0))))
    >>> square.area
    4.0
    """

    start: Point
    segments: tuple[Line | Arc, ...]

    def __post_init__(self):
        for point in self._numbers():
            check_finite("outline point", point)
        for begin, segment in self.pairs():
            _check_segment(begin, segment)
        if len(self.segments) < 2 or not _same(self.segments[-1].to, self.start):
            last = self.segments[-1].to if self.segments else None
            raise ValueError(
                f"The outline starts at {self.start} and ends at {last}; it must close: "
                "let the last segment end at the start point."
            )
        _check_simple(self.points(12))

    def _numbers(self):
        yield self.start
        for segment in self.segments:
            yield segment.to
            if isinstance(segment, Arc):
                yield segment.centre

    def pairs(self) -> list[tuple[Point, Line | Arc]]:
        """Each segment with the point that it begins at."""
        begins = [self.start, *(segment.to for segment in self.segments[:-1])]
        return list(zip(begins, self.segments, strict=True))

    def points(self, per_arc: int = 12) -> np.ndarray:
        """Points along the outline, arcs cut into `per_arc` chords; shape (2, n), closed [mm]."""
        chain = [np.array(self.start, float)[:, None]]
        for begin, segment in self.pairs():
            steps = np.linspace(0, 1, per_arc + 1)[1:] if isinstance(segment, Arc) else [1.0]
            chain.append(_along(begin, segment, np.asarray(steps, float))[0])
        return np.hstack(chain)

    @property
    def area(self) -> float:
        """Enclosed area [mm2]."""
        return abs(self._integral(1))

    @property
    def moment(self) -> float:
        """First moment of the area about the first axis, for a ring volume of 2 pi times it.

        [mm3]
        """
        return abs(self._integral(2)) / 2

    def _integral(self, power: int) -> float:
        """Integral of (second coordinate)^power along the first coordinate, once round."""
        total = 0.0
        for begin, segment in self.pairs():
            points, rates = _along(begin, segment, (_NODES + 1) / 2)
            total += float((_WEIGHTS / 2 * points[1] ** power * rates[0]).sum())
        return total


def _same(first: Point, second: Point) -> bool:
    return bool(np.hypot(first[0] - second[0], first[1] - second[1]) < _SAME)


def _along(begin: Point, segment: Line | Arc, steps: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Points and derivatives at `steps` between 0 and 1 along a segment, shape (2, n) each."""
    start, end = np.array(begin, float), np.array(segment.to, float)
    if isinstance(segment, Line):
        way = (end - start)[:, None]
        return start[:, None] + way * steps, way * np.ones_like(steps)
    centre = np.array(segment.centre, float)
    radius, first, turn = _sweep(start, end, centre)
    angle = first + turn * steps
    points = centre[:, None] + radius * np.stack([np.cos(angle), np.sin(angle)])
    return points, radius * turn * np.stack([-np.sin(angle), np.cos(angle)])


def _sweep(start: np.ndarray, end: np.ndarray, centre: np.ndarray) -> tuple[float, float, float]:
    """Radius, first angle and signed turn of the arc that is shorter than 180 degrees."""
    first, last = start - centre, end - centre
    turn = np.arctan2(first[0] * last[1] - first[1] * last[0], first @ last)
    return float(np.hypot(*first)), float(np.arctan2(first[1], first[0])), float(turn)


def _check_segment(begin: Point, segment: Line | Arc) -> None:
    if _same(begin, segment.to):
        raise ValueError(f"An outline segment has no length: it begins and ends at {begin}.")
    if isinstance(segment, Line):
        return
    start, end, centre = (np.array(p, float) for p in (begin, segment.to, segment.centre))
    first, last = np.hypot(*(start - centre)), np.hypot(*(end - centre))
    if abs(first - last) > 1e-6 * max(first, last):
        raise ValueError(
            f"The arc from {begin} to {segment.to} round {segment.centre} begins {first:g} mm and "
            f"ends {last:g} mm from its centre; the two must be equal."
        )
    if abs(_sweep(start, end, centre)[2]) > np.pi - 1e-6:
        raise ValueError(
            f"The arc from {begin} to {segment.to} round {segment.centre} spans 180 degrees or "
            "more; cut it into two arcs."
        )


def _check_simple(points: np.ndarray) -> None:
    """Refuse an outline that crosses or touches itself away from shared end points."""
    begin, end = points[:, :-1], points[:, 1:]
    count = begin.shape[1]
    i, j = np.triu_indices(count, 2)
    keep = ~((i == 0) & (j == count - 1))
    i, j = i[keep], j[keep]
    sides = _side(begin[:, i], end[:, i], begin[:, j]) * _side(begin[:, i], end[:, i], end[:, j])
    other = _side(begin[:, j], end[:, j], begin[:, i]) * _side(begin[:, j], end[:, j], end[:, i])
    crossed = np.flatnonzero((sides < 0) & (other < 0))
    if crossed.size:
        where = begin[:, i[crossed[0]]]
        raise ValueError(
            f"The outline crosses itself near ({where[0]:g}, {where[1]:g}) mm; "
            "the dimensions do not fit together."
        )


def _side(begin: np.ndarray, end: np.ndarray, point: np.ndarray) -> np.ndarray:
    way, to = end - begin, point - begin
    value = way[0] * to[1] - way[1] * to[0]
    return np.where(np.abs(value) < 1e-9, 0.0, value)


class Pen:
    """Draws an outline step by step; steps of no length are left out.

    Examples
    --------
    >>> Pen(0, 0).line(3, 0).line(3, 2).line(0, 2).close().area
    6.0
    """

    def __init__(self, x: float, r: float):
        self._points = [(float(x), float(r))]
        self._segments: list[Line | Arc] = []

    @property
    def place(self) -> Point:
        """Where the pen stands [mm]."""
        return self._points[-1]

    def line(self, x: float, r: float) -> Pen:
        """Draw a straight line to (x, r)."""
        return self._add(Line((float(x), float(r))))

    def arc(self, x: float, r: float, centre: Point) -> Pen:
        """Draw the shorter arc to (x, r) round a centre."""
        return self._add(Arc((float(x), float(r)), (float(centre[0]), float(centre[1]))))

    def arcs(self, points: list[Point], centres: list[Point]) -> Pen:
        """Draw a chain of arcs."""
        for point, centre in zip(points, centres, strict=True):
            self.arc(*point, centre)
        return self

    def close(self) -> Outline:
        """Return to the start and give the outline."""
        self.line(*self._points[0])
        return Outline(self._points[0], tuple(self._segments))

    def _add(self, segment: Line | Arc) -> Pen:
        if not _same(self.place, segment.to):
            self._segments.append(segment)
            self._points.append(segment.to)
        return self


def polygon(points: list[Point]) -> Outline:
    """Outline with straight sides through the points, in order.

    Examples
    --------
    >>> polygon([(0, 0), (4, 0), (0, 3)]).area
    6.0
    """
    pen = Pen(*points[0])
    for point in points[1:]:
        pen.line(*point)
    return pen.close()


def mirrored(outline: Outline) -> Outline:
    """Outline mirrored at first coordinate = 0.

    Examples
    --------
    >>> mirrored(polygon([(1, 0), (4, 0), (1, 3)])).start
    (-1.0, 0.0)
    """
    return moved(outline, lambda point: (-point[0], point[1]))


def moved(outline: Outline, place: Callable[[Point], Point]) -> Outline:
    """Outline with every point and arc centre moved, arcs staying arcs.

    Examples
    --------
    >>> moved(polygon([(1, 0), (4, 0), (1, 3)]), lambda p: (p[0] + 2, p[1])).start
    (3.0, 0.0)
    """
    return Outline(
        place(outline.start),
        tuple(
            Arc(place(s.to), place(s.centre)) if isinstance(s, Arc) else Line(place(s.to))
            for s in outline.segments
        ),
    )
