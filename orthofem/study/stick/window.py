"""A place of the stick that a detailed model has resolved: a joint, or a waist."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from orthofem.errors import ModelError, check_finite
from orthofem.loads import JointFlexibility

from ..evaluate import Answer
from ..section import EndSection
from ..setting import moved_reference
from .nominal import Stand, words
from .window_answer import WindowAnswer


@dataclass(frozen=True)
class DetailWindow:
    """A detailed answer and the station of the stick that it stands for.

    Parameters
    ----------
    station : float
        Where the part's own `centre` sits on the stick. [mm]
    answer : Answer or WindowAnswer
        Solved for the six unit resultants at that centre, as a ``StickWindow`` does.
    centre : float, optional
        Where on the part's own x axis. [mm]
    loaded, opposite : str, optional
        End surfaces of an Answer toward the handle and toward the tip.
    flexibility : ndarray of shape (6, 6), optional
        Motion of the upper end per unit resultant at the centre, where it is not that of the
        answer: a joint as loaded, with its faces in contact. [mm/N, rad/(N mm)]
    name : str, optional
        What it is, in words.
    """

    station: float
    answer: Answer | WindowAnswer
    centre: float = 0.0
    loaded: str = "upper_end"
    opposite: str = "lower_end"
    flexibility: np.ndarray | None = None
    name: str = "joint"

    def __post_init__(self):
        check_finite("station of a window", self.station)
        if isinstance(self.answer, Answer) and self.answer.contact is not None:
            raise ValueError(
                f"The answer for {self.station:g} mm has pieces in contact: it stands for the "
                "loads that were solved, not for those of a whole stick. Give the bonded answer, "
                "and flexibility=answer.contact.flexibility of the one in contact."
            )
        about = self.seen.about
        if not np.allclose(about, (self.centre, 0, 0), atol=1e-6):
            raise ValueError(
                f"The answer for {self.station:g} mm was solved about {about} mm, its window is "
                f"centred at x = {self.centre:g} mm; give centre={about[0]:g}."
            )

    @cached_property
    def seen(self) -> WindowAnswer:
        """What of the answer the stick needs."""
        if isinstance(self.answer, WindowAnswer):
            return self.answer
        return WindowAnswer.of(self.answer, self.opposite, self.loaded)

    def ends(self) -> tuple[EndSection, EndSection]:
        """Sections at the end toward the tip and toward the handle."""
        return self.seen.ends

    @property
    def span(self) -> tuple[float, float]:
        """Stations of its two ends. [mm]."""
        shift = self.station - self.centre
        low, high = (end.station + shift for end in self.seen.ends)
        return low, high

    @property
    def joint(self) -> JointFlexibility:
        """What the window yields, for the beam."""
        low, high = self.span
        matrix = self.seen.flexibility if self.flexibility is None else self.flexibility
        return JointFlexibility(low, high, moved_reference(matrix, high - self.station))

    def stand(self, resultants: np.ndarray) -> Stand:
        """Lowest reserve over regions, criteria and borders, of each variant.

        Parameters
        ----------
        resultants : ndarray of shape (6, n_variants)
            At the window's centre. [N, N mm]
        """
        if not self.seen.zones:
            raise ModelError(f"The window at {self.station:g} mm has no place to read stress at.")
        lowest, modes = np.full(resultants.shape[1], np.inf), np.full(resultants.shape[1], -1)
        for found in self.seen.verdicts(resultants):
            better = found.reserve < lowest
            lowest = np.where(better, found.reserve, lowest)
            modes = np.where(better, found.mode, modes)
        return Stand(lowest, words(modes))


def check_windows(windows, sections, length: float) -> tuple[str, ...]:
    """Notes where a window's end sections are not those of the pieces that it sits in."""
    notes = []
    for window in windows:
        low, high = window.span
        if low < -1e-6 or high > length + 1e-6:
            raise ValueError(
                f"The window {low:g} to {high:g} mm leaves the stick (0 to {length:g} mm); use a "
                "shorter window or move the joint."
            )
        there = [float(sections.at(station)[5, 0]) for station in (low + 1e-3, high - 1e-3)]
        taper = math.sqrt(max(there) / min(there))  # a window of one diameter stands in a taper
        for end, shaft in zip(window.ends(), there, strict=True):
            if abs(math.log(end.bending / shaft)) > math.log(1.05 * taper):
                notes.append(
                    f"the window at {window.station:g} mm ends in a section {end.bending:.3g} "
                    f"N mm2 stiff in bending, the piece there has {shaft:.3g}: they are not of "
                    "the same stick"
                )
    return tuple(notes)
