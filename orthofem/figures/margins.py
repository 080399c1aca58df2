"""What the drawing of a whole stick needs: its outline, and how much each stretch has to spare."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from orthofem.figures.data import Numbers, sized


@dataclass(frozen=True)
class StickMargins:
    """A stick from tip to handle, with its margin along its length.

    Parameters
    ----------
    title : str
    outline : ndarray of shape (2, n)
        Station and outer radius. [mm]
    joints : tuple of float
        Stations of the joints. [mm]
    edges : ndarray of shape (m + 1,)
        Ends of the stretches, rising from tip to handle. [mm]
    margin : ndarray of shape (m,)
        Reserve factor over the wanted one, least of all loads. [-]
    reserve : ndarray of shape (m,)
        Least reserve factor of all loads. [-]
    detailed : ndarray of bool of shape (m,)
        Whether it comes from a detailed model; an estimate from the section elsewhere.
    weakest : int
        Stretch with the least margin.
    words : tuple of str
        Lines that say what the weakest link is.
    """

    title: str
    outline: Numbers
    joints: tuple[float, ...]
    edges: Numbers
    margin: Numbers
    reserve: Numbers
    detailed: Numbers
    weakest: int
    words: tuple[str, ...]

    def __post_init__(self) -> None:
        """Check the shapes, the order of the stretches, and that margins are above zero."""
        n = len(self.margin)
        sized("StickMargins", "outline", self.outline, (2, np.shape(self.outline)[-1]))
        sized("StickMargins", "edges", self.edges, (n + 1,))
        sized("StickMargins", "reserve", self.reserve, (n,))
        sized("StickMargins", "detailed", self.detailed, (n,))
        if not n or (np.diff(self.edges) < 0).any():
            raise ValueError(
                f"StickMargins: edges are {np.asarray(self.edges)} mm; they must rise from tip to "
                "handle, with one stretch at least."
            )
        if not (np.asarray(self.margin) > 0).all() or not (np.asarray(self.reserve) > 0).all():
            raise ValueError("StickMargins: a margin or reserve is zero, below, or not a number.")
        if not 0 <= self.weakest < n:
            raise ValueError(f"StickMargins: weakest = {self.weakest}; give 0 to {n - 1}.")

    @property
    def middles(self) -> Numbers:
        """Middle of each stretch. [mm]."""
        return (self.edges[1:] + self.edges[:-1]) / 2.0
