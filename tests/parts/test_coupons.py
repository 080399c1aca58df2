import numpy as np
import pytest

from orthofem.parts import COUPONS, FlatBar, GroovedBar, RoundBar, ShoulderBar, SnapCoupon


@pytest.mark.parametrize("name", COUPONS)
def test_every_coupon_has_two_ends(name):
    """A coupon is one piece with surfaces to hold it and to load it."""
    part = COUPONS[name]().part()
    assert part.name == name
    assert len(part.pieces) == 1
    assert {"lower_end", "upper_end"} <= set(part.surfaces)
    assert part.feature > 0


def test_bar_volumes():
    """Flat and round bars have their textbook volumes."""
    flat = FlatBar(length=80.0, width=10.0, thickness=4.0).part()
    assert flat.pieces[0].solid.volume == pytest.approx(3200)
    assert RoundBar(length=80.0, diameter=10.0).part().pieces[0].solid.volume == pytest.approx(
        np.pi * 25 * 80
    )


def test_shoulder_bar_volume():
    """Two shanks and the fillet between them, by Pappus."""
    bar = ShoulderBar(diameter=20.0, neck=12.0, fillet=1.5, thick_length=30.0, thin_length=40.0)
    corner = 2 * np.pi * (1.5**2 * 6.75 - np.pi * 1.5**2 / 4 * (7.5 - 4 * 1.5 / (3 * np.pi)))
    whole = np.pi * (100 * 30 + 36 * 41.5) + corner
    assert bar.part().pieces[0].solid.volume == pytest.approx(whole, rel=1e-12)


def test_grooved_bar_volume():
    """A bar less a half round groove with straight flanks, by Pappus."""
    bar = GroovedBar(diameter=16.0, neck=12.0, fillet=1.0, length=64.0)
    half = np.pi / 2
    groove = 2 * np.pi * half * (7 - 4 / (3 * np.pi)) + np.pi * 2 * (64 - 49)
    assert bar.part().pieces[0].solid.volume == pytest.approx(np.pi * 64 * 64 - groove, rel=1e-12)


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: FlatBar(width=-1.0), r"bar width = -1"),
        (lambda: RoundBar(diameter=float("nan")), r"bar diameter is nan"),
        (lambda: RoundBar(flat=10.0), r"Flat 10 mm deep on a bar of 10 mm"),
        (lambda: RoundBar(flat=float("nan")), r"flat is nan"),
        (lambda: ShoulderBar(neck=20.0), r"must be thinner"),
        (lambda: ShoulderBar(fillet=4.5), r"larger than the step of 4 mm"),
        (lambda: ShoulderBar(fillet=0.0), r"fillet = 0"),
        (lambda: ShoulderBar(thin_length=-1.0), r"thin length = -1"),
        (lambda: GroovedBar(fillet=2.5), r"larger than the groove's depth of 2 mm"),
        (lambda: GroovedBar(neck=17.0), r"must be thinner"),
        (lambda: GroovedBar(length=3.0), r"too short"),
        (lambda: GroovedBar(length=0.0), r"bar length = 0"),
        (lambda: SnapCoupon(length=0.0), r"length = 0"),
        (lambda: SnapCoupon(diameter=31.0), r"wider than its base"),
        (lambda: SnapCoupon(fillet=10.0), r"does not fit"),
    ],
)
def test_impossible_coupons_are_refused(make, message):
    """Each error names the numbers."""
    with pytest.raises(ValueError, match=message):
        make()
