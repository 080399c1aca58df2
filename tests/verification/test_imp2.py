"""IMP-2: static-equivalent drop on a printed cantilever."""

import pytest

from orthofem.loads.impact import SHAPE_FACTORS, drop_factor

SOURCE = "energy balance"
g, E, L, b, h = 9.81, 2400.0, 100.0, 12.0, 8.0
K = 3 * E * (b * h**3 / 12) / L**3
BEAM = 1.24e-6 * L * b * h
ROWS = {
    (0.2, 100): (0.532227, 20.4108, 40.046, 31.286, 20.2764),
    (0.5, 50): (1.330566, 9.72674, 47.7097, 37.2732, 9.70267),
}


@pytest.mark.parametrize("row", ROWS, ids=str)
def test_drop_on_a_cantilever(verify, row):
    """Static deflection, factor, force, root stress and factor with the beam's mass."""
    mass, height = row
    static = mass * g / K
    factor = drop_factor(height, static)
    force = mass * g * factor
    stress = force * L / (b * h**2 / 6)
    heavy = drop_factor(height, static, BEAM / mass, SHAPE_FACTORS["cantilever"][0])
    ours = (static, factor, force, stress, heavy)
    names = ("static deflection", "factor", "force", "root stress", "factor with mass")
    for name, value, target in zip(names, ours, ROWS[row], strict=True):
        verify(
            "IMP-2",
            f"{name}, {mass} kg {height} mm",
            value,
            target,
            source=SOURCE,
            grade="D",
            rtol=1.5e-5,
            why="1e-5 and half a unit of the last printed digit",
        )


def test_sudden_load_doubles(verify):
    """A load put on without a fall counts twice, exactly."""
    verify(
        "IMP-2", "factor at h = 0", drop_factor(0.0, 1.0), 2.0, source=SOURCE, grade="D", atol=1e-15
    )
