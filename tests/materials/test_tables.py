"""Interfaces, process factors and repeated loading: tables with their rules."""

import numpy as np
import pytest

from orthofem.materials import (
    ALLOWED,
    INTERFACES,
    PROCESSES,
    REPEATED,
    Bond,
    BorderStrengths,
    Strengths,
    across_interface,
    border_strengths,
    glue_strengths,
    load,
    process_factor,
    weaker,
)

PLA = Strengths.transverse(50, 70, 28, 65, 28, 20)


def test_horizontal_interface_weakens_what_crosses_it():
    """Between layers: tension across and shear between layers fall, the rest stays."""
    weak = across_interface(PLA, "colour_change")
    assert (weak.Zt, weak.S13, weak.S23) == pytest.approx((0.85 * 28, 17, 17))
    assert (weak.Xt, weak.Yt, weak.Zc, weak.S12) == (50, 50, 65, 28)


def test_vertical_interface_weakens_the_transverse_strength():
    """Between beads of a layer: tension along 2 and shear on that face fall."""
    weak = across_interface(PLA, "pla_tpu", face="vertical")
    assert (weak.Yt, weak.S12, weak.S23) == pytest.approx((10, 5.6, 4))
    assert (weak.Xt, weak.Zt, weak.S13) == (50, 28, 20)


def test_interfaces_carry_their_evidence():
    """Every interface has a multiplier up to 1, a grade and a reason."""
    for bond in INTERFACES.values():
        assert 0 < bond.multiplier <= 1
        assert bond.grade in ALLOWED
        assert bond.reason


def test_unknown_interface_and_face():
    """Misspelt interfaces and faces are answered with the choices."""
    with pytest.raises(ValueError, match="Unknown interface 'pla_pteg'"):
        across_interface(PLA, "pla_pteg")
    with pytest.raises(ValueError, match="Unknown interface face 'flat'"):
        across_interface(PLA, "same", face="flat")


def test_process_factors_multiply_and_are_clipped():
    """Two estimates multiply; the product stays within 0.25 and 1."""
    assert process_factor(["fan_pla", "slow_layers"]) == pytest.approx(0.6)
    assert process_factor(["hot_nozzle"]) == 1.0
    assert process_factor([]) == 1.0
    assert process_factor(["fan_others", "cold_nozzle"]) == pytest.approx(0.3375)


def test_no_more_than_two_estimates():
    """A third estimate is refused, published factors are not counted."""
    with pytest.raises(ValueError, match="3 estimated process factors"):
        process_factor(["fan_pla", "slow_layers", "thick_layers"])
    assert process_factor(["preheated", "fan_pla", "slow_layers"]) == pytest.approx(0.69)
    with pytest.raises(ValueError, match="give each one once"):
        process_factor(["fan_pla", "fan_pla"])
    with pytest.raises(ValueError, match="Unknown process factor 'fan'"):
        process_factor(["fan"])


def test_process_factors_carry_their_evidence():
    """Every process factor has a grade and a basis."""
    assert all(item.grade in ALLOWED and item.basis for item in PROCESSES.values())


def test_repeated_loading_of_pla():
    """The power law gives the printed table of check case A2 (D(P))."""
    curve = REPEATED["pla"]
    stress = curve.largest_stress(np.array([1e3, 1e4, 1e5, 1e6, 2e6]))
    np.testing.assert_allclose(stress, [33.40, 23.92, 17.13, 12.27, 11.10], atol=0.005)
    assert curve.largest_stress(2e6, 0.9) == pytest.approx(8.764, abs=5e-4)
    assert curve.largest_stress(2e6, 0.1) == pytest.approx(14.058, abs=5e-4)
    assert curve.bearable_cycles(20.0) == pytest.approx(3.44e4, rel=2e-3)


def test_repeated_loading_refuses_nonsense():
    """Zero cycles, odd survivals and stresses above the static strength are refused."""
    curve = REPEATED["pla"]
    with pytest.raises(ValueError, match="cycles = 0"):
        curve.largest_stress(0)
    with pytest.raises(ValueError, match="survival = 0.99"):
        curve.largest_stress(1e6, 0.99)
    with pytest.raises(ValueError, match="largest stress = 60"):
        curve.bearable_cycles(60.0)


def test_a_border_takes_the_strengths_of_its_face():
    """Between layers Zt and S23, between beads Yt and the lower of S12 and S23, times the bond."""
    pla = load("pla")
    flat, steep = (border_strengths(pla, "pause", face) for face in ("horizontal", "vertical"))
    assert (flat.tension, flat.shear) == pytest.approx((0.75 * 28, 0.75 * 20))
    assert (steep.tension, steep.shear) == pytest.approx((0.75 * 50, 0.75 * 20))
    assert flat.grade == "D(E)"
    assert "0.75 times the weaker side (E: the surface has cooled" in flat.source


def test_a_border_takes_the_weaker_side():
    """The lower of both sides counts, tension and shear each for itself."""
    one, other = BorderStrengths(10.0, 9.0, "one", "P"), BorderStrengths(12.0, 5.0, "other", "E")
    assert (weaker(one, other).tension, weaker(one, other).shear) == (10.0, 5.0)
    assert weaker(one, other) == weaker(other, one)


def test_a_glue_bears_its_own_strengths():
    """The library's epoxy: 25 MPa in tension, 15 in shear, from memory (M-m)."""
    glue = glue_strengths(load("epoxy_adhesive"))
    assert (glue.tension, glue.shear, glue.grade) == (25.0, 15.0, "D(M-m)")
    with pytest.raises(ValueError, match="PLA is not a glue"):
        glue_strengths(load("pla"))
    with pytest.raises(ValueError, match="is not a glue"):
        glue_strengths(load("carbon_rod"))


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: BorderStrengths(0.0, 5.0), "strength in tension = 0.0 MPa"),
        (lambda: BorderStrengths(5.0, float("nan")), "strength in shear = nan MPa"),
        (lambda: BorderStrengths(5.0, 5.0, grade="Z"), "grade 'Z' is unknown"),
        (lambda: Bond("own", 1.2, "P", "coupons"), "must not be above 1"),
        (lambda: Bond("own", 0.0, "P", "coupons"), "must be above zero"),
        (lambda: border_strengths(load("pla"), "pla_pteg"), "Unknown interface 'pla_pteg'"),
        (lambda: border_strengths(load("pla"), "pause", "flat"), "Unknown interface face"),
        (
            lambda: border_strengths(load("pla_ud_c"), "pause"),
            "horizontal border of PLA.* needs Zt",
        ),
    ],
)
def test_bad_border_strengths_are_refused(make, message):
    """Each mistake in a bond or in strengths of one's own has its message."""
    with pytest.raises(ValueError, match=message):
        make()
