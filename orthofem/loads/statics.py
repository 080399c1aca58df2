"""Point forces on a stick: reactions of its supports, balance, and section resultants."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from orthofem.errors import check_finite
from orthofem.tensors import FloatArray


@dataclass(frozen=True)
class PointLoads:
    """Forces and moments at points of a stick, for several variants of a load at once.

    A load reaches the shaft at its `stations`; it may act off the axis (`points`), as on a
    handle.

    Parameters
    ----------
    points : ndarray of shape (3, n_points, n_variants)
        Where the forces act, part axes. [mm]
    forces, moments : ndarray of shape (3, n_points, n_variants)
        Forces [N] and moments [N mm] on the stick, part axes.
    stations : ndarray of shape (n_points, n_variants)
        Where along x each load enters the shaft. [mm]
    """

    points: FloatArray
    forces: FloatArray
    moments: FloatArray
    stations: FloatArray

    def net(
        self, about: ArrayLike = (0.0, 0.0, 0.0), only: NDArray[np.bool_] | None = None
    ) -> FloatArray:
        """Sum of forces and of moments about a point.

        Parameters
        ----------
        about : array_like of shape (3,) or (3, n_variants)
            Reference point. [mm]
        only : ndarray of shape (n_points, n_variants), optional
            Which loads to count.

        Returns
        -------
        net : ndarray of shape (6, n_variants)
            Fx, Fy, Fz [N], Mx, My, Mz [N mm].
        """
        weight = 1.0 if only is None else only.astype(float)
        reference = np.asarray(about, dtype=float).reshape(3, 1, -1)
        force = self.forces * weight
        moment = self.moments * weight + np.cross(self.points - reference, force, axis=0)
        return np.concatenate([force.sum(axis=1), moment.sum(axis=1)])

    def resultants(self, x: float) -> FloatArray:
        """Force and moment that the handle side exerts on the tip side at a section.

        Parameters
        ----------
        x : float
            Station of the section. Where a load enters just there, the section lies on the
            tip side of it; at the very tip, on the handle side. [mm]

        Returns
        -------
        resultants : ndarray of shape (6, n_variants)
            Fx, Fy, Fz [N], Mx, My, Mz [N mm] about the section centre, part axes.
        """
        beyond = (self.stations >= x) & ((self.stations > 0.0) | (x < 0.0))
        return self.net((x, 0.0, 0.0), only=beyond)

    def joined(self, *others: PointLoads) -> PointLoads:
        """Return these loads and others together, variant by variant."""
        everything = (self, *others)
        n = max(item.forces.shape[2] for item in everything)
        wide = [
            [
                np.broadcast_to(a, (*a.shape[:-1], n))
                for a in (item.points, item.forces, item.moments, item.stations)
            ]
            for item in everything
        ]
        points, forces, moments = (
            np.concatenate([item[k] for item in wide], axis=1) for k in range(3)
        )
        return PointLoads(points, forces, moments, np.concatenate([i[3] for i in wide], axis=0))

    def scaled(self, factor: ArrayLike) -> PointLoads:
        """Return the same loads with forces and moments times a factor per variant."""
        factor = np.asarray(factor, dtype=float)
        return PointLoads(self.points, self.forces * factor, self.moments * factor, self.stations)


def point_load(
    point: ArrayLike,
    force: ArrayLike = (0.0, 0.0, 0.0),
    moment: ArrayLike = (0.0, 0.0, 0.0),
    station: ArrayLike | None = None,
) -> PointLoads:
    """One force and moment at one point, for one or more variants.

    Parameters
    ----------
    point : array_like of shape (3,) or (3, n_variants)
        Where it acts. [mm]
    force, moment : array_like of shape (3,) or (3, n_variants)
        Force [N] and moment [N mm] on the stick.
    station : array_like of shape () or (n_variants,), optional
        Where it enters the shaft; x of the point without it. [mm]

    Returns
    -------
    loads : PointLoads
        The load.

    Examples
    --------
    >>> push = point_load((900, 0, 0), force=(-100, 0, 0))
    >>> push.resultants(450)[0]
    array([-100.])
    """
    columns = [
        check_finite(name, values).reshape(3, -1)
        for name, values in (("point", point), ("force", force), ("moment", moment))
    ]
    n = max(column.shape[1] for column in columns)
    p, f, m = (np.broadcast_to(column, (3, n))[:, None, :] for column in columns)
    where = p[0] if station is None else np.broadcast_to(check_finite("station", station), (1, n))
    return PointLoads(p, f, m, where)


def on_tip_and_hand(loads: PointLoads, length: float) -> PointLoads:
    """Add the reactions of a stick whose tip stands on the floor and whose handle is held.

    The tip holds all three forces and the twist; the hand holds the handle sideways.

    Parameters
    ----------
    loads : PointLoads
        Applied loads.
    length : float
        Station of the handle. [mm]

    Returns
    -------
    balanced : PointLoads
        Applied loads and reactions: their sum is zero.
    """
    net = loads.net()
    zero = np.zeros(net.shape[1])
    hand = np.stack([zero, -net[5] / length, net[4] / length])
    tip = -(net[:3] + hand)
    twist = np.stack([-net[3], zero, zero])
    return loads.joined(
        point_load((length, 0.0, 0.0), hand), point_load((0.0, 0.0, 0.0), tip, twist)
    )


def clamped_at(loads: PointLoads, station: float) -> PointLoads:
    """Add the reactions of a stick clamped at one station.

    Parameters
    ----------
    loads : PointLoads
        Applied loads.
    station : float
        Where it is clamped. [mm]

    Returns
    -------
    balanced : PointLoads
        Applied loads and reactions: their sum is zero.
    """
    about = (station, 0.0, 0.0)
    net = loads.net(about)
    return loads.joined(point_load(about, -net[:3], -net[3:]))


def by_variant(*variants: PointLoads) -> PointLoads:
    """Put loads with the same number of points side by side as variants of one load.

    Raises
    ------
    ValueError
        If they do not have the same number of points.
    """
    counts = {item.forces.shape[1] for item in variants}
    if len(counts) != 1:
        raise ValueError(f"Variants have {sorted(counts)} points; they must have the same number.")
    fields = ("points", "forces", "moments", "stations")
    stacked = []
    for name in fields:
        arrays = [np.asarray(getattr(item, name)) for item in variants]
        widths = [item.forces.shape[-1] for item in variants]
        wide = [np.broadcast_to(a, (*a.shape[:-1], n)) for a, n in zip(arrays, widths, strict=True)]
        stacked.append(np.concatenate(wide, axis=-1))
    return PointLoads(*stacked)
