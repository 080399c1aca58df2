"""IMP-3: striker, contact spring that cannot pull, beam spring with its mass."""

import math

import pytest

from orthofem.loads.impact import blow_force
from orthofem.loads.two_mass import two_mass_peak_force

SOURCE = "equation of motion"
SPEED = math.sqrt(2 * 9810.0 * 100.0)  # fall of 0.1 m [mm/s]
K, STRIKER = 3.6864, 0.2
PART = 33 / 140 * 0.011904


@pytest.mark.parametrize(("contact", "target"), [(10, 34.168), (100, 37.946), (1000, 38.006)])
def test_peak_force_with_contact_spring(verify, contact, target):
    """The largest beam force approaches the single-spring limit as the contact stiffens."""
    ours = two_mass_peak_force(STRIKER, SPEED, K, PART, contact)
    verify(
        "IMP-3",
        f"peak force, contact {contact} N/mm",
        ours,
        target,
        source=SOURCE,
        grade="D",
        rtol=1e-4,
    )


def test_limits(verify):
    """Without the contact spring: with and without the mass of the beam."""
    bare = float(blow_force(STRIKER, SPEED, K, 1e-12, 0.0))
    heavy = float(blow_force(STRIKER, SPEED, K, 0.011904, 33 / 140))
    verify("IMP-3", "limit without mass", bare, 38.033, source=SOURCE, grade="D", rtol=1e-4)
    verify("IMP-3", "limit with mass", heavy, 37.769, source=SOURCE, grade="D", rtol=1e-4)
