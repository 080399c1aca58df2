"""People and sticks: lengths, masses, and what is refused."""

import dataclasses
import math

import pytest

from orthofem.loads import Person, Stick, hand_torque, stick_length


@pytest.mark.parametrize(("height", "length"), [(1600, 807), (1700, 852), (1800, 897), (1900, 942)])
def test_stick_length(height, length):
    """Stick length follows body height as printed (D(S))."""
    assert stick_length(height) == length


@pytest.mark.parametrize("mass", [0, 400, -80, math.nan])
def test_impossible_mass(mass):
    """A mass no person has is refused with the range."""
    with pytest.raises(ValueError, match="Mass of the person"):
        Person(mass=mass)
    if mass == 400:
        with pytest.raises(ValueError, match="must lie between 20 and 250 kg"):
            Person(mass=mass)


def test_height_in_metres():
    """A height in metres is refused."""
    with pytest.raises(ValueError, match="Height of the person = 1.7 mm"):
        Person(height=1.7)
    with pytest.raises(ValueError, match="Height of the person"):
        stick_length(5.0)


def test_mass_of_a_solid_stick():
    """Without a mass, that of the solid shaft is taken, and it follows the dimensions."""
    stick = Stick(length=900, diameter=30)
    assert stick.total_mass == pytest.approx(1.24e-6 * math.pi / 4 * 900 * 900)
    thick = dataclasses.replace(stick, diameter=60)
    assert thick.total_mass == pytest.approx(4 * stick.total_mass)
    assert Stick(length=900, mass=0.4).total_mass == 0.4


def test_stick_for_a_person():
    """A four-piece stick of the usual length has three joints, evenly spaced."""
    stick = Stick.for_person(Person(height=1700), pieces=4, diameter=28)
    assert stick.length == 852
    assert stick.joints == pytest.approx((213, 426, 639))
    assert Stick.for_person(Person(), pieces=1).joints == ()


BAD = [
    ({"length": 0.9}, "Stick length = 0.9 mm"),
    ({"joints": (450, 225)}, "joints = .*increase"),
    ({"joints": (450, 900)}, "lie between"),
    ({"joints": (0, 450)}, "lie between"),
    ({"joints": (math.nan,)}, "joints of the stick is nan"),
    ({"diameter": -3}, "Stick diameter = -3 mm"),
    ({"diameter": 300}, "slender"),
    ({"handle_overhang": -1}, "handle_overhang"),
    ({"mass": 0}, "Stick mass = 0 kg"),
    ({"density": 0}, "Stick density"),
    ({"EI": -1.0}, "Stick EI"),
]


@pytest.mark.parametrize(("change", "message"), BAD, ids=[m for _, m in BAD])
def test_impossible_stick(change, message):
    """Each impossible dimension is refused by name."""
    with pytest.raises(ValueError, match=message):
        Stick(**{"length": 900, **change})


def test_number_of_pieces():
    """A stick has 1 to 12 pieces."""
    with pytest.raises(ValueError, match="pieces = 0"):
        Stick.for_person(Person(), pieces=0)


@pytest.mark.parametrize(("D", "T"), [(15, 1440), (20, 2560), (25, 4000), (30, 4400), (40, 5200)])
def test_hand_torque(D, T):
    """Hand torque on a round shaft is the printed fit (D(E))."""
    assert hand_torque(D) == pytest.approx(T)


def test_hand_torque_outside_the_fit():
    """A shaft thicker than the fit covers is refused."""
    with pytest.raises(ValueError, match="gripped diameter"):
        hand_torque(90)
