"""Index, reserve and mode of a border under normal and shear traction."""

import numpy as np
import pytest

from orthofem.failure import (
    BORDER_MODES,
    LAYERS,
    MODES,
    border_index,
    border_mode,
    border_reserve,
    evaluate_border,
    layers_index,
)
from orthofem.materials import Strengths

T, S = 10.0, 8.0
RANDOM = np.random.default_rng(31)
TRACTIONS = RANDOM.normal(0.0, 4.0, (3, 400))
KEPT = RANDOM.normal(0.0, 3.0, (3, 400))


def test_border_index_is_the_layers_index_on_its_own_face():
    """With the normal as axis 3 the form is that of layers, strength by strength."""
    strengths = Strengths(50, 70, 50, 70, T, 65, S, S, 28)
    stress = np.zeros((6, 400))
    stress[2], stress[3], stress[4] = TRACTIONS
    wanted = layers_index(stress, strengths)
    np.testing.assert_allclose(border_index(TRACTIONS, T, S), wanted, rtol=1e-14)
    np.testing.assert_allclose(
        border_reserve(TRACTIONS, T, S), LAYERS.reserve(stress, strengths), rtol=1e-14
    )


def test_pressure_closes_a_border_and_adds_nothing():
    """Normal pressure alone has index zero and no reserve; beside shear it changes nothing."""
    assert border_index([-50.0, 0.0, 0.0], T, S) == 0.0
    assert border_reserve([-50.0, 0.0, 0.0], T, S) == np.inf
    assert border_index([-50.0, 4.0, 0.0], T, S) == border_index([0.0, 0.0, 4.0], T, S) == 0.25


def test_the_reserve_brings_the_index_to_one():
    """Scaled by its reserve a traction has index 1, with and without a part that stays."""
    alone = border_reserve(TRACTIONS, T, S)
    np.testing.assert_allclose(border_index(alone * TRACTIONS, T, S), 1.0, rtol=1e-12)
    kept = border_reserve(TRACTIONS, T, S, KEPT)
    held = border_index(KEPT, T, S) < 1.0
    assert (kept[~held] == 0.0).all()
    assert held.sum() > 300
    at = KEPT + kept * TRACTIONS
    np.testing.assert_allclose(border_index(at[:, held], T, S), 1.0, rtol=1e-10)


def test_no_smaller_factor_fails_on_top_of_what_stays():
    """Stepping up to the reserve in a thousand steps never passes index 1."""
    kept = border_reserve(TRACTIONS, T, S, KEPT)
    share = np.linspace(0.0, 1.0 - 1e-9, 1000)[:, None]
    at = KEPT[:, None] + share * kept * TRACTIONS[:, None]
    assert (border_index(at, T, S)[:, kept > 0] < 1.0).all()


def test_a_preload_that_presses_is_used_up_first():
    """A border pressed by 6 MPa and pulled by 2 parts at (10 + 6) / 2; sliding does not wait."""
    assert border_reserve([2.0, 0.0, 0.0], T, S, [-6.0, 0.0, 0.0]) == pytest.approx(8.0)
    assert border_reserve([0.0, 2.0, 0.0], T, S, [-6.0, 0.0, 0.0]) == pytest.approx(4.0)
    assert border_reserve([-2.0, 0.0, 0.0], T, S, [6.0, 0.0, 0.0]) == np.inf


def test_modes_have_words_of_their_own():
    """More of the tension used up: parts; more of the shear: slides."""
    assert [MODES[k] for k in BORDER_MODES] == ["border parts", "border slides"]
    assert MODES[border_mode([5.0, 3.0, 0.0], T, S)] == "border parts"
    assert MODES[border_mode([5.0, 3.0, 3.0], T, S)] == "border slides"
    assert MODES[border_mode([-50.0, 0.1, 0.0], T, S)] == "border slides"


def test_many_loads_give_what_each_gives_alone():
    """Points in chunks, strengths by point, a part that stays: as the plain formula says."""
    unit, loads = RANDOM.normal(size=(3, 70, 6)), RANDOM.normal(size=(6, 40000))
    tension, shear = RANDOM.uniform(5, 20, 70), RANDOM.uniform(5, 20, 70)
    found = evaluate_border(unit, loads, tension, shear, 0.1 * KEPT[:, :70])
    for variant in (0, 1, 39999):
        plain = border_reserve(unit @ loads[:, variant], tension, shear, 0.1 * KEPT[:, :70])
        assert found.reserve[variant] == pytest.approx(plain.min(), rel=1e-12)
        assert found.point[variant] == plain.argmin()


def test_a_strength_without_end_leaves_the_other():
    """Infinite strength takes its part of the index away."""
    assert border_index([99.0, 4.0, 0.0], np.inf, S) == 0.25
    assert border_reserve([99.0, 0.0, 0.0], np.inf, S) == np.inf


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: border_index([1.0, 2.0], T, S), r"traction has shape \(2,\); its first axis"),
        (lambda: border_index([1.0, 2.0, 3.0], 0.0, S), "strength in tension is 0 MPa"),
        (lambda: border_index([1.0, 2.0, 3.0], T, np.nan), "strength in shear is nan MPa"),
        (lambda: border_reserve([np.nan, 2.0, 3.0], T, S), "traction is nan"),
        (lambda: border_reserve([1.0, 2, 3], T, S, [np.inf, 0, 0]), "fixed traction is inf"),
        (lambda: evaluate_border(np.zeros((3, 0, 6)), np.zeros((6, 1)), T, S), "at least one"),
        (lambda: evaluate_border(np.zeros((3, 2, 6)), np.zeros((5, 1)), T, S), "6 unit loads"),
    ],
)
def test_bad_tractions_and_strengths_are_refused(call, message):
    """Each mistake is told with what is wanted."""
    with pytest.raises(ValueError, match=message):
        call()
