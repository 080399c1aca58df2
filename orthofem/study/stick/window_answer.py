"""What a stick needs of a detailed answer: where stress is read, what it yields, how it ends."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from orthofem import failure
from orthofem.materials import Strengths

from ..evaluate import Answer, applicable
from ..section import EndSection, end_section


@dataclass(frozen=True)
class Zone:
    """Unit stresses of one region at the places that count for its verdict.

    Parameters
    ----------
    piece : str
    unit : ndarray of shape (6, n, 6)
        Averaged stress in print axes under each unit resultant. [MPa]
    strengths : Strengths
    """

    piece: str
    unit: np.ndarray
    strengths: Strengths


@dataclass(frozen=True)
class BorderZone:
    """Unit tractions on one border at the places that count.

    Parameters
    ----------
    unit : ndarray of shape (3, n, 6)
        Along the normal and twice on the face, averaged. [MPa]
    tension, shear : ndarray of shape (n,)
        What it bears. [MPa]
    """

    unit: np.ndarray
    tension: np.ndarray
    shear: np.ndarray


@dataclass(frozen=True)
class WindowAnswer:
    """A detailed answer, its mesh and fields let go: a few megabytes where it had hundreds.

    Parameters
    ----------
    about : tuple of float
        Point that the six unit resultants refer to. [mm]
    criteria : tuple of str
    zones : tuple of Zone
    borders : tuple of BorderZone
    flexibility : ndarray of shape (6, 6)
        Of the loaded end against the other. [mm/N, 1/N, ...]
    ends : tuple of EndSection
        Toward the tip and toward the handle.
    """

    about: tuple[float, float, float]
    criteria: tuple[str, ...]
    zones: tuple[Zone, ...]
    borders: tuple[BorderZone, ...]
    flexibility: np.ndarray
    ends: tuple[EndSection, EndSection]

    @staticmethod
    def of(answer: Answer, opposite: str = "lower_end", loaded: str = "upper_end") -> WindowAnswer:
        """Keep what a stick needs.

        Parameters
        ----------
        answer : Answer
            To six unit resultants, pieces bonded.
        opposite, loaded : str, optional
            End surfaces toward the tip and toward the handle.
        """
        zones = tuple(
            Zone(one.piece, one.averaged[:, one.counts], one.print.loaded.strengths)
            for one in answer.readings
            if one.counts.any()
        )
        borders = tuple(
            BorderZone(one.averaged[:, one.counts], one.tension[one.counts], one.shear[one.counts])
            for one in answer.borders
            if one.counts.any()
        )
        ends = tuple(end_section(answer.model, surface) for surface in (opposite, loaded))
        return WindowAnswer(
            answer.responses.about, answer.criteria, zones, borders,
            answer.responses.flexibility, ends,  # type: ignore[arg-type]  # two of them
        )  # fmt: skip

    def verdicts(self, resultants: np.ndarray) -> Iterator[failure.Verdict | failure.BorderVerdict]:
        """Verdict of each zone by each criterion, and of each border, under resultants (6, n)."""
        for zone in self.zones:
            yield from self._of_zone(zone, resultants)
        for one in self.borders:
            yield failure.evaluate_border(one.unit, resultants, one.tension, one.shear)

    def by_piece(self, resultants: np.ndarray) -> dict[str, np.ndarray]:
        """Lowest reserve (n,) in each piece under resultants (6, n), borders left out. [-]."""
        found: dict[str, np.ndarray] = {}
        for zone in self.zones:
            for verdict in self._of_zone(zone, resultants):
                best = found.get(zone.piece, np.inf)
                found[zone.piece] = np.minimum(best, verdict.reserve)
        return found

    def _of_zone(self, zone: Zone, resultants: np.ndarray) -> Iterator[failure.Verdict]:
        for name in applicable(self.criteria, zone.strengths):
            yield failure.evaluate(zone.unit, resultants, zone.strengths, failure.CRITERIA[name])
