"""Infill: closed forms, grades, and the limits of thin walls."""

import numpy as np
import pytest

from orthofem.materials import PATTERNS, axial_modulus, infill, load, names
from orthofem.tensors import compliance, engineering_constants, rotate_compliance, rotation


@pytest.mark.parametrize(
    ("pattern", "in_plane", "along_z"),
    [("grid", 0.100, 0.2), ("triangles", 0.0667, 0.2), ("hexagon", 0.0120, 0.2)],
)
def test_closed_forms_at_a_fifth(pattern, in_plane, along_z):
    """At relative density 0.2 the moduli are those of check case C3 (D(M-h))."""
    pla = load("pla")
    made = infill(pla, pattern, 0.2)
    assert pytest.approx(in_plane, abs=5e-5) == made.constants.E1 / pla.constants.E1
    assert pytest.approx(along_z) == made.constants.E3 / pla.constants.E3


def test_square_grid_at_45_degrees():
    """Turned by 45 degrees the square grid has r^3/4 of the modulus, from its shear modulus."""
    pla, r = load("pla"), 0.02
    S = rotate_compliance(compliance(infill(pla, "grid", r).constants), rotation("z", 45))
    share = float(engineering_constants(S)["E1"]) / pla.constants.E1
    assert share == pytest.approx(r**3 / 4, rel=5e-4)  # stretch of the walls is of order r^2


def test_square_grid_agrees_with_cell_calculation():
    """Within the 10 % of thin walls, a cell calculation gives the grid's shear and modulus."""
    # E 0.10718 and G 6.467e-4 of E_s at r = 0.2, nu_s 0.35: two-dimensional cell (F)
    pla = load("pla")
    c = infill(pla, "grid", 0.2).constants
    assert pytest.approx(0.10718, rel=0.08) == c.E1 / pla.constants.E1
    assert pytest.approx(6.467e-4, rel=0.25) == c.G12 / pla.constants.E1


def test_hexagon_poisson_ratio_agrees_with_cell_calculation():
    """Stretch and shear of the walls bring the hexagon's Poisson ratio near the cell's 0.88."""
    assert infill(load("petg"), "hexagon", 0.2).constants.nu12 == pytest.approx(0.8812, rel=0.03)


@pytest.mark.parametrize("pattern", PATTERNS)
@pytest.mark.parametrize("key", ["pla", "pa_cf", "tpu_95a", "pla_ud_f", "abs_ud_c"])
def test_every_pattern_makes_a_real_weaker_material(pattern, key):
    """Infill is a possible material, softer and weaker than the solid, and graded as derived."""
    solid = load(key)
    made = infill(solid, pattern, 0.3)
    assert made.constants.E1 < solid.constants.E1
    assert made.constants.E3 < solid.constants.E3
    assert made.density == pytest.approx(0.3 * solid.density)
    for name in ("Xt", "Zt", "S13", "S12"):
        strength = getattr(solid.strengths, name)
        assert np.isnan(strength) or not getattr(made.strengths, name) >= strength
    assert all(v.grade.startswith("D(") for n, v in made.values.items() if n != "use_limit")
    assert any("infill" in note for note in made.notes)


def test_gyroid_is_never_a_check_value():
    """Numbers from the remembered gyroid law carry the mark."""
    values = infill(load("pla"), "gyroid", 0.2).values
    assert values["E1"].grade == "D(M-l)"
    assert "not a check value" in values["E1"].note


def test_isotropic_bound():
    """The nearly isotropic gyroid stays below the bound for isotropic porous solids."""
    # E/E1 <= 0.111288 at solid fraction 0.2, nu 0.35 (Hashin-Shtrikman, D)
    assert PATTERNS["gyroid"].shares(0.2, 0.35).E <= 0.111288


def test_full_density_is_the_solid():
    """Density 1 returns the material itself."""
    solid = load("pla")
    assert infill(solid, "grid", 1.0) is solid


def test_thick_walls_warn():
    """Above 0.4 the thin-wall form warns, and the note stays with the material."""
    with pytest.warns(UserWarning, match="holds for thin walls"):
        made = infill(load("pla"), "grid", 0.5)
    assert any("0.5" in note and "thin walls" in note for note in made.notes)


@pytest.mark.parametrize("density", [0.0, -0.1, 0.9, 20.0, float("nan")])
def test_impossible_density(density):
    """A density outside 0.02 to 0.7 is refused with the range."""
    with pytest.raises(ValueError, match="infill density"):
        infill(load("pla"), "grid", density)


def test_unknown_pattern():
    """A misspelt pattern is answered with the choices."""
    with pytest.raises(ValueError, match="Did you mean 'hexagon'.*triangles"):
        infill(load("pla"), "hexagons", 0.2)


def test_walls_beside_infill():
    """Walls and infill stretched alike share by area."""
    assert axial_modulus(2700, 270, 0.5) == pytest.approx(1485)
    with pytest.raises(ValueError, match="wall_fraction"):
        axial_modulus(2700, 270, 1.2)


def test_steel_is_not_missing_from_the_library():
    """Bought parts for cored pieces stand beside the printed materials."""
    assert {"steel", "aluminium", "carbon_rod", "epoxy_adhesive"} <= set(names())
