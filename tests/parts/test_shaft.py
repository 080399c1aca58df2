import numpy as np
import pytest

from orthofem.parts import Shaft, Waist, stick_pieces
from orthofem.parts.shaft import fillet_size


def volume(shaft, length):
    """Closed-form volume of the shaft as a part."""
    return shaft.part(length).pieces[0].solid.volume


def test_straight_bored_and_tapered_volumes():
    """Bar, tube and frustum have their textbook volumes."""
    assert volume(Shaft(30.0), 100.0) == pytest.approx(np.pi * 225 * 100)
    assert volume(Shaft(30.0, bore=10.0), 100.0) == pytest.approx(np.pi * 200 * 100)
    frustum = np.pi * 100 / 3 * (15**2 + 15 * 10 + 10**2)
    assert volume(Shaft(30.0, outer_end=20.0), 100.0) == pytest.approx(frustum)


@pytest.mark.parametrize("fillet", [2.0, 5.0, 12.0])
def test_waist_volume_by_slices(fillet):
    """The neck takes away what a sum over thin slices says, for quarter and partial fillets."""
    waist = Waist(60.0, 20.0, 10.0, fillet)
    x = np.linspace(0, 120, 1_200_001)
    x = (x[1:] + x[:-1]) / 2
    beyond = np.maximum(np.abs(x - 60) - 5, 0)
    rise = fillet - np.sqrt(np.maximum(fillet**2 - beyond**2, 0))
    radius = np.where(beyond < waist.reach(15.0), np.minimum(10 + rise, 15), 15)
    assert volume(Shaft(30.0, waist=waist), 120.0) == pytest.approx(
        np.pi * (radius**2).sum() * 1e-4, rel=1e-6
    )


def test_core_lies_the_wall_thickness_inside():
    """Volume of the core of a plain shaft and of a tube."""
    core = Shaft(30.0, walls=2.0).part(100.0).pieces[0].core
    assert core.volume == pytest.approx(np.pi * 13**2 * 96)
    core = Shaft(30.0, bore=10.0, walls=2.0).part(100.0).pieces[0].core
    assert core.volume == pytest.approx(np.pi * (13**2 - 7**2) * 96)


def test_core_follows_the_waist_at_the_wall_thickness():
    """Every point of the core's outline lies the wall thickness from the shaft's own."""
    part = Shaft(30.0, waist=Waist(60.0, 18.0, 10.0, 9.0), walls=2.0).part(120.0)
    skin = part.pieces[0].solid.outline.points(2000)
    grid = np.linspace(skin[:, :-1], skin[:, 1:], 200, axis=2).reshape(2, -1)
    grid = grid[:, grid[1] > 1e-9]
    inner = part.pieces[0].core.outline.points(40)
    inner = inner[:, inner[1] > 0]
    away = np.linalg.norm(inner[:, :, None] - grid[:, None, ::7], axis=0).min(axis=1)
    assert away.min() == pytest.approx(2.0, abs=0.01)


def test_local_diameter_of_a_taper():
    """The straight shaft at a station has the diameter there."""
    shaft = Shaft(30.0, outer_end=24.0, walls=2.0)
    assert shaft.at(250.0, 1000.0) == Shaft(28.5, walls=2.0)


def test_stations_cut_the_stick_into_equal_pieces():
    """One joint fewer than pieces."""
    assert stick_pieces(1200.0, 4) == (300.0, 600.0, 900.0)
    assert stick_pieces(1200.0, 1) == ()


def test_fillet_size_gives_the_edges():
    """A quarter circle holds the asked number of edges of that size."""
    assert 8 <= 3.0 * np.pi / 2 / fillet_size(3.0, 8) < 9


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: Shaft(-30.0), r"outer diameter = -30 mm"),
        (lambda: Shaft(float("nan")), r"outer diameter is nan"),
        (lambda: Shaft(30.0, outer_end=0.0), r"at the end = 0"),
        (lambda: Shaft(30.0, bore=-1.0), r"bore = -1 mm"),
        (lambda: Shaft(30.0, bore=29.0), r"leaves a wall of 0.5 mm"),
        (lambda: Shaft(30.0, outer_end=10.0, bore=12.0), r"leaves a wall of -1 mm"),
        (lambda: Shaft(30.0, walls=15.0), r"no core left"),
        (lambda: Shaft(30.0, bore=20.0, walls=3.0), r"no core left"),
        (lambda: Shaft(30.0, walls=0.0), r"walls = 0"),
        (lambda: Shaft(30.0, waist=Waist(50.0, 30.0, 5.0, 2.0)), r"must be thinner"),
        (lambda: Shaft(30.0, 20.0, waist=Waist(50.0, 12.0, 5.0, 2.0)), r"not both"),
        (lambda: Waist(50.0, -12.0, 5.0, 2.0), r"waist diameter = -12"),
        (lambda: Waist(float("inf"), 12.0, 5.0, 2.0), r"waist position is inf"),
        (lambda: Shaft(waist=Waist(5.0, 12.0, 5.0, 4.0)).part(100.0), r"beyond the shaft's ends"),
        (lambda: Shaft().part(0.0), r"length = 0"),
        (lambda: Shaft().at(30.0, 20.0), r"station = 30 mm; it must lie between 0 and 20"),
        (lambda: stick_pieces(100.0, 0), r"0 pieces"),
        (lambda: stick_pieces(100.0, 2.5), r"2.5 pieces"),
        (lambda: stick_pieces(-1.0, 2), r"stick length = -1"),
    ],
)
def test_impossible_shafts_are_refused(make, message):
    """Each error names the number and what is allowed."""
    with pytest.raises(ValueError, match=message):
        make()
