"""What every figure in the dictionary does."""

from __future__ import annotations

import ast
from pathlib import Path

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.text import Text

import orthofem.figures
from orthofem.figures import FIGURES, save

ROOM = Path(orthofem.figures.__file__).parent


def shown_texts(figure):
    """Texts that are drawn, with something to read; ticks out of sight left out."""
    hidden = set()
    for axes in figure.findobj(Axes):
        for axis in (axes.xaxis, axes.yaxis):
            low, high = sorted(axis.get_view_interval())
            for tick in axis.get_major_ticks() + axis.get_minor_ticks():
                if not axes.axison or not low <= tick.get_loc() <= high:
                    hidden |= {tick.label1, tick.label2}
            if not axes.axison:
                hidden.add(axis.label)
    texts = [t for t in figure.findobj(Text) if t.get_visible() and t.get_text().strip()]
    return [text for text in texts if text not in hidden]


def test_every_figure_has_a_sample(samples):
    """A figure added to the dictionary must be given tiny data here, and so be tested."""
    assert set(samples) == set(FIGURES)


@pytest.mark.parametrize("name", FIGURES)
def test_a_figure_of_its_own_and_a_given_one(name, samples):
    """Without a target a figure comes back; a given figure comes back itself, drawn on."""
    own = FIGURES[name](samples[name])
    assert isinstance(own, Figure)
    given = Figure(figsize=(6, 5), layout="constrained")
    assert FIGURES[name](samples[name], given) is given
    assert len(given.findobj(Text)) > 2


@pytest.mark.parametrize("name", FIGURES)
def test_one_axes_is_enough_or_refused(name, samples):
    """Figures of one panel draw on an Axes; those of several say that they need a figure."""
    axes = Figure(layout="constrained").subplots()
    if name in (
        "contact_interface", "print_directions", "overview", "orientation_tradeoff",
        "plan_tradeoff",
    ):  # fmt: skip
        with pytest.raises(ValueError, match=f"{name} draws several panels.* give a Figure"):
            FIGURES[name](samples[name], axes)
    else:
        assert FIGURES[name](samples[name], axes) is axes


@pytest.mark.parametrize("name", FIGURES)
def test_letters_are_large_enough(name, samples):
    """No text is smaller than 8 points at the width of its own figure."""
    sizes = [text.get_fontsize() for text in shown_texts(FIGURES[name](samples[name]))]
    assert min(sizes) >= 8


@pytest.mark.parametrize("name", FIGURES)
def test_words_stay_on_the_paper_and_apart(name, samples):
    """No text leaves the figure, and no two texts lie on each other."""
    figure = FIGURES[name](samples[name])
    figure.draw_without_rendering()
    page = figure.bbox
    boxes = [(t.get_text(), t.get_window_extent()) for t in shown_texts(figure)]
    assert len(boxes) > 3
    for text, box in boxes:
        assert page.x0 - 1 <= box.x0, text
        assert box.x1 <= page.x1 + 1, text
        assert page.y0 - 1 <= box.y0, text
        assert box.y1 <= page.y1 + 1, text
    for k, (text, box) in enumerate(boxes):
        for other, against in boxes[k + 1 :]:
            width = min(box.x1, against.x1) - max(box.x0, against.x0)
            height = min(box.y1, against.y1) - max(box.y0, against.y0)
            assert min(width, height) < 2, f"'{text}' lies on '{other}'"


@pytest.mark.parametrize("name", FIGURES)
def test_the_same_picture_gives_the_same_files(name, samples, tmp_path):
    """Drawn and saved twice, PNG and SVG are equal byte for byte, and carry no date."""
    twice = [save(FIGURES[name](samples[name]), tmp_path / k / name) for k in ("a", "b")]
    for first, second in zip(*twice, strict=True):
        assert first.read_bytes() == second.read_bytes()
    assert [path.suffix for path in twice[0]] == [".png", ".svg"]
    svg = twice[0][1].read_text()
    assert "<text" in svg
    assert "<dc:date>" not in svg


@pytest.mark.parametrize("name", FIGURES)
def test_drawing_changes_no_data(name, samples):
    """A figure leaves the arrays that it is given as they were."""
    arrays = [v for v in vars(samples[name]).values() if isinstance(v, np.ndarray)]
    before = [a.copy() for a in arrays]
    FIGURES[name](samples[name])
    assert all(np.array_equal(a, b, equal_nan=True) for a, b in zip(arrays, before, strict=True))


def test_no_global_drawing_state():
    """The room never touches pyplot."""
    for path in ROOM.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text())):
            names = [a.name for a in node.names] if isinstance(node, ast.Import) else []
            if isinstance(node, ast.ImportFrom):
                names = [f"{node.module}.{a.name}" for a in node.names]
            assert not any("pyplot" in name for name in names), path.name
