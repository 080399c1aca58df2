"""Which things hang together, told by pairs of neighbours."""

from __future__ import annotations

import numpy as np


def connected(count: int, first: np.ndarray, second: np.ndarray) -> np.ndarray:
    """Label each of `count` things by the least number it hangs together with.

    Parameters
    ----------
    count : int
        How many things there are.
    first, second : ndarray of shape (n_pairs,)
        Pairs of neighbours.

    Returns
    -------
    label : ndarray of shape (count,)
        Equal for things that hang together.

    Examples
    --------
    >>> connected(5, np.array([3, 1]), np.array([1, 0]))
    array([0, 0, 2, 0, 4])
    """
    label = np.arange(count)
    while True:
        least = np.minimum(label[first], label[second])
        new = label.copy()
        # the least label goes to both neighbours and to the labels they had
        for target in (first, second, label[first], label[second]):
            np.minimum.at(new, target, least)
        new = new[new]
        if np.array_equal(new, label):
            return label
        label = new
