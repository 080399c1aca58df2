"""A beam along x: nodes, segments between them, joints resolved by a model, and hinges."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import scipy.sparse as sp
from numpy.typing import ArrayLike

from orthofem.errors import check_between, check_positive
from orthofem.loads import JointFlexibility

from .element import (
    PLANES,
    carried,
    element_stiffness,
    geometric_stiffness,
    mass_matrix,
    segment_compliance,
    shape_functions,
    slip_geometric,
)
from .hinge import Hinge
from .sections import Sections

SHAFT_SHARE = 0.98
"""How much of the sections' flexibility that a window allows is kept there, at the most; below
one, so that what is left for the hinge at its middle never has the wrong sign."""

TOUCH = 1e-6  # stations nearer than this are one [mm]


@dataclass(frozen=True)
class Beam:
    """A line of elements, each from a node to the next.

    Parameters
    ----------
    x : ndarray of shape (n,)
        Nodes, not decreasing; two at one station stand on either side of a hinge. [mm]
    unknowns : ndarray of int of shape (n, 6)
        Number of each node's displacement (3) and turn (3); rigid parts of a hinge share one.
    flexibility : ndarray of shape (n - 1, 6, 6)
        Of each element, about its upper end. [mm/N, rad/(N mm)]
    shear : ndarray of shape (n - 1, 2)
        12 EI/(GA L^2) of each element in x-y and x-z. [-]
    inertia : ndarray of shape (n - 1, 2)
        Mass [kg/mm] and polar inertia [kg mm] per length.
    reach : ndarray of shape (n - 1,)
        Of hinges: length that their sideways shift is spread over; zero elsewhere. [mm]
    """

    x: np.ndarray
    unknowns: np.ndarray
    flexibility: np.ndarray = field(repr=False)
    shear: np.ndarray = field(repr=False)
    inertia: np.ndarray = field(repr=False)
    reach: np.ndarray = field(repr=False)

    @property
    def length(self) -> np.ndarray:
        """Length of each element, zero for a hinge. [mm]."""
        return np.diff(self.x)

    @property
    def n_unknowns(self) -> int:
        """Number of displacements and turns."""
        return int(self.unknowns.max()) + 1

    @cached_property
    def element_unknowns(self) -> np.ndarray:
        """Unknowns of each element, shape (n - 1, 12)."""
        return np.concatenate([self.unknowns[:-1], self.unknowns[1:]], axis=1)

    @cached_property
    def element_stiffness(self) -> np.ndarray:
        """Stiffness of each element, shape (n - 1, 12, 12). [N/mm, N, N mm]."""
        return element_stiffness(self.flexibility, self.length)

    @cached_property
    def element_geometric(self) -> np.ndarray:
        """What each newton of tension adds to each element, (n - 1, 12, 12). [1/mm, -, mm]."""
        matrices = geometric_stiffness(self.length, self.shear)
        hinges = self.length == 0
        matrices[hinges] = slip_geometric(self.reach[hinges])
        return matrices

    @cached_property
    def stiffness(self) -> sp.csc_array:
        """Stiffness of the whole beam without supports. [N/mm, N, N mm]."""
        return self._sum(self.element_stiffness)

    def geometric(self, axial: ArrayLike) -> sp.csc_array:
        """Stiffness that axial forces (n - 1,) or () add, tension positive. [N/mm, N, N mm]."""
        force = np.broadcast_to(np.asarray(axial, float), len(self.length))
        return self._sum(self.element_geometric * force[:, None, None])

    @cached_property
    def mass(self) -> sp.csc_array:
        """Consistent mass. [kg, kg mm, kg mm2]."""
        return self._sum(mass_matrix(self.length, self.shear, self.inertia))

    @property
    def total_mass(self) -> float:
        """Mass of the beam. [kg]."""
        return float(self.length @ self.inertia[:, 0])

    def node(self, station: float, above: bool = False) -> int:
        """Node at a station; where there are two, the one toward the tip, or the other.

        Raises
        ------
        ValueError
            If no node stands there.
        """
        found = np.flatnonzero(np.abs(self.x - station) < 2 * TOUCH)
        if not found.size:
            raise ValueError(
                f"No node of the beam stands at {station:g} mm; give the place in "
                "beam(..., stations=...) when it is made."
            )
        return int(found[-1 if above else 0])

    def sideways(self, x: ArrayLike) -> np.ndarray:
        """Matrix (n, 2, n_unknowns) from the unknowns to displacements (y, z) at places (n,)."""
        places = np.asarray(x, dtype=float).reshape(-1)
        for place in places:
            check_between("place on the beam", place, self.x[0] - TOUCH, self.x[-1] + TOUCH, "mm")
        length = self.length
        long = np.flatnonzero(length > 0)
        element = long[np.clip(np.searchsorted(self.x[long], places, "right") - 1, 0, None)]
        s = np.clip((places - self.x[element]) / length[element], 0.0, 1.0)
        out = np.zeros((places.size, 2, self.n_unknowns))
        rows = np.arange(places.size)[:, None]
        for plane, own in enumerate(PLANES):
            shape = shape_functions(s, length[element], self.shear[element, plane])[0].T
            signs = (1.0, -1.0)[plane] ** np.array([0, 1, 0, 1])
            out[rows, plane, self.element_unknowns[element][:, own]] = shape * signs
        return out

    def _sum(self, matrices: np.ndarray) -> sp.csc_array:
        rows = np.broadcast_to(self.element_unknowns[:, :, None], matrices.shape)
        columns = rows.swapaxes(1, 2)
        whole = (matrices.ravel(), (rows.ravel(), columns.ravel()))
        return sp.coo_array(whole, shape=(self.n_unknowns,) * 2).tocsc()


def beam(
    length: float,
    sections: Sections,
    joints: Sequence[JointFlexibility] = (),
    hinges: Sequence[Hinge] = (),
    stations: Sequence[float] = (),
    element: float | None = None,
) -> Beam:
    """Cut a line into elements, with nodes at every place that matters.

    Parameters
    ----------
    length : float
        From the tip at x = 0. [mm]
    sections : Sections
    joints : sequence of JointFlexibility, optional
        Windows whose flexibility a model has found; it replaces that of the sections there.
        End to end it is exact; inside, as much as can be is spread like that of the sections,
        the rest is a hinge at the middle.
    hinges : sequence of Hinge, optional
    stations : sequence of float, optional
        Places that need a node: loads, supports, where results are asked. [mm]
    element : float, optional
        Longest element; a fortieth of the length if not given. [mm]

    Raises
    ------
    ValueError
        If windows overlap or a place is off the line.
    """
    check_positive("length of the beam", length, "mm")
    longest = check_positive("element", length / 40.0 if element is None else element, "mm")
    windows = sorted(joints, key=lambda joint: joint.x_low)
    _check_windows(windows, hinges, length)
    given = [s for s in sections.breaks if 0 < s < length]
    ends = [s for joint in windows for s in (joint.x_low, joint.centre, joint.x_high)]
    for station in stations:
        check_between("station of the beam", station, -TOUCH, length + TOUCH, "mm")
    marks = _distinct([0.0, *given, *ends, *(h.station for h in hinges), *stations, length])
    x = _filled(marks, longest)
    parts = segment_compliance(sections, x[:-1], x[1:])
    bends = [_window(joint, x, parts) for joint in windows]
    return _line(x, parts, [*hinges, *bends])


def _check_windows(windows, hinges, length: float) -> None:
    edges = [0.0, *(s for joint in windows for s in (joint.x_low, joint.x_high)), length]
    if (np.diff(edges) < -TOUCH).any():
        spans = ", ".join(f"{joint.x_low:g}-{joint.x_high:g}" for joint in windows)
        raise ValueError(
            f"joint windows {spans} mm overlap or leave the stick (0 to {length:g} mm); shorten "
            "or move them."
        )
    for hinge in hinges:
        check_between("station of a hinge", hinge.station, TOUCH, length - TOUCH, "mm")
        if any(joint.x_low < hinge.station < joint.x_high for joint in windows):
            raise ValueError(
                f"The hinge at {hinge.station:g} mm lies in a joint window; leave it out, or put "
                "its flexibility into the window's."
            )


def _distinct(places: Sequence[float]) -> np.ndarray:
    """Places in order, those that touch taken as one."""
    ordered = np.sort(np.asarray(places, dtype=float))
    return ordered[np.concatenate([[True], np.diff(ordered) > TOUCH])]


def _filled(marks: np.ndarray, longest: float) -> np.ndarray:
    """Marks with even steps between them, none longer than asked."""
    pieces = [
        np.linspace(low, high, int(np.ceil((high - low) / longest - 1e-9)) + 1)[:-1]
        for low, high in zip(marks[:-1], marks[1:], strict=True)
    ]
    return np.concatenate([*pieces, marks[-1:]])


def _window(joint: JointFlexibility, x: np.ndarray, parts: tuple) -> Hinge:
    """Scale the flexibility of a window's elements; the hinge is what is left of the joint's.

    Changes the first two arrays of `parts` in place, for the elements of the window.
    """
    inside = np.flatnonzero((x[:-1] > joint.x_low - TOUCH) & (x[1:] < joint.x_high + TOUCH))
    plain = np.zeros((6, 6))
    for flexibility, end in zip(parts[0][inside], x[inside + 1], strict=True):
        carry = carried(np.array(joint.centre - end))
        plain += carry.T @ flexibility @ carry
    carry = carried(np.array(joint.centre - joint.x_high))
    whole = carry.T @ joint.matrix @ carry
    whole = (whole + whole.T) / 2.0
    scale = np.sqrt(np.diag(whole))
    ratio = np.linalg.solve(whole / np.outer(scale, scale), plain / np.outer(scale, scale))
    share = SHAFT_SHARE / float(np.abs(np.linalg.eigvals(ratio)).max())
    for target in parts[:2]:
        target[inside] *= share
    return Hinge(joint.centre, whole - share * plain, joint.x_high - joint.x_low)


def _line(x: np.ndarray, parts: tuple, hinges: Sequence[Hinge]) -> Beam:
    """Nodes and elements, a node doubled and an element of no length put in at each hinge."""
    flexibility, plain, inertia = parts
    length = np.diff(x)
    shear = 12.0 * plain[:, [1, 2]] / (plain[:, [5, 4]] * length[:, None] ** 2)
    split = {int(np.argmin(np.abs(x - hinge.station))): hinge for hinge in hinges}
    if len(split) < len(hinges):
        raise ValueError("Two hinges stand at one station; add their flexibilities.")
    nodes, unknowns, rows, count = [], [], [], 0
    for k, place in enumerate(x):
        unknowns.append(np.arange(count, count + 6))
        nodes.append(place)
        count += 6
        if k in split:
            matrix = np.asarray(split[k].flexibility)
            loose = np.abs(matrix).max(axis=1) > 0
            above = unknowns[-1].copy()
            above[loose] = np.arange(count, count + loose.sum())
            count += int(loose.sum())
            unknowns.append(above)
            nodes.append(place)
            rows.append((matrix, np.zeros(2), np.zeros(2), split[k].reach))
        if k < len(x) - 1:
            rows.append((flexibility[k], shear[k], inertia[k], 0.0))
    stacked = (np.array(column) for column in zip(*rows, strict=True))
    return Beam(np.array(nodes), np.array(unknowns), *stacked)
