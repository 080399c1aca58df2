"""What the figures of build directions draw, and how a half sphere becomes flat."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from orthofem.figures.data import Numbers, sized

LEAST = 12  # fewer directions make no map


def _checked(owner: str, directions: Numbers, reserve: Numbers, marks: dict) -> None:
    shape = np.shape(directions)
    if len(shape) != 2 or shape[0] != 3 or shape[1] < LEAST:
        raise ValueError(
            f"{owner}: directions have shape {shape}; give (3, n), n at least {LEAST}."
        )
    ways = {"directions": directions, **{f"mark '{name}'": way for name, way in marks.items()}}
    for name, way in ways.items():
        length = np.linalg.norm(np.asarray(way, float), axis=0)
        if not (np.isfinite(length).all() and (length > 0).all()):
            raise ValueError(f"{owner}: {name} holds no direction; give three numbers, not all 0.")
    sized(owner, "reserve", reserve, shape[1:])
    bad = np.flatnonzero(~(np.asarray(reserve, float) > 0))
    if bad.size:
        raise ValueError(
            f"{owner}: reserve factor {bad[0]} is {np.asarray(reserve)[bad[0]]:g}; every one must "
            "be above zero. Leave out directions without an answer."
        )


@dataclass(frozen=True)
class OrientationMap:
    """Reserve factor over all build directions of a piece.

    Parameters
    ----------
    title : str
        Piece and load.
    directions : ndarray of shape (3, n)
        Ways up on the bed, x along the stick; the opposite of each is as strong.
    reserve : ndarray of shape (n,)
        Reserve factor of each. [-]
    mode : sequence of n str
        How it fails, in words.
    impractical : ndarray of bool of shape (n,)
        Directions that the printer or the supports forbid, the cheaper of the two ends counting.
    marks : dict of str to sequence of 3 floats
        Directions to point out: "best", "upright", "lying".
    wanted : float, optional
        Reserve factor wanted. [-]
    why : str
        What makes a direction impractical, in words, for the key.
    """

    title: str
    directions: Numbers
    reserve: Numbers
    mode: tuple[str, ...]
    impractical: Numbers
    marks: dict = field(default_factory=dict)
    wanted: float | None = None
    why: str = "not practical to print"

    def __post_init__(self) -> None:
        """Check that there is one of everything for each direction."""
        _checked("OrientationMap", self.directions, self.reserve, self.marks)
        shape = np.shape(self.reserve)
        sized("OrientationMap", "mode", self.mode, shape)
        sized("OrientationMap", "impractical", self.impractical, shape)


@dataclass(frozen=True)
class OrientationTradeoff:
    """Reserve factor of build directions against what they cost to print.

    Parameters
    ----------
    title : str
        Piece and load.
    directions : ndarray of shape (3, n)
        Ways up on the bed, x along the stick, each the cheaper of its two ends.
    reserve : ndarray of shape (n,)
        Reserve factor. [-]
    support_volume : ndarray of shape (n,)
        Space below overhangs. [mm3]
    height : ndarray of shape (n,)
        Height on the bed. [mm]
    impractical : ndarray of bool of shape (n,)
        Directions that the printer or the supports forbid.
    mode : sequence of n str, optional
        How it fails, in words.
    wanted : float, optional
        Reserve factor wanted. [-]
    why : str
        What makes a direction impractical, in words, for the key.
    """

    title: str
    directions: Numbers
    reserve: Numbers
    support_volume: Numbers
    height: Numbers
    impractical: Numbers
    mode: tuple[str, ...] = ()
    wanted: float | None = None
    why: str = "not practical to print"

    def __post_init__(self) -> None:
        """Check that there is one of everything for each direction."""
        _checked("OrientationTradeoff", self.directions, self.reserve, {})
        shape = np.shape(self.reserve)
        for name in ("support_volume", "height", "impractical"):
            sized("OrientationTradeoff", name, getattr(self, name), shape)
        if len(self.mode):
            sized("OrientationTradeoff", "mode", self.mode, shape)

    @property
    def undominated(self) -> Numbers:
        """Practical directions (n,) that no other practical one beats."""
        kept = np.flatnonzero(~np.asarray(self.impractical, bool))
        costs = np.stack([-np.asarray(self.reserve, float), self.support_volume, self.height])
        out = np.zeros(len(self.reserve), dtype=bool)
        out[kept] = undominated(costs[:, kept])
        return out


def undominated(costs: Numbers) -> Numbers:
    """Choices that no other one beats: none is as good in everything and better in something.

    Parameters
    ----------
    costs : ndarray of shape (k, n)
        Kinds of cost by choices, the less the better.

    Returns
    -------
    best : ndarray of bool of shape (n,)

    Examples
    --------
    >>> undominated(np.array([[1, 2, 3, 3], [3, 1, 1, 2]]))
    array([ True,  True, False, False])
    """
    as_good = (costs[:, :, None] <= costs[:, None, :]).all(axis=0)
    better = (costs[:, :, None] < costs[:, None, :]).any(axis=0)
    return np.logical_not((as_good & better).any(axis=0))


def flattened(directions: Numbers) -> Numbers:
    """Equal-area map of directions about x: x in the middle, the lying ones on a unit circle.

    Parameters
    ----------
    directions : ndarray of shape (3, ...)
        Directions, of any length; -x has no place.

    Returns
    -------
    places : ndarray of shape (2, ...)
        y to the right, z upward.

    References
    ----------
    .. [1] Snyder, "Map projections: a working manual", U.S. Geological Survey Professional Paper
       1395, 1987, Lambert azimuthal equal-area projection.

    Examples
    --------
    >>> flattened(np.array([[1.0, 0, 0], [0, 1, 0], [0, 0, -1]]))
    array([[ 0.,  1.,  0.],
           [ 0.,  0., -1.]])
    """
    unit = directions / np.linalg.norm(directions, axis=0)
    return unit[1:] / np.sqrt(1 + unit[0])


def unflattened(places: Numbers) -> Numbers:
    """Unit vectors (3, ...) of places (2, ...) on the map: `flattened` the other way.

    Examples
    --------
    >>> unflattened(np.array([0.6, 0.0])).round(4)
    array([0.64  , 0.7684, 0.    ])
    """
    square = (places**2).sum(axis=0)
    return np.concatenate([[1 - square], places * np.sqrt(2 - square)])


def upper_half(directions: Numbers) -> Numbers:
    """Directions turned to the end whose x is zero or above."""
    directions = np.asarray(directions, dtype=float)
    return np.where(directions[0] < 0, -directions, directions)


def way_up(direction: Numbers) -> str:
    """How the stick stands on the bed, in words.

    Examples
    --------
    >>> for way in ([1, 0, 0], [-1, 0, 0], [0, -1, 0], [0, 1, 1], [-1, 0, 1]):
    ...     print(way_up(np.array(way)))
    upright
    upright, -x up
    lying, -y up
    lying, 45° from y up
    leaning 45° to z, -x up
    """
    unit = np.asarray(direction, float) / np.linalg.norm(direction)
    lean = np.degrees(np.arccos(np.clip(abs(unit[0]), 0, 1)))
    end = "" if unit[0] > 0 else ", -x up"
    if lean < 1:
        return f"upright{end}"
    turn = np.degrees(np.arctan2(unit[2], unit[1])) % 360
    quarter = round(turn / 90)
    near = abs(turn - 90 * quarter) < 1
    side = ("y", "z", "-y", "-z")[quarter % 4] if near else f"{turn:.0f}° from y"
    return f"lying, {side} up" if lean > 89 else f"leaning {lean:.0f}° to {side}{end}"
