"""What the figure of strength against printing costs shows."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from matplotlib.text import Text

from orthofem.figures import FIGURES
from orthofem.figures.directions import undominated
from orthofem.figures.orientation_tradeoff import chosen


def words(artist):
    """All text of a figure in one string."""
    return "\n".join(text.get_text() for text in artist.findobj(Text))


def test_undominated_choices_by_hand():
    """Of five choices in two costs, the three on the lower left border stay; equal ones both."""
    costs = np.array([[1.0, 2, 3, 3, 2], [5.0, 3, 1, 2, 4]])
    assert undominated(costs).tolist() == [True, True, True, False, False]
    assert undominated(np.ones((2, 2))).tolist() == [True, True]


def test_no_undominated_choice_is_beaten(tradeoff):
    """Checked one by one: none practical is as good in all three and better in one."""
    rng = np.random.default_rng(90211)
    data = replace(tradeoff, support_volume=rng.uniform(0, 9e3, 90), height=rng.uniform(9, 99, 90))
    best = data.undominated
    costs = (-data.reserve, data.support_volume, data.height)
    barred = np.asarray(data.impractical)
    assert not (best & barred).any()
    for k in np.flatnonzero(~barred):
        beaten = any(
            all(c[j] <= c[k] for c in costs) and any(c[j] < c[k] for c in costs)
            for j in np.flatnonzero(~barred)
        )  # fmt: skip
        assert best[k] == (not beaten)


def test_two_panels_share_the_reserve_factor(tradeoff):
    """Left over support volume in cubic centimetres, right over height, each direction once."""
    figure = FIGURES["orientation_tradeoff"](tradeoff)
    left, right = figure.axes[:2]
    for axes, cost in ((left, tradeoff.support_volume / 1000), (right, tradeoff.height)):
        drawn = np.concatenate([line.get_xydata() for line in axes.lines[:3]])
        wanted = np.stack([cost, tradeoff.reserve], axis=1)
        assert np.sort(drawn[:, 0] + 1j * drawn[:, 1]) == pytest.approx(
            np.sort(wanted[:, 0] + 1j * wanted[:, 1])
        )
        marks = axes.lines[2].get_xydata()
        assert len(marks) == tradeoff.undominated.sum()
    assert left.get_xlabel() == "support volume [cm³]"
    assert right.get_xlabel() == "height on the bed [mm]"
    assert left.get_ylim() == right.get_ylim()


def test_numbered_choices_stand_in_the_table(tradeoff):
    """The strongest is number 1; numbers stand in both panels, their figures in the table."""
    numbers = chosen(tradeoff)
    best = np.flatnonzero(tradeoff.undominated)
    assert set(numbers) <= set(best)
    assert 2 <= numbers.size <= 7
    assert tradeoff.reserve[numbers[0]] == tradeoff.reserve[best].max()
    assert (np.diff(tradeoff.reserve[numbers]) <= 0).all()
    figure = FIGURES["orientation_tradeoff"](tradeoff)
    for axes in figure.axes[:2]:
        shown = [text.get_text() for text in axes.texts]
        assert shown == [str(k) for k in range(1, numbers.size + 1)]
    table = words(figure.axes[2])
    for number in numbers:
        assert f"{tradeoff.reserve[number]:.3g}" in table
        assert tradeoff.mode[number] in table
    assert "lying" in table


def test_key_tells_what_is_barred_and_wanted(tradeoff):
    """The key names the reason for barring, the line at 1 and the wanted factor."""
    found = words(FIGURES["orientation_tradeoff"](tradeoff))
    for expected in (tradeoff.why, "1: breaks below, holds above", "wanted: 1.25", "undominated"):
        assert expected in found
    plain = replace(tradeoff, wanted=None, impractical=np.zeros(90, bool))
    assert tradeoff.why not in words(FIGURES["orientation_tradeoff"](plain))
    assert "wanted" not in words(FIGURES["orientation_tradeoff"](plain))


def test_nothing_practical_is_said(tradeoff):
    """If no direction is practical the table says so instead of being empty."""
    barred = replace(tradeoff, impractical=np.ones(90, bool))
    assert chosen(barred).size == 0
    assert "No direction is practical." in words(FIGURES["orientation_tradeoff"](barred))


def test_a_single_cost_and_unbreakable_directions_are_drawn(tradeoff):
    """All supports zero, and a factor without end, still make a figure."""
    reserve = np.where(tradeoff.directions[0] < 0.1, np.inf, tradeoff.reserve)
    data = replace(tradeoff, support_volume=np.zeros(90), reserve=reserve, mode=())
    assert "does not break" in words(FIGURES["orientation_tradeoff"](data))


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"support_volume": np.ones(3)}, r"support_volume has shape \(3,\); it must be \(90,\)"),
        ({"height": np.ones(3)}, r"height has shape \(3,\)"),
        ({"impractical": np.ones(3)}, r"impractical has shape \(3,\)"),
        ({"mode": ("crushing",)}, r"mode has shape \(1,\)"),
        ({"reserve": np.zeros(90)}, "reserve factor 0 is 0"),
    ],
)  # fmt: skip
def test_costs_that_do_not_fit_are_refused(tradeoff, change, message):
    """There must be one of everything for each direction."""
    with pytest.raises(ValueError, match=message):
        replace(tradeoff, **change)
