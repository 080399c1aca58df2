"""One finding about time or heat: what is carried there, for how long, and how sure that is."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, fields

import numpy as np

from ..evaluate import Answer, Reading
from ..setting import Loading

KINDS = ("fatigue", "sustained", "warming")
_ENTRIES = 2_000_000
"""Stresses looked at in one go."""

Measure = Callable[[np.ndarray], np.ndarray]


@dataclass(frozen=True)
class Lasting:
    """What one load case does to one way of breaking, over time or with heat.

    Parameters
    ----------
    kind : {"fatigue", "sustained", "warming"}
    case, title : str
        Load case.
    what : str
        Way of breaking, or direction.
    piece : str
        Where, or for whom there is no value.
    place : tuple of float
        [mm]
    label : str
        Governing instant, direction or place of the load.
    stress : float
        Averaged stress that is compared, NaN where the comparison is of several. [MPa]
    reserve : float
        Factor on the stress; for fatigue at 90 % survival and the wanted life. NaN: no value. [-]
    wanted : float
        Reserve asked for. [-]
    years : tuple of float
        Life that 90, 50 and 10 % of such parts reach; empty where it makes no sense. [year]
    grade, source : str
        Evidence of what can be borne; the load's own grade stands with the load.
    note : str
        What a reader must know, and what to test.
    proven : bool
        False where no test of such a case is published.
    """

    kind: str
    case: str
    title: str
    what: str
    piece: str
    place: tuple[float, float, float]
    label: str
    stress: float
    reserve: float
    wanted: float
    years: tuple[float, ...]
    grade: str
    source: str
    note: str
    proven: bool = True

    @property
    def known(self) -> bool:
        """Whether there is a value."""
        return not math.isnan(self.reserve)

    @property
    def standing(self) -> str:
        """What the reserve means, without promising anything."""
        if not self.known:
            return "no value: test it"
        unproven = "" if self.proven else " (unproven)"
        if self.reserve < 1.0:
            return f"expect a break{unproven}" if self.kind == "fatigue" else f"too much{unproven}"
        if self.reserve < self.wanted:
            return f"below the reserve of {self.wanted:g} asked for{unproven}"
        return f"has the reserve of {self.wanted:g} asked for{unproven}"

    @classmethod
    def read(cls, kept: dict) -> Lasting:
        """Make a finding of its plain data, as `dataclasses.asdict` or a JSON file gives it."""
        numbers = {f.name: kept[f.name] for f in fields(cls)}
        for name in ("stress", "reserve"):
            numbers[name] = math.nan if numbers[name] is None else float(numbers[name])
        for name in ("place", "years"):
            numbers[name] = tuple(math.nan if v is None else float(v) for v in numbers[name])
        return cls(**numbers)


@dataclass(frozen=True)
class Peak:
    """Where a measure of the stress is largest.

    Parameters
    ----------
    value : float
    place : tuple of float
        [mm]
    label : str
        Column of the loading.
    stress : ndarray of shape (6,)
        There, print axes. [MPa]
    """

    value: float
    place: tuple[float, float, float]
    label: str
    stress: np.ndarray


def peak(answer: Answer, reading: Reading, loading: Loading, measure: Measure) -> Peak | None:
    """Largest value of a measure over a region's places that count and a load's columns.

    Parameters
    ----------
    answer : Answer
    reading : Reading
    loading : Loading
    measure : callable
        From averaged stress (6, n, m) in print axes [MPa] to (n, m).

    Returns
    -------
    peak : Peak or None
        None where no place of the region counts.
    """
    counted = np.flatnonzero(reading.counts)
    if not counted.size:
        return None
    unit = reading.averaged[:, counted]
    step = max(1, _ENTRIES // (6 * counted.size))
    value, point, column = -math.inf, 0, 0
    for start in range(0, loading.shares.shape[1], step):
        values = measure(unit @ loading.shares[:, start : start + step])
        row, place = divmod(int(np.argmax(values)), values.shape[1])
        if values[row, place] > value:
            value, point, column = float(values[row, place]), row, start + place
    x, y, z = answer.model.space.nodes[:, reading.nodes[counted[point]]]
    stress = unit[:, point] @ loading.shares[:, column]
    return Peak(value, (float(x), float(y), float(z)), loading.labels[column], stress)
