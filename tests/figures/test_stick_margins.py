"""The stick with its margins: what it marks, and data that it refuses."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from matplotlib.patches import Rectangle

from orthofem.figures import stick_margins
from orthofem.figures.reserve_by_option import BARS


def test_bars_reach_from_wanted_to_what_there_is(stick):
    """A bar of each stretch begins at 1 and ends at its margin, in the tone of its state."""
    axes = stick_margins(stick).axes[0]
    bars = [patch for patch in axes.patches if isinstance(patch, Rectangle)]
    np.testing.assert_allclose([bar.get_y() + bar.get_height() for bar in bars], stick.margin)
    np.testing.assert_allclose([bar.get_x() for bar in bars], stick.edges[:-1])
    hatches = [bar.get_hatch() or "" for bar in bars]
    assert hatches == [BARS[k][1] for k in (2, 1, 2, 0, 2)]


def test_words_stand_in_the_picture(stick):
    """The weakest link is named."""
    axes = stick_margins(stick).axes[0]
    assert any("Weakest: joint at 600 mm" in text.get_text() for text in axes.texts)


def test_huge_margins_do_not_squash_the_rest(stick):
    """A margin above ten is drawn as ten."""
    tall = dataclasses.replace(stick, margin=np.array([2.0, 0.8, 900.0, 0.5, 1.2]))
    axes = stick_margins(tall).axes[0]
    bars = [patch for patch in axes.patches if isinstance(patch, Rectangle)]
    assert bars[2].get_y() + bars[2].get_height() == pytest.approx(10.0)


@pytest.mark.parametrize(
    ("field", "value", "match"),
    [
        ("edges", np.array([0.0, 400, 300, 540, 660, 850]), "must rise from tip"),
        ("margin", np.array([2.0, 0.0, 1.6, 0.5, 1.2]), "zero, below, or not a number"),
        ("reserve", np.array([2.0, np.nan, 1.6, 0.5, 1.2]), "zero, below, or not a number"),
        ("weakest", 7, "weakest = 7; give 0 to 4"),
        ("detailed", np.array([True]), "detailed has shape"),
    ],
)
def test_bad_data(stick, field, value, match):
    """Stretches out of order, margins that are none, and a weakest that is not there."""
    with pytest.raises(ValueError, match=match):
        dataclasses.replace(stick, **{field: value})
