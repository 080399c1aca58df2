"""A whole stick turned into the plain data that its figure draws."""

from __future__ import annotations

import numpy as np

from orthofem.figures.margins import StickMargins
from orthofem.study.stick import StickResult


def stick_margins_picture(result: StickResult, title: str = "") -> StickMargins:
    """Margins along the stick, each stretch with the load that governs it.

    Parameters
    ----------
    result : StickResult
    title : str, optional
        The stick in words; its weakest link if not given.
    """
    rows = result.by_station
    least = {
        row.station: min(r.with_bowing for r in result.counted if r.station == row.station)
        for row in rows
    }
    weakest = result.weakest
    return StickMargins(
        title=title or f"Weakest link: {weakest.place} at {weakest.station:.0f} mm",
        outline=result.outline,
        joints=result.joints,
        edges=_edges(rows, result.stick.length),
        margin=np.array([row.margin for row in rows]),
        reserve=np.array([least[row.station] for row in rows]),
        detailed=np.array([row.basis == "detailed model" for row in rows]),
        weakest=[row.station for row in rows].index(weakest.station),
        words=(
            f"Weakest: {weakest.place} at {weakest.station:.0f} mm, {weakest.how}",
            weakest.title,
            f"stands {weakest.with_bowing:.2g} times this load; {weakest.wanted:g} times wanted",
        ),
    )


def _edges(rows, length: float) -> np.ndarray:
    """Ends of the stretches, gaps between two shared by both. [mm]."""
    between = [(a.high + b.low) / 2.0 for a, b in zip(rows[:-1], rows[1:], strict=True)]
    between = [min(max(x, a.station), b.station) for x, a, b in
               zip(between, rows[:-1], rows[1:], strict=True)]  # fmt: skip
    return np.array([0.0, *between, length])
