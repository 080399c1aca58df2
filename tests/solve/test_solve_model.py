"""What a model refuses before anything is solved."""

from __future__ import annotations

import numpy as np
import pytest
from sets import PO

from meshes import box
from orthofem.errors import ModelError
from orthofem.solve import Model
from orthofem.tensors import stiffness

C = stiffness(PO)


def mesh():
    """Two regions, left and right."""
    regions = {"left": lambda c: c[0] < 1, "right": lambda c: c[0] > 1}
    return box((0, 0, 0), (2, 1, 1), (2, 1, 1), regions=regions)


def test_unknown_region():
    """A stiffness for a region that is not there is answered with the choices."""
    with pytest.raises(ValueError, match="Unknown region 'rigth'. Did you mean 'right'"):
        Model(mesh(), {"left": C, "rigth": C})


def test_bare_region():
    """A region without stiffness is named."""
    with pytest.raises(ValueError, match="No stiffness given for: right"):
        Model(mesh(), {"left": C})


def test_overlapping_regions():
    """Cells with two stiffnesses are refused."""
    double = mesh().with_subdomains({"all": np.arange(12)})
    with pytest.raises(ValueError, match="Regions overlap"):
        Model(double, {"left": C, "right": C, "all": C})


@pytest.mark.parametrize("value", [np.nan, np.inf])
def test_not_finite(value):
    """NaN and infinity in a stiffness are named with their place."""
    bad = C.copy()
    bad[1, 2] = value
    with pytest.raises(ValueError, match=r"stiffness of 'left' is (nan|inf) at index \(1, 2\)"):
        Model(mesh(), {"left": bad, "right": C})


def test_not_finite_in_a_field():
    """NaN from a stiffness function is refused too."""

    def field(x):
        return np.full((6, 6, *x.shape[1:]), np.nan)

    with pytest.raises(ValueError, match="stiffness of 'whole part' is nan"):
        Model(mesh(), field)


@pytest.mark.parametrize("shape", [(3, 3), (6,), (6, 6, 2)])
def test_wrong_shape(shape):
    """A stiffness of another shape is refused, with the shapes that are allowed."""
    with pytest.raises(ValueError, match=r"has shape .* wanted \(\(6, 6\), \(6, 6, 12, 4\)\)"):
        Model(mesh(), np.ones(shape))


def test_not_symmetric():
    """A stiffness that is not symmetric is refused."""
    bad = C.copy()
    bad[0, 1] += 1
    with pytest.raises(ValueError, match="stiffness of 'whole part' is not symmetric"):
        Model(mesh(), bad)


def test_not_positive_definite():
    """A material that would give energy when strained is refused, with its eigenvalue."""
    bad = C.copy()
    bad[3, 3] = -1.0
    with pytest.raises(ModelError, match="not positive definite .smallest eigenvalue -1 MPa"):
        Model(mesh(), bad)
