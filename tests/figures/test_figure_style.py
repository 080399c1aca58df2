"""Colours read in grey, and small drawing helpers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from matplotlib.colors import to_rgb
from matplotlib.path import Path as Curve

from orthofem.failure import MODES
from orthofem.figures.outline import loops, outline, parallel_lines
from orthofem.figures.scene import camera, edge_lines
from orthofem.figures.style import (
    INDEX_STEPS,
    MODE_LOOK,
    OPTION_MARKERS,
    index_scale,
    look_of_modes,
    option_line,
    spread,
    tones_of,
)


def lightness(colour):
    """CIE lightness of a colour, 0 to 100."""
    rgb = np.array(to_rgb(colour))
    linear = np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
    return 116 * np.cbrt(linear @ [0.2126, 0.7152, 0.0722]) - 16


def test_index_scale_darkens_steadily_and_jumps_at_one():
    """In grey every step is darker than the one before, and the step at 1 is the largest."""
    middles = [*(INDEX_STEPS[1:] + INDEX_STEPS[:-1]) / 2, 9.0]
    light = np.array([lightness(index_scale().to_rgba(value)) for value in middles])
    drop = -np.diff(light)
    assert (drop > 3).all()
    assert np.argmax(drop) == np.searchsorted(INDEX_STEPS, 1) - 1


def test_every_way_of_failing_has_a_look_of_its_own():
    """The modes that the failure room names are those with a look, none left to chance."""
    assert set(MODES) == set(MODE_LOOK)
    assert len(set(MODE_LOOK.values())) == len(MODES) == 8


def test_known_modes_look_different_in_grey():
    """No two modes share both lightness (within 15) and hatch."""
    looks = [(lightness(tone), hatch) for tone, hatch in MODE_LOOK.values()]
    for k, (light, hatch) in enumerate(looks):
        for other, against in looks[k + 1 :]:
            assert hatch != against or abs(light - other) > 15


def test_unknown_modes_get_looks_of_their_own():
    """A mode that is not in the list still differs from all others."""
    looks = look_of_modes(("layers part", "glue peels", "rod bends"))
    assert len(set(looks)) == 3


def test_options_differ_by_marker_too():
    """Options in one figure never share a marker before all markers are used."""
    assert len({option_line(k)["marker"] for k in range(len(OPTION_MARKERS))}) == 7


def test_neighbouring_pieces_differ_in_lightness():
    """The pieces of a loose-stud joint are told apart in grey."""
    light = sorted(lightness(tone) for tone in tones_of(("lower", "stud", "upper")))
    assert np.diff(light).min() > 7


def test_unnamed_pieces_get_free_tones():
    """Pieces of the user's own naming get tones that differ from those in use."""
    assert len(set(tones_of(("lower", "handle", "foot", "upper")))) == 4


def test_spread_keeps_order_and_gap():
    """Labels end up in their order, at least the gap apart, unmoved where there is room."""
    places = np.array([3.0, 1.0, 1.1, 1.05, 9.0])
    moved = spread(places, 1.0)
    assert (np.argsort(moved) == np.argsort(places)).all()
    assert np.diff(np.sort(moved)).min() >= 1 - 1e-12
    assert moved[4] == 9


def test_outline_follows_holes():
    """A square ring has two outlines, run round in opposite senses."""
    corners = np.array([[0, 3, 3, 0, 1, 2, 2, 1], [0, 0, 3, 3, 1, 1, 2, 2.0]])
    quads = [(k, (k + 1) % 4, 4 + (k + 1) % 4, 4 + k) for k in range(4)]
    triangles = np.array([t for a, b, c, d in quads for t in ((a, b, c), (a, c, d))]).T
    found = loops(triangles)
    assert sorted(len(loop) for loop in found) == [4, 4]
    areas = []
    for loop in found:
        x, y = corners[:, loop]
        areas.append(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)) / 2)
    assert sorted(areas) == pytest.approx([-1, 9])
    assert (outline(corners, triangles).codes == Curve.MOVETO).sum() == 2


def test_outline_of_nothing_is_empty():
    """No triangles have no outline."""
    assert len(outline(np.zeros((2, 0)), np.zeros((3, 0), int)).vertices) == 0


def test_layer_lines_are_cut_by_a_gap(section):
    """A line across two halves with a gap between them comes in two stretches."""
    apart = replace(section, points=section.points + np.array([[1.0], [0]]) * (
        np.arange(section.points.shape[1]) >= section.points.shape[1] // 2))  # fmt: skip
    lines = parallel_lines(apart.points, apart.triangles, np.array([0, 1.0]), 12.0)
    assert lines[:, :, 0] == pytest.approx(np.array([[-30, 0], [1, 31]]))
    assert lines[:, :, 1] == pytest.approx(0)


def test_slanting_layers_keep_their_distance(section):
    """Lines of any slant lie the given distance apart and have the length of the chord."""
    across = np.array([3.0, 4.0]) / 5
    lines = parallel_lines(section.points, section.triangles, across, 2.0)
    heights = np.unique(np.round(lines @ across, 9))
    assert np.diff(heights) == pytest.approx(2.0)
    assert np.ptp(lines @ across, axis=1) == pytest.approx(0, abs=1e-9)
    assert np.linalg.norm(np.diff(lines, axis=1), axis=2).sum() * 2.0 == pytest.approx(
        60 * 12, rel=0.01
    )


def test_sharp_edges_of_a_cube_are_drawn(surface):
    """From a corner view nine of the cube's twelve edges of 16 mm are drawn."""
    lines = edge_lines(surface.points, surface.triangles, surface.group, camera())
    assert np.linalg.norm(lines[:, 1] - lines[:, 0], axis=0).sum() == pytest.approx(9 * 16)
