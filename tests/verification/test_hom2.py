"""HOM-2: raster laminates of the orthotropic test set PO, exact stack."""

import numpy as np
import pytest

from orthofem.materials import stack_stiffness, turned_layers
from orthofem.tensors import ElasticConstants, engineering_constants, stiffness

PO = stiffness(ElasticConstants(3400, 2900, 2500, 0.36, 0.34, 0.33, 1150, 1000, 900))
KAW3 = stiffness(ElasticConstants(181e3, 10.3e3, 10.3e3, 0.28, 0.27, 0.60, 7170, 7000, 3000))
NAMES = ("E_x", "E_y", "E_z", "nu_xy", "nu_xz", "G_xz", "G_yz", "G_xy")
KEYS = ("E1", "E2", "E3", "nu12", "nu13", "G13", "G23", "G12")
QUASI = (3122.3045, 3122.3045, 2501.3985, 0.3378, 0.3325, 947.3684, 947.3684, 1166.9330)
ROWS = {
    (0, 90): (3152.4659, 3152.4659, 2501.3985, 0.3314, 0.3357, 947.3684, 947.3684, 1150.0),
    (45, -45): (3091.8520, 3091.8520, 2501.3985, 0.3443, 0.3292, 947.3684, 947.3684, 1183.8659),
    (30, -30): (3230.6233, 2982.2978, 2501.0430, 0.3552, 0.3330, 972.9730, 923.0769, 1175.3994),
    (0, 60, -60): QUASI,
    (0, 45, 90, -45): QUASI,
}


def constants(C, angles):
    """Engineering constants of the stack of one material at several bead angles."""
    return engineering_constants(np.linalg.inv(stack_stiffness(turned_layers(C, angles))))


@pytest.mark.parametrize("angles", ROWS)
def test_raster_laminate(verify, angles):
    """Each lay-up has the printed constants."""
    found = constants(PO, angles)
    for name, key, target in zip(NAMES, KEYS, ROWS[angles], strict=True):
        verify(
            "HOM-2",
            f"{name} of {angles}",
            found[key],
            target,
            source="exact stack",
            grade="D",
            atol=6e-5,
        )  # printed to four decimals


@pytest.mark.parametrize("angles", [(0, 60, -60), (0, 45, 90, -45)])
def test_quasi_isotropic_in_the_layer(verify, angles):
    """Quasi-isotropic lay-ups satisfy G = E/(2(1 + nu)) in the layer."""
    found = constants(PO, angles)
    verify(
        "HOM-2",
        f"G_xy of {angles} from E and nu",
        found["G12"],
        found["E1"] / (2 * (1 + found["nu12"])),
        source="algebra",
        grade="D",
        rtol=1e-9,
    )


def test_graphite_lamina(verify):
    """The graphite/epoxy lamina at +-45 degrees has the printed constants (code check)."""
    found = constants(KAW3, (45, -45))
    for name, key, target, slack in (
        ("E_x", "E1", 25050.57, 6e-3),
        ("nu_xy", "nu12", 0.746902, 6e-7),
        ("G_xy", "G12", 46590.86, 6e-3),
    ):
        verify(
            "HOM-2",
            f"KAW3 +-45 {name}",
            found[key],
            target,
            source="Kaw 2006, Example 2.2",
            grade="D(M-h)",
            atol=slack,
        )
