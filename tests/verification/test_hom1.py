"""HOM-1: stiffness of a stack of two layers, isotropic and general form."""

import numpy as np
import pytest

from orthofem.materials import stack_stiffness
from orthofem.tensors import ElasticConstants, engineering_constants, stiffness

SOURCE = "Backus 1962"
ROWS = {
    (3300, 0.35, 0.9, 1200, 0.35, 0.1): (
        4828.2718,
        2539.3829,
        2427.1080,
        4507.4862,
        1040.1891,
        1144.4444,
        3090.0000,
        2908.3741,
    ),
    (3000, 0.3, 0.5, 300, 0.4, 0.5): (
        2159.5438,
        898.5548,
        607.3944,
        1109.1549,
        196.0784,
        630.4945,
        1651.6112,
        867.8757,
    ),
    (2000, 0.38, 0.7, 20, 0.48, 0.3): (
        1907.1157,
        888.5689,
        372.6026,
        527.7992,
        22.0429,
        509.2734,
        1406.0776,
        428.4799,
    ),
}


def layers(stack):
    """Stiffness of both layers and their shares."""
    E1, nu1, f1, E2, nu2, f2 = stack
    both = [stiffness(ElasticConstants.isotropic(E, nu)) for E, nu in ((E1, nu1), (E2, nu2))]
    return np.stack(both, axis=-1), np.array([f1, f2])


def isotropic_form(stack):
    """Closed form for isotropic layers: C11, C12, C13, C33, C44, C66."""
    E = np.array([stack[0], stack[3]])
    nu = np.array([stack[1], stack[4]])
    f = np.array([stack[2], stack[5]])
    lam, mu = E * nu / ((1 + nu) * (1 - 2 * nu)), E / (2 * (1 + nu))
    P = lam + 2 * mu
    C33 = 1 / (f @ (1 / P))
    C13 = (f @ (lam / P)) * C33
    C11 = f @ (4 * mu * (lam + mu) / P) + (f @ (lam / P)) ** 2 * C33
    C66 = f @ mu
    return C11, C11 - 2 * C66, C13, C33, 1 / (f @ (1 / mu)), C66


@pytest.mark.parametrize("stack", ROWS)
def test_stack_of_two_isotropic_layers(verify, stack):
    """The general form gives the printed constants of each stack."""
    C = stack_stiffness(*layers(stack))
    found = engineering_constants(np.linalg.inv(C))
    ours = (C[0, 0], C[0, 1], C[0, 2], C[2, 2], C[3, 3], C[5, 5], found["E1"], found["E3"])
    names = ("C11", "C12", "C13", "C33", "C44", "C66", "E_x", "E_z")
    for name, value, target in zip(names, ours, ROWS[stack], strict=True):
        verify(
            "HOM-1", f"{name} of {stack}", value, target, source=SOURCE, grade="D", atol=6e-5
        )  # printed to four decimals


@pytest.mark.parametrize("stack", ROWS)
def test_general_form_agrees_with_isotropic_form(verify, stack):
    """The form for isotropic layers and the general form are the same."""
    C = stack_stiffness(*layers(stack))
    ours = (C[0, 0], C[0, 1], C[0, 2], C[2, 2], C[3, 3], C[5, 5])
    for value, target in zip(ours, isotropic_form(stack), strict=True):
        verify(
            "HOM-1",
            f"general against isotropic form {stack}",
            value,
            target,
            source=SOURCE,
            grade="D",
            rtol=1e-9,
        )


def test_equal_poisson_ratios_give_the_mean_modulus(verify):
    """With equal Poisson ratios E_x is exactly the mean of the moduli."""
    stack = next(iter(ROWS))
    E_x = engineering_constants(np.linalg.inv(stack_stiffness(*layers(stack))))["E1"]
    verify(
        "HOM-1",
        "E_x at equal nu",
        E_x,
        0.9 * 3300 + 0.1 * 1200,
        source=SOURCE,
        grade="D",
        rtol=1e-9,
    )


def test_one_layer_is_itself(verify):
    """A stack of one general anisotropic layer has that layer's stiffness."""
    seed = np.random.default_rng(705948121).normal(size=(6, 9))
    C = seed @ seed.T + np.eye(6)
    verify(
        "HOM-1",
        "stack of one layer",
        stack_stiffness(C[..., None]),
        C,
        source="algebra",
        grade="D",
        rtol=1e-9,
    )
