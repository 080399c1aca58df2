"""How a piece lies in the printer: which way is up and where the beads run."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from orthofem.errors import check_finite, unknown
from orthofem.tensors import FloatArray, direction, frame

BEADS = ("along", "around", "alternating")
_TINY = 1e-9


@dataclass(frozen=True)
class PrintFrame:
    """Build direction and bead directions of a printed piece, in part axes.

    Parameters
    ----------
    build : tuple of three float
        Build direction (layer normal), any length. An upright stick: (1, 0, 0). [-]
    bead : tuple of three float, optional
        Bead direction; its part in the layer counts. Without it, a part axis close to the
        layer. Not used for "around", except on the winding axis itself. [-]
    beads : {"along", "around", "alternating"}
        Along: all beads run along `bead`. Around: perimeters, wound round the line through
        `centre` along `axis`. Alternating: layers at 0 and 90 degrees from `bead` in turn.
    centre : tuple of three float
        A point of the winding axis. [mm]
    axis : tuple of three float
        Direction of the winding axis (the axis of the round outline). [-]

    Examples
    --------
    >>> upright = PrintFrame(build=(1, 0, 0))
    >>> upright.axes()[:, 2]
    array([1., 0., 0.])
    >>> wound = PrintFrame(build=(1, 0, 0), beads="around")
    >>> wound.axes([[0.0], [5.0], [0.0]])[:, 0, 0]
    array([0., 0., 1.])
    """

    build: tuple[float, float, float] = (1.0, 0.0, 0.0)
    bead: tuple[float, float, float] | None = None
    beads: str = "along"
    centre: tuple[float, float, float] = (0.0, 0.0, 0.0)
    axis: tuple[float, float, float] = (1.0, 0.0, 0.0)

    def __post_init__(self):
        if self.beads not in BEADS:
            raise ValueError(unknown("bead layout", self.beads, BEADS))
        frame(self.build, self.bead)
        direction("winding axis", self.axis)
        if check_finite("centre", self.centre).shape != (3,):
            raise ValueError(f"centre = {self.centre}; it must be three numbers (x, y, z).")

    def axes(self, points: ArrayLike | None = None) -> FloatArray:
        """Print axes 1, 2, 3 as columns, in part axes.

        Parameters
        ----------
        points : array_like of shape (3, ...), optional
            Places at which to say where the bead runs; needed for "around" only. [mm]

        Returns
        -------
        R : ndarray of shape (3, 3), or (3, 3, ...) for "around"
            Print axes. For "alternating", those of the layers at 0 degrees. [-]

        Raises
        ------
        ValueError
            If beads run around an axis and no points are given.
        """
        constant = frame(self.build, self.bead)
        if self.beads != "around":
            return constant
        if points is None:
            raise ValueError(
                "beads='around' have another direction at every point; give points of "
                "shape (3, ...)."
            )
        points = check_finite("points", points)
        if points.ndim == 0 or points.shape[0] != 3:
            raise ValueError(f"points have shape {points.shape}; it must be (3, ...).")
        return self._wound(points, constant)

    def _wound(self, points: FloatArray, constant: FloatArray) -> FloatArray:
        """Print axes whose bead lies in the layer and in the round outline through each point."""
        flat = points.reshape(3, -1)
        up, axis = constant[:, 2], direction("winding axis", self.axis)
        arm = flat - np.asarray(self.centre, dtype=float)[:, None]
        radial = arm - np.outer(axis, axis @ arm)
        length = np.linalg.norm(radial, axis=0)
        size = max(float(np.abs(arm).max(initial=0.0)), 1.0)
        on_axis = length <= _TINY * size
        radial = radial / np.where(on_axis, 1.0, length)
        bead = np.cross(up, radial, axis=0)
        steep = np.linalg.norm(bead, axis=0) <= _TINY
        bead[:, on_axis | steep] = self._fallback(axis, constant)[:, None]
        bead /= np.linalg.norm(bead, axis=0)
        across = np.cross(up, bead, axis=0)
        R = np.stack([bead, across, np.broadcast_to(up[:, None], bead.shape)], axis=1)
        return R.reshape(3, 3, *points.shape[1:])

    def _fallback(self, axis: FloatArray, constant: FloatArray) -> FloatArray:
        """Bead where the outline gives none: the winding axis laid into the layer, or `bead`."""
        up = constant[:, 2]
        laid = axis - (axis @ up) * up
        return laid if np.linalg.norm(laid) > 1e-6 else constant[:, 0]
