"""How often the stick is used."""

from __future__ import annotations

import numpy as np
import pytest

from orthofem.loads import LOAD_CASES, Use
from orthofem.loads.use import WALKING


def test_contacts_are_half_of_the_steps():
    """The stick is put down at every second step, on the days and the share it is used."""
    assert Use(steps_per_day=4000).contacts_per_year == 2000 * 365
    assert Use(steps_per_day=4000, days_per_year=100, share=0.25).contacts_per_year == 50000
    assert Use(steps_per_day=4000, years=3).contacts == 3 * 2000 * 365


def test_repeated_cases_are_load_cases():
    """The cases that come back by default exist."""
    assert set(WALKING) <= set(LOAD_CASES)


def test_the_source_tells_default_from_own_numbers():
    """The default cites its studies; own steps do not borrow their source."""
    assert "Tudor-Locke" in Use().source
    assert Use(steps_per_day=4000).source == "steps and days as given in the study"


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"steps_per_day": -1.0}, "steps_per_day = -1"),
        ({"steps_per_day": 0.0}, "steps_per_day = 0"),
        ({"steps_per_day": np.nan}, "steps_per_day is nan"),
        ({"steps_per_day": 1e6}, "steps_per_day = 1e"),
        ({"days_per_year": 400.0}, "days_per_year = 400"),
        ({"share": 0.0}, "share of the steps = 0"),
        ({"share": 1.5}, "share of the steps = 1.5"),
        ({"years": 0.0}, "years of use = 0"),
        ({"years": np.inf}, "years of use is inf"),
        ({"cases": ()}, "give a tuple of the load cases"),
        ({"cases": "everyday_walking"}, "give a tuple of the load cases"),
    ],
)
def test_impossible_use_is_refused(wrong, message):
    """Each number out of range is refused with what is allowed."""
    with pytest.raises(ValueError, match=message):
        Use(**wrong)
