"""CONT-5 (a), (b): a pad and a shoulder ring that cannot pull, in closed form."""

import pytest

from orthofem.loads.opening import pad_pressure, ring_pressure
from orthofem.loads.screw import gap_moment

PAD = {15.0: (45.0, 2.2222), 20.0: (30.0, 3.3333)}
RING = {5000.0: (11.180, 0.0), 8000.0: (16.270, 0.394), 10_000.0: (28.207, 0.637)}


@pytest.mark.parametrize("eccentricity", PAD)
def test_pad_on_an_elastic_bed(verify, eccentricity):
    """Contact length and greatest pressure of an eccentric pad are the printed ones."""
    names = ("contact length", "greatest pressure")
    ours = pad_pressure(1000.0, eccentricity, 60.0, 20.0)
    for name, value, target in zip(names, ours, PAD[eccentricity], strict=True):
        verify("CONT-5", f"pad, e {eccentricity:g}, {name}", value, target,
               source="triangle of pressure", grade="D", rtol=3e-5)  # fmt: skip


@pytest.mark.parametrize("moment", RING)
def test_shoulder_ring(verify, moment):
    """Greatest pressure and open share of a 25/20 ring under 1000 N are the printed ones."""
    state = ring_pressure(1000.0, moment, 25.0, 20.0)
    pressure, share = RING[moment]
    verify("CONT-5", f"ring, M {moment:g}, greatest pressure", state.greatest, pressure,
           source="plane sections, quadrature", grade="D", atol=5.1e-4)  # fmt: skip
    verify("CONT-5", f"ring, M {moment:g}, open share", state.open_share, share,
           source="plane sections, quadrature", grade="D", atol=5.1e-4)  # fmt: skip


def test_ring_opens(verify):
    """The moment at which a 25/20 ring begins to open, over the force on it."""
    verify("CONT-5", "ring opens at M/N", gap_moment(1.0, 0.0, 25.0, 20.0), 5.125,
           source="core radius of a ring", grade="D", rtol=1e-12)  # fmt: skip
