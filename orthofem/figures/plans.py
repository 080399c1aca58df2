"""What the drawings of plans need: a stick with its cuts, and plans against what they cost."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from orthofem.figures.data import Numbers, sized


@dataclass(frozen=True)
class StickPlan:
    """A stick cut into pieces, each printed its way up.

    Parameters
    ----------
    title : str
    outline : ndarray of shape (2, n)
        Station and outer radius. [mm]
    edges : ndarray of shape (m + 1,)
        Ends of the pieces, from tip to handle. [mm]
    upright : ndarray of bool of shape (m,)
        Whether a piece is printed standing, layers across the stick; lying otherwise.
    margin : ndarray of shape (m,)
        Reserve of each piece over the wanted one. [-]
    stud : tuple of float
        How far studs reach toward the tip and toward the handle from each joint, and their
        radius. [mm]
    weakest : float
        Station of the weakest link. [mm]
    words : tuple of str
        Lines that say what it is.
    """

    title: str
    outline: Numbers
    edges: Numbers
    upright: Numbers
    margin: Numbers
    stud: tuple[float, float, float]
    weakest: float
    words: tuple[str, ...]

    def __post_init__(self) -> None:
        """Check the shapes, the order of the pieces, and that margins are numbers above zero."""
        n = len(self.margin)
        sized("StickPlan", "outline", self.outline, (2, np.shape(self.outline)[-1]))
        sized("StickPlan", "edges", self.edges, (n + 1,))
        sized("StickPlan", "upright", self.upright, (n,))
        if not n or (np.diff(self.edges) <= 0).any():
            raise ValueError(
                f"StickPlan: edges are {np.asarray(self.edges)} mm; they must rise from tip to "
                "handle, with one piece at least."
            )
        if not (np.asarray(self.margin) > 0).all():
            raise ValueError("StickPlan: a margin is zero, below, or not a number.")
        if not self.edges[0] <= self.weakest <= self.edges[-1]:
            raise ValueError(
                f"StickPlan: the weakest link at {self.weakest:g} mm is off the stick; give 0 to "
                f"{self.edges[-1]:g} mm."
            )


@dataclass(frozen=True)
class PlanTradeoff:
    """Plans and all that was looked at, against print time and support.

    Parameters
    ----------
    title : str
    margin, hours, support : ndarray of shape (n,)
        Of the undominated plans, the strongest first. [-], [h], [cm3]
    names : tuple of str
        What each plan is, in a few words.
    ways : tuple of str
        Ways up from tip to handle, in letters.
    detailed : ndarray of bool of shape (n,)
        Whether a detailed model has confirmed it.
    others : ndarray of shape (3, m)
        Margin, hours and support of what was judged beside them.
    """

    title: str
    margin: Numbers
    hours: Numbers
    support: Numbers
    names: tuple[str, ...]
    ways: tuple[str, ...]
    detailed: Numbers
    others: Numbers

    def __post_init__(self) -> None:
        """Check the shapes, and that margins are numbers above zero."""
        n = len(self.margin)
        if not n:
            raise ValueError("PlanTradeoff: there is no plan; give one at least.")
        for name in ("hours", "support", "detailed", "names", "ways"):
            sized("PlanTradeoff", name, getattr(self, name), (n,))
        sized("PlanTradeoff", "others", self.others, (3, np.shape(self.others)[-1]))
        if not (np.asarray(self.margin) > 0).all():
            raise ValueError("PlanTradeoff: a margin is zero, below, or not a number.")
