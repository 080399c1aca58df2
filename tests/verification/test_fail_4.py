"""FAIL-4: Hill's form in three dimensions, its values and its validity guard."""

from __future__ import annotations

import numpy as np
import pytest

from orthofem.failure import (
    hill_coupled,
    hill_form,
    hill_matrix,
    implied_shear,
    layers_index,
    tsai_hill_index,
)
from orthofem.materials.strengths import Strengths
from orthofem.tensors import rotation, stress_bond

SOURCE = "after Hill 1948, recomputed"
GIVEN = {"X": 50.0, "Y": 50.0, "Z": 30.0, "S23": 20.0, "S13": 20.0}
EVEN = Strengths.transverse(50, 50, 30, 30, implied_shear(50, 30), S_interlaminar=20)
ROWS = np.array([
    [0, 0, 15, 0, 0, 0],
    [25, 25, 0, 0, 0, 0],
    [20, 20, 20, 0, 0, 0],
    [20, 0, 10, 0, 8, 0],
    [0, 0, 12, 6, 5, 0],
    [30, -10, 5, 4, -6, 8],
], dtype=float).T  # fmt: skip
HILL = [0.25, 0.694444, 0, 0.208889, 0.312500, 0.384622]
LAYERS = [0.25, 0, 0.444444, 0.271111, 0.312500, 0.157778]


def test_index_values(verify):
    """Hill's form, its root and the interlayer index of six stresses, directly and by choice."""
    index = hill_coupled(ROWS, **GIVEN)
    verify("FAIL-4", "Hill index of six stresses [-]", index, HILL,
           source=SOURCE, grade="D", atol=5.1e-7)  # fmt: skip
    verify("FAIL-4", "root of the Hill index [-]", np.sqrt(index),
           [0.5, 0.833333, 0, 0.457044, 0.559017, 0.620179],
           source=SOURCE, grade="D", atol=5.1e-7)  # fmt: skip
    verify("FAIL-4", "Tsai-Hill where the coupled form is usable [-]",
           tsai_hill_index(ROWS, EVEN), HILL, source=SOURCE, grade="D", atol=5.1e-7)  # fmt: skip
    verify("FAIL-4", "interlayer index of six stresses [-]", layers_index(ROWS, EVEN), LAYERS,
           source="form of Brewer and Lagace 1988, recomputed", grade="D", atol=5.1e-7)  # fmt: skip


@pytest.mark.parametrize("degrees", [30.0, 45.0, 110.0])
def test_last_row_does_not_change_about_build_axis(verify, degrees):
    """The last stress keeps its index in all axes of the layer."""
    turned = stress_bond(rotation("z", degrees)) @ ROWS[:, 5]
    verify("FAIL-4", f"Hill index turned {degrees:g} degrees about 3 [-]",
           hill_coupled(turned, **GIVEN), 0.384622, source=SOURCE, grade="D",
           atol=5.1e-7)  # fmt: skip


def test_coefficients(verify):
    """Shear strength, coefficients and eigenvalues that follow from X = 50 and Z = 30."""
    verify("FAIL-4", "implied S12, X 50, Z 30 [MPa]", implied_shear(50, 30), 45.2267,
           source=SOURCE, grade="D", atol=5.1e-5)  # fmt: skip
    verify("FAIL-4", "implied S12, X 50, Z 28 [MPa]", implied_shear(50, 28), 55.51,
           source=SOURCE, grade="D", atol=0.0051)  # fmt: skip
    scale = np.diag([1 / 50, 1 / 50, 1 / 30])
    eigenvalues = np.linalg.eigvalsh(scale @ hill_matrix(50, 50, 30) @ scale)
    verify("FAIL-4", "eigenvalues of the normal block: 0, N, 3F [1/MPa²]", eigenvalues,
           [0, 2.4444e-4, 3 * 5.5556e-4], source=SOURCE, grade="D", atol=1.6e-8)  # fmt: skip


def test_shear_of_library_print_is_noted():
    """For PLA the implied shear strength is twice the library's; the choice says what rules."""
    tension = Strengths.transverse(50, 50, 28, 28, S_in_plane=28, S_interlaminar=20)
    form = hill_form(tension)
    assert form.name == "uncoupled"
    assert "would force S12 = 55.51 MPa" in form.reason
    assert "28 MPa is given" in form.reason


def test_degenerate_form_is_refused():
    """At Z = X / 2 the form is refused, with the reason and the way out."""
    with pytest.raises(ValueError, match="X = 36, Y = 36, Z = 18 MPa is degenerate.*tsai_hill"):
        hill_coupled(ROWS, X=36, Y=36, Z=18, S23=13, S13=13)


def test_indefinite_form_is_refused():
    """Below Z = X / 2 the form is refused, and no number comes out."""
    with pytest.raises(ValueError, match="Z = 20 MPa is not positive semidefinite.*above X/2"):
        hill_coupled(ROWS, X=50, Y=50, Z=20, S23=15, S13=15)


def test_shear_in_layer_of_weakly_bonded_print(verify):
    """Where the coupled index would be negative, pure shear fails at the strength given."""
    weak = Strengths.transverse(50, 70, 20, 55, S_in_plane=28, S_interlaminar=15)
    scale = np.diag([1 / 50, 1 / 50, 1 / 20])
    eigenvalues = np.linalg.eigvalsh(scale @ hill_matrix(50, 50, 20) @ scale)
    verify("FAIL-4", "eigenvalues where Z < X/2: N, 0, 3F [1/MPa²]", eigenvalues,
           [-4.5e-4, 0, 3 * 1.25e-3], source=SOURCE, grade="D", atol=1e-12)  # fmt: skip
    for stress in ([28.0, -28, 0, 0, 0, 0], [0, 0, 0, 0, 0, 28.0]):
        verify("FAIL-4", "uncoupled index of pure shear at S12, Z < X/2 [-]",
               tsai_hill_index(stress, weak), 1.0, source="definition", grade="D",
               atol=1e-12)  # fmt: skip
