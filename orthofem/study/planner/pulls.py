"""What pulls on the stick all along it, for every load case, wherever it is cut."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from orthofem.loads import LoadCase, StickStiffness

from ..stick import StickPiece, WholeStick, line_stiffness
from ..stick.nominal import Stand
from ..stick.places import places_of, read_place
from ..stick.whole import counts, stick_line
from .wish import Wish

_APART = 50.0  # between heights that a blow may strike, standing for a joint at any of them [mm]


@dataclass(frozen=True)
class Pull:
    """Resultants of one load case over stations.

    Parameters
    ----------
    case : LoadCase
    resultants : ndarray of shape (n_stations, 6, n_variants)
        [N, N mm]
    """

    case: LoadCase
    resultants: np.ndarray

    def margin(self, reserve: Callable[[np.ndarray], np.ndarray]) -> np.ndarray:
        """Least reserve over the wanted one at each station, (n_stations,). [-].

        Parameters
        ----------
        reserve : callable
            From resultants (6, n) to reserves (n,); asked for all stations at once.
        """
        n, _, variants = self.resultants.shape
        columns = self.resultants.transpose(1, 0, 2).reshape(6, -1)
        return reserve(columns).reshape(n, variants).min(axis=1) / self.case.factor


def counted(cases: Sequence[LoadCase]) -> list[LoadCase]:
    """Cases that count for the weakest link; all of them where all are only reported."""
    return [case for case in cases if counts(case)] or list(cases)


def pulls(cases: Sequence[LoadCase], stations: np.ndarray, stiffness: StickStiffness) -> list[Pull]:
    """Resultants of the cases that count, at stations (n,)."""
    return [
        Pull(case, np.stack([case.resultants(float(x), stiffness) for x in stations]))
        for case in counted(cases)
    ]


def anywhere(wish: Wish, stiffness: StickStiffness, stations: np.ndarray) -> list[Pull]:
    """Resultants at stations with a joint possibly anywhere: blows strike at many heights."""
    struck = np.arange(_APART, wish.length - 1.0, _APART)
    return pulls(wish.built(wish.stick(tuple(struck.tolist()))), stations, stiffness)


def stiffness_of_stick(question: WholeStick) -> StickStiffness:
    """How stiff a stick is sideways, joints included."""
    return line_stiffness(question.stick, stick_line(question, question.built()))


def plain_stiffness(wish: Wish, way: str) -> StickStiffness:
    """The same without joints, printed one way up."""
    piece = _one_piece(wish, way)
    question = WholeStick(wish.person, wish.stick(), (piece,), (), wish.cases,
                          criteria=wish.criteria)  # fmt: skip
    return stiffness_of_stick(question)


@dataclass(frozen=True)
class ShaftMargins:
    """Margin of the plain shaft along the stick, printed one way up.

    Parameters
    ----------
    stations : ndarray of shape (n,)
        [mm]
    margin : ndarray of shape (n,)
        [-]
    """

    stations: np.ndarray
    margin: np.ndarray

    def least(self, low: float, high: float) -> float:
        """Least margin between two stations, both included; inf where nothing is read."""
        inside = (self.stations >= low) & (self.stations <= high)
        return float(self.margin[inside].min(initial=np.inf))


def shaft_margins(wish: Wish, way: str, stiffness: StickStiffness) -> ShaftMargins:
    """Margin of shaft and waist, by nominal stress and the estimate for fillets."""
    piece = _one_piece(wish, way)
    places = places_of([piece], (), wish.length)
    x = np.array([place.station for place in places])
    pulled = anywhere(wish, stiffness, x)
    margin = np.full(x.size, np.inf)
    for k, place in enumerate(places):
        read = read_place(place, wish.criteria)
        for pull in pulled:
            one = replace(pull, resultants=pull.resultants[k : k + 1])
            margin[k] = min(margin[k], one.margin(partial(reserve_read, read))[0])
    return ShaftMargins(x, margin)


def reserve_read(read: Callable[[np.ndarray], Stand], resultants: np.ndarray) -> np.ndarray:
    """Reserves (n,) that a place's reader gives for resultants (6, n). [-]."""
    return read(resultants).reserve


def _one_piece(wish: Wish, way: str) -> StickPiece:
    shaft = wish.piece_shaft(0.0, wish.length)
    return StickPiece(0.0, wish.length, shaft, wish.print_way(way), wish.core_way(way))
