"""Copies of one option that differ in which way up some of its pieces are printed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from orthofem.errors import unknown
from orthofem.materials import PrintFrame

from .option import Option


def turned_options(option: Option, pieces: Sequence[str], directions: np.ndarray) -> list[Option]:
    """Turned copies of an option, one for each build direction; pieces that touch are bonded.

    Parameters
    ----------
    option : Option
    pieces : sequence of str
        Pieces that turn together.
    directions : ndarray of shape (3, n)
        Build directions in part axes.
    """
    for piece in pieces:
        if piece not in option.prints:
            raise ValueError(unknown(f"piece in option '{option.name}'", piece, option.prints))
        if not option.prints[piece].loaded.printed:
            printed = [name for name, one in option.prints.items() if one.loaded.printed]
            raise ValueError(
                f"'{piece}' of option '{option.name}' is {option.prints[piece].loaded.title}, "
                f"which is not printed: no way up. Choose of: {', '.join(printed)}."
            )
    kept = {name: law for name, law in option.interfaces.items() if not law.splits}
    option = replace(option, interfaces=kept)
    found = []
    for i, build in enumerate(np.asarray(directions, dtype=float).T):
        up = tuple(float(value) for value in build)
        frames = {piece: _standing(option.prints[piece].frame, up) for piece in pieces}
        found.append(option.printed(f"{option.name} {i + 1}", **frames))
    return found


def _standing(frame: PrintFrame, up: tuple) -> PrintFrame:
    """The frame with another build direction; its bead kept where the layer still holds it."""
    bead = frame.bead
    if bead is not None and np.linalg.norm(np.cross(bead, up)) < 1e-6 * np.linalg.norm(bead):
        bead = None
    return replace(frame, build=up, bead=bead)
