"""How two pieces hold together where they meet, each kind plain data."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from orthofem.errors import check_finite, check_positive

Clearance = float | Callable[[np.ndarray], np.ndarray]
TURNING = ("held", "free")


@dataclass(frozen=True)
class Bonded:
    """One body: nothing opens, nothing slides. The mesh is not split there."""

    splits: ClassVar[bool] = False


@dataclass(frozen=True)
class Glued:
    """Bonded when solved; its strengths are kept, so that the bond can be judged afterwards.

    Parameters
    ----------
    tension, shear : float
        Strength of the bond across and along the interface. [MPa]
    """

    tension: float
    shear: float
    splits: ClassVar[bool] = False

    def __post_init__(self):
        check_positive("tension strength of the glue", self.tension, "MPa")
        check_positive("shear strength of the glue", self.shear, "MPa")


@dataclass(frozen=True)
class Contact:
    """Pieces that press on each other, open and slide; they never pull.

    Parameters
    ----------
    clearance : float or callable, optional
        Distance of the faces across the interface before any load, or a function of points
        (3, ...) that gives it; below zero it is an interference. The mesh is drawn with faces
        that touch. [mm]
    friction : float, optional
        Coefficient of Coulomb friction; 0: none. [-]
    """

    clearance: Clearance = 0.0
    friction: float = 0.0
    splits: ClassVar[bool] = True

    def __post_init__(self):
        if not callable(self.clearance):
            check_finite("clearance", self.clearance)
        _check_friction(self.friction)


@dataclass(frozen=True)
class ThreadTie:
    """A thread without its helix: faces along the axis are tied in its direction only.

    Round the axis those faces press, open and slide freely, as the flanks' slope lets them.
    Faces of the same interface that stand square to the axis (a shoulder) are in plain contact,
    without friction.

    Parameters
    ----------
    axis : array of shape (3,), optional
        Direction of the screw's axis, which runs through the middle of the thread.
    pull : float, optional
        By how much tightening draws the two pieces together along the axis. [mm]
    turning : str, optional
        "held": the thread does not turn, on average over its face, and the torque that this takes
        is told. "free": it does.
    clearance : float or callable, optional
        Play of the thread across its axis, as a distance of the faces. [mm]
    seat_clearance : float or callable, optional
        Distance of the faces that stand square to the axis. [mm]
    """

    axis: tuple[float, float, float] = (1.0, 0.0, 0.0)
    pull: float = 0.0
    turning: str = "held"
    clearance: Clearance = 0.0
    seat_clearance: Clearance = 0.0
    splits: ClassVar[bool] = True

    def __post_init__(self):
        if check_finite("thread axis", self.axis).shape != (3,) or not np.any(self.axis):
            raise ValueError(f"thread axis = {self.axis}; give a direction of three numbers.")
        if check_finite("pull of the thread", self.pull) < 0:
            raise ValueError(
                f"pull = {self.pull:g} mm; tightening draws pieces together: not below zero."
            )
        if self.turning not in TURNING:
            raise ValueError(f"turning = '{self.turning}'; choose one of: {', '.join(TURNING)}.")
        for name in ("clearance", "seat_clearance"):
            if not callable(getattr(self, name)):
                check_finite(name, getattr(self, name))


Law = Bonded | Glued | Contact | ThreadTie


def to_split(laws: Mapping[str, Law]) -> list[str]:
    """Names of the interfaces that the mesh must be split along.

    Examples
    --------
    >>> to_split({"a|b": Contact(), "b|c": Bonded()})
    ['a|b']
    """
    return [name for name, law in laws.items() if law.splits]


def _check_friction(value: float) -> None:
    if check_finite("friction", value) < 0:
        raise ValueError(f"friction = {value:g}; a coefficient of friction is not below zero.")
