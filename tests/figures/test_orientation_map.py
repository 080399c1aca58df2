"""What the map of build directions shows."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from matplotlib.patches import PathPatch
from matplotlib.path import Path
from matplotlib.text import Text

from orthofem.figures import FIGURES
from orthofem.figures.attitude import stick
from orthofem.figures.directions import flattened, unflattened, way_up
from orthofem.figures.orientation_map import _net
from orthofem.figures.reserve_key import lightness, reserve_scale, reserve_steps
from orthofem.figures.roomy import apart, deepest


def words(artist):
    """All text of a figure in one string."""
    return "\n".join(text.get_text() for text in artist.findobj(Text))


def hatched(figure):
    """Hatched patches of the map itself: their hatch colour and their area within the rim."""
    patches = [p for p in figure.axes[0].patches if isinstance(p, PathPatch) and p.get_hatch()]
    return [(patch.get_edgecolor()[0], area_within_rim(patch)) for patch in patches]


def area_within_rim(patch, n=200):
    """Area of a patch on the map, counted on a fine grid by crossings of its outlines."""
    x, y = (np.mgrid[:n, :n] + 0.5) / n * 2 - 1
    inside = np.hypot(x, y) < 1
    points = np.stack([x[inside], y[inside]], axis=1)
    odd = np.zeros(len(points), dtype=bool)
    for loop in patch.get_path().to_polygons(closed_only=True):
        odd ^= Path(loop).contains_points(points)
    return odd.sum() * 4 / n**2


def test_map_keeps_areas():
    """Equal parts of the half sphere have equal parts of the map: half of it within 60 degrees."""
    assert np.linalg.norm(flattened(np.array([0.5, np.sqrt(0.75), 0]))) == pytest.approx(
        np.sqrt(0.5)
    )
    rng = np.random.default_rng(77123)
    step = 1e-4
    for _ in range(20):
        ways = rng.normal(size=3)
        ways[0] = abs(ways[0])
        ways /= np.linalg.norm(ways)
        first = np.cross(ways, [0.3, -0.5, 0.8])
        first /= np.linalg.norm(first)
        second = np.cross(ways, first)
        a, b = ((flattened(ways + step * t) - flattened(ways - step * t)) for t in (first, second))
        area = abs(a[0] * b[1] - a[1] * b[0]) / (2 * step) ** 2
        assert area == pytest.approx(0.5, rel=1e-5)  # 2 pi of the half sphere, pi of the map


def test_map_and_back():
    """A place on the map gives back the direction that it stands for."""
    rng = np.random.default_rng(40017)
    ways = rng.normal(size=(3, 50))
    ways /= np.linalg.norm(ways, axis=0)
    ways[0] = np.abs(ways[0])
    assert unflattened(flattened(ways)) == pytest.approx(ways)


def test_upright_is_in_the_middle_and_lying_on_the_rim(orientation):
    """Marks stand where their directions are: upright at the centre, lying on the rim, by name."""
    figure = FIGURES["orientation_map"](orientation)
    spots = [line.get_xydata()[0] for line in figure.axes[0].lines if len(line.get_xdata()) == 1]
    distance = sorted(np.hypot(*spot) for spot in spots)
    assert distance == pytest.approx([0, 1])  # best and lying are opposite ends: one mark
    found = words(figure)
    assert "best, lying: 3.2" in found
    assert "upright: 0.7" in found
    for expected in ("centre:\nupright", "rim:\nlying", "lying, z up", "lying,\ny up"):
        assert expected in found


def test_opposite_directions_make_the_same_map(orientation):
    """Turning some directions round changes nothing but which end is printed first."""
    turned = orientation.directions * np.where(np.arange(90) % 3 == 0, -1, 1)
    figures = [
        FIGURES["orientation_map"](replace(orientation, directions=ways))
        for ways in (orientation.directions, turned)
    ]
    first, second = ([f for f in _fills(figure)] for figure in figures)
    assert len(first) == len(second) > 3
    for a, b in zip(first, second, strict=True):
        assert a == pytest.approx(b, abs=1e-9)


def _fills(figure):
    sets = [c for c in figure.axes[0].collections if type(c).__name__ == "TriContourSet"]
    return [path.vertices for path in sets[0].get_paths() if len(path.vertices)]


def test_net_goes_on_beyond_the_rim(orientation):
    """Triangles cover the whole disc, and outside it stand for the opposite directions."""
    shape, whose = _net(orientation.directions)
    places = np.stack([shape.x, shape.y])
    assert np.hypot(*places).max() > 1.1
    ways = unflattened(places)
    assert np.abs(np.einsum("ik,ik->k", ways, orientation.directions[:, whose])) == pytest.approx(1)
    turn = np.linspace(0, 2 * np.pi, 40)
    inside = shape.get_trifinder()(0.999 * np.cos(turn), 0.999 * np.sin(turn))
    assert (inside >= 0).all()


def test_impractical_directions_are_hatched_with_the_reason(orientation):
    """The band that is not practical is hatched over its share of the map, and the key says why."""
    figure = FIGURES["orientation_map"](orientation)
    assert orientation.why in words(figure)
    ring = np.pi * ((1 - 0.1) - (1 - 0.4))  # 1 - x is the square of the radius
    assert sum(area for _, area in hatched(figure)) == pytest.approx(ring, rel=0.05)
    free = replace(orientation, impractical=np.zeros(90, bool))
    plain = FIGURES["orientation_map"](free)
    assert hatched(plain) == []
    assert orientation.why not in words(plain)


def test_hatch_is_seen_on_dark_and_on_light(orientation):
    """Hatching is white where the tone is dark and dark where it is light."""
    everything = replace(orientation, impractical=np.ones(90, bool))
    colours = {colour for colour, _ in hatched(FIGURES["orientation_map"](everything))}
    assert max(colours) == 1.0
    assert min(colours) < 0.2


def test_a_mark_that_is_not_practical_says_so(orientation):
    """A pointed-out direction that the printer forbids carries that beside its name."""
    barred = replace(orientation, impractical=orientation.directions[0] > 0.9)
    found = words(FIGURES["orientation_map"](barred))
    assert "upright: 0.7\n(not practical)" in found
    assert "best, lying: 3.2\n(not practical)" not in found


def test_borders_lie_half_way_between_modes(orientation):
    """The border between two ways to fail runs where one direction's way gives to the next's."""
    figure = FIGURES["orientation_map"](orientation)
    borders = [
        path.vertices
        for c in figure.axes[0].collections if type(c).__name__ == "QuadContourSet"
        for path in c.get_paths() if len(path.vertices)
    ]  # fmt: skip
    x = 1 - (np.concatenate(borders) ** 2).sum(axis=1)
    assert np.median(x) == pytest.approx(0.6, abs=0.03)
    assert np.abs(x - 0.6).max() < 0.15
    found = words(figure)
    assert "layers\npart" in found
    assert "bead breaks\nalong" in found
    assert "between two ways to fail" in found


def test_one_mode_has_no_borders(orientation):
    """Where everything fails in one way it is named once and there is no border."""
    same = replace(orientation, mode=("layers part",) * 90)
    figure = FIGURES["orientation_map"](same)
    assert not [c for c in figure.axes[0].collections if type(c).__name__ == "QuadContourSet"]
    assert words(figure).count("layers\npart") == 1


def test_a_small_area_is_named_at_the_side(orientation):
    """A mode with no room for its name has it beside the map, with a line."""
    near = orientation.directions[1] > 0.9
    mode = np.where(near, "crushing", orientation.mode)
    figure = FIGURES["orientation_map"](replace(orientation, mode=tuple(mode.tolist())))
    (name,) = [t for t in figure.axes[0].texts if t.get_text() == "crushing"]
    assert name.get_position()[0] > 1


def test_wanted_factor_is_a_line_or_a_sentence(orientation):
    """A wanted factor within the range is a dashed line; else the key says all or none have it."""

    def shown(wanted):
        return words(FIGURES["orientation_map"](replace(orientation, wanted=wanted)))

    assert "reserve factor 1.25, which is wanted" in shown(1.25)
    assert "no direction has the wanted reserve factor of 8" in shown(8.0)
    assert "every direction has the wanted reserve factor of 0.5" in shown(0.5)
    assert "wanted" not in shown(None)


def test_the_scale_says_which_side_of_one(orientation):
    """The bar tells breaking from holding, also where all directions do the same."""

    def shown(factor):
        more = replace(orientation, reserve=factor * orientation.reserve)
        return words(FIGURES["orientation_map"](more)).split("\n")

    assert {"breaks", "holds"} <= set(shown(1.0))
    assert "every direction breaks" in shown(0.1)
    assert "every direction holds" in shown(10.0)


def test_unbreakable_directions_are_drawn(orientation):
    """A reserve factor without end is drawn in the lightest tone and named."""
    reserve = np.where(orientation.directions[0] < 0.1, np.inf, orientation.reserve)
    figure = FIGURES["orientation_map"](replace(orientation, reserve=reserve))
    assert "best, lying: does not break" in words(figure)


@pytest.mark.parametrize("ends", [(0.05, 0.3), (0.6, 0.61), (0.4, 6.0), (1.2, 900.0), (2.0, 2.0)])
def test_reserve_tones_lighten_steadily(ends):
    """In grey every step is lighter than the one below, most of all where 1 is passed."""
    steps = reserve_steps(np.array(ends))
    assert steps[0] <= ends[0] <= ends[1] <= steps[-1]
    assert 2 <= steps.size <= 9
    scale = reserve_scale(steps)
    light = lightness(scale.to_rgba((steps[1:] + steps[:-1]) / 2)[:, :3])
    assert (np.diff(light) > 4).all()
    if ends[0] < 1 < ends[1]:
        assert 1.0 in steps
        assert np.argmax(np.diff(light)) == np.searchsorted(steps, 1.0) - 1
    warm = scale.to_rgba((steps[1:] + steps[:-1]) / 2)
    breaks = steps[1:] <= 1
    assert (warm[breaks, 0] > warm[breaks, 2]).all()
    assert (warm[~breaks, 0] < warm[~breaks, 2] + 0.03).all()  # the lightest is nearly white


def test_words_find_the_most_room():
    """A name goes to the middle of its area, away from marks, and it is known whether it fits."""
    x, y = np.meshgrid(np.linspace(-1, 1, 41), np.linspace(-1, 1, 41))
    pixels = np.stack([x.ravel(), y.ravel()])
    place, room = deepest(pixels, pixels[0] > -0.01, np.array([0.4, 0.2]))
    assert place[0] == pytest.approx(0.5, abs=0.06)
    assert room > 2
    beside, _ = deepest(pixels, pixels[0] > -0.01, np.array([0.4, 0.2]), [place])
    assert np.linalg.norm(beside - place) > 0.2
    assert deepest(pixels, pixels[0] > 2, np.array([0.4, 0.2]))[1] == 0.0
    assert deepest(pixels, pixels[0] > 0.93, np.array([0.4, 0.2]))[1] < 1


def test_labels_are_pushed_apart_within_the_box():
    """Twenty labels in one place end up apart and inside the box."""
    moved = apart(np.full((2, 20), 5.0), 1.0, np.zeros(2), np.full(2, 10.0))
    away = np.linalg.norm(moved[:, :, None] - moved[:, None], axis=0) + 9 * np.eye(20)
    assert away.min() > 0.95
    assert moved.min() >= 0
    assert moved.max() <= 10


def test_sketches_stand_on_the_bed():
    """Upright, leaning and lying, the sketch touches the bed and has the same area."""
    for lean in (0.0, 45.0, 90.0):
        x, y = stick(lean)
        assert y.min() == pytest.approx(0)
        twice = np.sum(x * np.roll(y, -1) - y * np.roll(x, -1))
        assert twice / 2 == pytest.approx(0.26 * 0.075)
    assert np.ptp(stick(0.0)[1]) == pytest.approx(0.26)


def test_ways_up_in_words():
    """A direction is named by its lean from the stick's axis, its side, and its upper end."""
    assert way_up(np.array([3.0, 0, 0])) == "upright"
    assert way_up(np.array([0, 0, -1.0])) == "lying, -z up"
    assert way_up(np.array([0, 1.0, -1.0])) == "lying, 315° from y up"
    assert way_up(np.array([-1, np.sqrt(3), 0])) == "leaning 60° to y, -x up"


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"directions": np.ones((3, 4))}, r"shape \(3, 4\); give \(3, n\), n at least 12"),
        ({"directions": np.ones((2, 90))}, r"shape \(2, 90\)"),
        ({"directions": np.zeros((3, 90))}, "directions holds no direction"),
        ({"marks": {"best": (0, 0, 0)}}, "mark 'best' holds no direction"),
        ({"reserve": np.ones(3)}, r"reserve has shape \(3,\); it must be \(90,\)"),
        ({"reserve": np.linspace(0, 1, 90)}, "reserve factor 0 is 0; every one must be above zero"),
        ({"reserve": np.full(90, np.nan)}, "reserve factor 0 is nan"),
        ({"mode": ("layers part",)}, r"mode has shape \(1,\)"),
        ({"impractical": np.zeros(4, bool)}, r"impractical has shape \(4,\)"),
    ],
)  # fmt: skip
def test_a_map_that_does_not_fit_is_refused(orientation, change, message):
    """Directions, factors, modes and marks must fit each other."""
    with pytest.raises(ValueError, match=message):
        replace(orientation, **change)
