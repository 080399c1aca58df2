"""The strength that a way of breaking rests on, as the piece's material names it."""

from __future__ import annotations

import numpy as np

from orthofem.failure import BEHIND
from orthofem.materials.values import Value

from .option import Print

ACROSS = 0.7
"""Cosine between build direction and axis from which a push along the axis crosses the layers."""


def strength_behind(mode: str, printed: Print) -> tuple[str, Value | None]:
    """Name of the strength behind a mode, and its value; nothing where the material has none.

    A piece that is crushed along the stick rests on Zc where it was printed upright.

    Parameters
    ----------
    mode : str
        One of ``failure.MODES``, or what else an estimate tells.
    printed : Print
        Of the piece that breaks.
    """
    names = BEHIND.get(mode, ())
    if mode == "crushing" and _crosses(printed):
        names = names[::-1]
    values = printed.loaded.values
    for name in names:
        if isinstance(values.get(name), Value):
            return name, values[name]
    return "", None


def _crosses(printed: Print) -> bool:
    build = np.asarray(printed.frame.build, dtype=float)
    return bool(abs(build[0]) > ACROSS * np.linalg.norm(build))
