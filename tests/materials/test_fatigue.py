"""S-N form: survival, share of strength, infill."""

from __future__ import annotations

import numpy as np
import pytest

from orthofem.materials import REPEATED, infill_power, infill_share

CURVE = REPEATED["pla"]


@pytest.mark.parametrize("survival", [0.9, 0.5, 0.1])
def test_life_and_stress_are_inverse(survival):
    """The stress borne for a number of cycles is borne for just that number."""
    for cycles in (1e4, 1e6, 2e6):
        stress = float(CURVE.largest_stress(cycles, survival))
        assert CURVE.bearable_cycles(stress, survival) == pytest.approx(cycles)


def test_scatter_of_life_is_that_of_stress_to_the_slope():
    """Lives at 90 and 10 % survival differ by T to the power k."""
    few, many = (CURVE.bearable_cycles(12.0, s) for s in (0.9, 0.1))
    assert many / few == pytest.approx(CURVE.scatter**CURVE.slope)


def test_an_odd_survival_is_refused():
    """Only the three survivals of the source are known."""
    with pytest.raises(ValueError, match=r"survival = 0\.99"):
        CURVE.bearable_cycles(12.0, 0.99)


def test_infill_share_is_the_lowest_series_and_whole_when_solid():
    """At the fills tested it is the lowest ratio of the three series; solid is 1."""
    assert infill_share(1.0) == 1.0
    assert infill_share(0.4) == pytest.approx(1.3 / 6.3)
    assert infill_share(0.2) == pytest.approx(0.8 / 3.9)
    assert (np.diff([infill_share(r) for r in (0.4, 0.5, 0.7, 0.9, 1.0)]) > 0).all()


@pytest.mark.parametrize("fill", [0.1, 1.2, np.nan])
def test_fills_that_were_not_tested_are_refused(fill):
    """Below 20 % and above solid nothing was tested."""
    with pytest.raises(ValueError, match="fill"):
        infill_share(fill)


def test_the_power_form_refuses_nonsense():
    """Fills of zero or above one have no strength."""
    with pytest.raises(ValueError, match="above 0 and up to 1"):
        infill_power([0.0, 0.5])
    with pytest.raises(ValueError, match="above 0 and up to 1"):
        infill_power(1.5)
