"""One number of a material, with where it comes from and how far to trust it."""

from __future__ import annotations

import math
from dataclasses import dataclass

GRADES = {
    "P": "published, checked against the publication",
    "S": "published, seen only in a secondary source",
    "M-h": "from memory, high confidence",
    "M-m": "from memory, medium confidence",
    "M-l": "from memory, low confidence: not a check value",
    "D": "derived by algebra alone",
    "F": "recomputed with an independent code",
    "E": "engineering estimate, with its reason",
    "C": "common practice of the trade",
}
ALLOWED = (*GRADES, *(f"D({grade})" for grade in GRADES if grade not in ("D", "F")))
NOT_A_CHECK_VALUE = "not a check value"
# weakest last: a derived number is no better than its weakest input
_STRENGTH_OF_EVIDENCE = ("D", "F", "P", "S", "M-h", "M-m", "C", "E", "M-l")


@dataclass(frozen=True)
class Value:
    """A number with its evidence.

    Parameters
    ----------
    mean : float
        The number, in `unit`. Infinite where a material does not fail that way.
    grade : str
        Evidence grade: P, S, M-h, M-m, M-l, D, F, E, C, or D(...) for a number derived from
        weaker ones.
    source : str
        Publication, or the reason of an estimate.
    unit : str
        "MPa", "-", "g/cm3", "degC", "mm", "MPa sqrt(mm)", "1/K".
    condition : str
        State of the material and the test.
    low, high : float, optional
        Range that the sources support. [unit]
    cov : float, optional
        Scatter as standard deviation over mean. [-]
    note : str
        Anything the reader must know.

    Examples
    --------
    >>> Value(22.8, "P", "Perez et al. 2021", "MPa").grade
    'P'
    """

    mean: float
    grade: str
    source: str
    unit: str
    condition: str = ""
    low: float | None = None
    high: float | None = None
    cov: float | None = None
    note: str = ""

    def __post_init__(self):
        check_grade(self.grade)
        if not self.source.strip():
            raise ValueError("source is empty; name the publication, or the reason of an estimate.")
        if math.isnan(self.mean):
            raise ValueError("value is NaN; leave the field out where there is no number.")
        if "M-l" in self.grade and NOT_A_CHECK_VALUE not in self.note:
            raise ValueError(f"grade {self.grade} needs a note that says '{NOT_A_CHECK_VALUE}'.")
        low = -math.inf if self.low is None else self.low
        high = math.inf if self.high is None else self.high
        if not low <= self.mean <= high:
            raise ValueError(f"value {self.mean:g} lies outside its own range {low:g} to {high:g}.")
        if self.cov is not None and not 0 <= self.cov < 1:
            raise ValueError(f"cov = {self.cov:g}; scatter must lie between 0 and 1.")


def check_grade(grade: str) -> str:
    """Return the evidence grade; refuse one that is not on the list.

    Raises
    ------
    ValueError
        If the grade is unknown; the message lists the grades.
    """
    if grade not in ALLOWED:
        raise ValueError(f"grade '{grade}' is unknown; choose one of: {', '.join(ALLOWED)}.")
    return grade


def derived(*grades: str) -> str:
    """Grade of a number derived from others: D(weakest of them).

    Parameters
    ----------
    *grades : str
        Grades of the inputs; D(...) counts as what stands in the brackets.

    Returns
    -------
    grade : str
        D if all inputs are algebra, else D(weakest).

    Examples
    --------
    >>> derived("P", "E"), derived("D(M-m)", "S"), derived("D")
    ('D(E)', 'D(M-m)', 'D')
    """
    inner = [check_grade(grade).removeprefix("D(").rstrip(")") for grade in grades]
    weakest = max(inner, key=_STRENGTH_OF_EVIDENCE.index)
    if weakest in ("D", "F"):
        return "D"
    return f"D({weakest})"
