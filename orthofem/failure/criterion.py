"""What a failure criterion is: an index and the reserve that goes with it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from orthofem.materials.strengths import Strengths
from orthofem.tensors import FloatArray

StressFunction = Callable[[FloatArray, Strengths], FloatArray]


@dataclass(frozen=True)
class Criterion:
    """A failure criterion.

    Parameters
    ----------
    key, title : str
        Name in the registry, and in words.
    index : callable (stress of shape (6, ...), strengths) -> ndarray of shape (...)
        Failure index of a stress in print axes [MPa]; 1 is failure. [-]
    reserve : callable (stress of shape (6, ...), strengths) -> ndarray of shape (...)
        Factor on the stress that brings the index to 1; infinite where no factor does. [-]
    source : str
        Where the form comes from.
    modes : tuple of int, optional
        Ways of breaking that it sees, as places in `MODES`; all if not given.
    """

    key: str
    title: str
    index: StressFunction
    reserve: StressFunction
    source: str
    modes: tuple[int, ...] | None = None


def reserve_of_square(index: FloatArray) -> FloatArray:
    """Reserve of an index that grows with the square of the load.

    Parameters
    ----------
    index : ndarray of shape (...)
        Index, zero or above. [-]

    Returns
    -------
    reserve : ndarray of shape (...)
        ``1 / sqrt(index)``; infinite where the index is zero. [-]

    Examples
    --------
    >>> reserve_of_square([0.25, 0.0])
    array([ 2., inf])
    """
    with np.errstate(divide="ignore"):
        return 1.0 / np.sqrt(np.asarray(index, dtype=float))


def reserve_of_linear(index: FloatArray) -> FloatArray:
    """Reserve of an index that grows in proportion to the load.

    Parameters
    ----------
    index : ndarray of shape (...)
        Index, zero or above. [-]

    Returns
    -------
    reserve : ndarray of shape (...)
        ``1 / index``; infinite where the index is zero. [-]

    Examples
    --------
    >>> reserve_of_linear([0.25, 0.0])
    array([ 4., inf])
    """
    with np.errstate(divide="ignore"):
        return 1.0 / np.asarray(index, dtype=float)


def reserve_of_polynomial(linear: FloatArray, quadratic: FloatArray) -> FloatArray:
    """Smallest positive factor R with ``quadratic R² + linear R = 1``.

    Parameters
    ----------
    linear, quadratic : ndarray of shape (...)
        Parts of the index that grow with the load and with its square. [-]

    Returns
    -------
    reserve : ndarray of shape (...)
        Root; infinite where there is none. [-]

    Examples
    --------
    >>> reserve_of_polynomial([0.5, -1.0, -1.0], [0.0, 2.0, 0.0])
    array([ 2.,  1., inf])
    """
    linear, quadratic = np.asarray(linear, dtype=float), np.asarray(quadratic, dtype=float)
    inside = linear**2 + 4.0 * quadratic
    root = np.sqrt(np.maximum(inside, 0.0))
    # the larger of two ways to write the root, so that nothing cancels when linear < 0
    with np.errstate(divide="ignore", invalid="ignore"):
        plain = 2.0 / (linear + root)
        other = (root - linear) / (2.0 * quadratic)
    reserve = np.where((linear >= 0) | (quadratic <= 0), plain, other)
    usable = (inside >= 0) & ((linear > 0) | (quadratic > 0))
    return np.where(usable, reserve, np.inf)
