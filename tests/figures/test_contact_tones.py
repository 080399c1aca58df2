"""Tones of pressure on an interface: even steps, or doubling ones where a rim presses most."""

from __future__ import annotations

import numpy as np
import pytest

from orthofem import figures


def labels(pressure):
    """Return labels and ticks of the bars of a drawn interface with these pressures."""
    n = len(pressure)
    corners = np.stack([np.arange(n)[:, None] + [0, 1, 0], np.tile([0, 0, 1.0], (n, 1))])
    picture = figures.ContactPicture(
        "t", corners, np.asarray(pressure), np.ones(n), ("x [mm]", "y [mm]"), True
    )
    drawn = figures.FIGURES["contact_interface"](picture)
    drawn.canvas.draw()
    bars = [a for a in drawn.axes if "[MPa]" in a.get_xlabel() + a.get_title()]
    return bars[0].get_xlabel(), [float(t) for t in bars[0].get_xticks()]


def test_even_pressure_has_even_steps():
    """Values spread over the range: steps of one size."""
    words, ticks = labels(np.linspace(1.0, 70.0, 30))
    assert words == "pressure [MPa]"
    assert np.diff(ticks) == pytest.approx(np.diff(ticks)[0])


def test_a_rim_that_presses_most_has_doubling_steps():
    """A few large values among many small ones: each tone stands for twice the one before."""
    words, ticks = labels(np.concatenate([np.full(30, 3.0), [200.0, 190.0]]))
    assert words == "pressure [MPa], each tone doubles"
    assert np.divide(ticks[2:], ticks[1:-1]) == pytest.approx(2.0)
    assert ticks[0] == 0
    assert ticks[1] >= 200.0 / 64
    assert ticks[-1] >= 200.0
