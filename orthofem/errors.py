"""Errors and argument checks: what was given, what is allowed, what to do."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from difflib import get_close_matches
from typing import TypeVar

import numpy as np
from numpy.typing import ArrayLike

T = TypeVar("T")


class ModelError(RuntimeError):
    """A model that cannot be built or solved as described, with the reason and the remedy."""


class MissingLibraryError(ImportError):
    """A library that this step needs is not installed, with the line that installs it."""


def pick(choices: Mapping[str, T], name: str, kind: str) -> T:
    """Look a name up among the choices of its kind.

    Parameters
    ----------
    choices : mapping of str to object
        What is allowed, by name.
    name : str
        What was asked for.
    kind : str
        What the names stand for, for the message: "material", "joint", ...

    Returns
    -------
    choice : object
        The chosen object.

    Raises
    ------
    ValueError
        If the name is not among the choices; the message lists them.

    Examples
    --------
    >>> pick({"pla": 1, "petg": 2}, "petg", "material")
    2
    """
    if name in choices:
        return choices[name]
    raise ValueError(unknown(kind, name, choices))


def unknown(kind: str, name: object, choices: Iterable[str]) -> str:
    """Message for a name that is not among the choices: the nearest one first, then all.

    The kind may say where: "piece in option 'a'" puts the name before the place.
    """
    names = sorted(choices)
    near = get_close_matches(str(name), names, n=1)
    hint = f" Did you mean '{near[0]}'?" if near else ""
    what, _, place = kind.partition(" in ")
    where = f" in {place}" if place else ""
    listed = ", ".join(names) or "(none defined)"
    return f"Unknown {what} '{name}'{where}.{hint} Choose one of: {listed}."


def check_finite(name: str, values: ArrayLike) -> np.ndarray:
    """Return `values` as an array of floats; refuse NaN and infinity.

    Raises
    ------
    ValueError
        If any entry is no number, NaN or infinite; the message names the first one.
    """
    try:
        array = np.asarray(values, dtype=float)
    except (TypeError, ValueError) as error:
        raise ValueError(f"{name} = {values!r}; give a number, or numbers of one shape.") from error
    bad = ~np.isfinite(array)
    if bad.any():
        where = tuple(int(i) for i in np.argwhere(bad)[0])
        place = f" at index {where}" if array.ndim else ""
        raise ValueError(f"{name} is {array[where]}{place}; every entry must be a finite number.")
    return array


def check_positive(name: str, value: float, unit: str = "") -> float:
    """Return `value` as a float; refuse what is not a finite number above zero.

    Raises
    ------
    ValueError
        If the value is NaN, infinite, zero or negative.
    """
    number = float(check_finite(name, value))
    if number <= 0:
        raise ValueError(f"{name} = {number:g} {unit}".rstrip() + "; it must be above zero.")
    return number


def check_between(name: str, value: float, low: float, high: float, unit: str = "") -> float:
    """Return `value` as a float; refuse what lies outside `low` to `high`, ends included.

    Raises
    ------
    ValueError
        If the value is not a finite number in the range.
    """
    number = float(check_finite(name, value))
    if not low <= number <= high:
        raise ValueError(
            f"{name} = {number:g} {unit}".rstrip()
            + f"; it must lie between {low:g} and {high:g} {unit}".rstrip()
            + "."
        )
    return number
