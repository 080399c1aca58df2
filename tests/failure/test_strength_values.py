"""Strengths: what they refuse and how they scale."""

from __future__ import annotations

import math

import pytest

from orthofem.materials.strengths import Strengths

PLA = Strengths.transverse(Xt=50, Xc=70, Zt=28, Zc=65, S_in_plane=28, S_interlaminar=20)


@pytest.mark.parametrize("name", ["Xt", "Xc", "Yt", "Yc", "Zt", "Zc", "S23", "S13", "S12"])
@pytest.mark.parametrize("value", [0.0, -5.0, -math.inf])
def test_strength_that_is_not_above_zero_is_refused(name, value):
    """Zero and negative strengths are refused by name."""
    given = dict.fromkeys(["Xt", "Xc", "Yt", "Yc", "Zt", "Zc", "S23", "S13", "S12"], 10.0)
    with pytest.raises(ValueError, match=f"Strength {name} = .*magnitude above zero"):
        Strengths(**given | {name: value})


def test_missing_strengths_are_listed_and_refused_on_use():
    """NaN stands for no value: allowed to exist, listed, refused when asked for."""
    partial = Strengths(54.7, math.nan, 37.1, math.nan, 28, math.nan, 20, 20, 18.0)
    assert partial.missing == ["Xc", "Yc", "Zc"]
    partial.require("Zt", "S13")
    with pytest.raises(ValueError, match="The index needs Xc, Zc, for which .* no value"):
        partial.require("Xc", "Zc", "Zt", what="The index")


def test_scaling_by_group_and_by_name():
    """Groups and single strengths scale, and factors multiply."""
    weak = PLA.scaled(in_plane=0.8, across=0.5, Zt=0.5)
    assert (weak.Xt, weak.Yc, weak.S12) == pytest.approx((40, 56, 22.4))
    assert (weak.Zt, weak.Zc, weak.S13) == pytest.approx((7, 32.5, 10))
    assert PLA.Zt == 28


def test_scaling_keeps_infinite_and_missing():
    """No failure stays no failure, and no value stays no value."""
    soft = Strengths(28, math.inf, 28, math.inf, 16, math.nan, 11, 11, 16).scaled(0.5, 0.5)
    assert soft.Xc == math.inf
    assert soft.missing == ["Zc"]


def test_scaling_refuses_unknown_names_and_bad_factors():
    """A name that is no strength, or a factor not above zero, is refused."""
    with pytest.raises(ValueError, match="Unknown strength 'ZT'. Choose from: Xt, Xc"):
        PLA.scaled(ZT=0.85)
    with pytest.raises(ValueError, match="Factor across = 0; it must be a number above zero"):
        PLA.scaled(across=0)


def test_kinds():
    """Alike in the layer, alike in space, or neither, is read off the numbers."""
    assert PLA.is_transverse
    assert not PLA.is_isotropic
    assert Strengths.isotropic(60, 90, 35).is_isotropic
    assert not PLA.scaled(Yt=0.9).is_transverse
