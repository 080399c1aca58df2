"""The figure of load shares: what it draws, and what it refuses."""

from dataclasses import replace

import numpy as np
import pytest

from orthofem.figures import LoadShare, load_share
from orthofem.loads.clamp import ClampedJoint

PULL = np.linspace(0.0, 3000.0, 61)


@pytest.fixture
def share():
    """A joint with and without preload."""
    joint = ClampedJoint(40e3, 40e3)
    curves = [joint.shares(preload, PULL) for preload in (800.0, 0.0)]
    stud, shoulder = (np.stack(side) for side in zip(*curves, strict=True))
    return LoadShare("Tie rod", ("tight", "loose"), PULL, stud, shoulder, np.array([1600.0, 0.0]))


def test_every_state_has_both_forces_and_its_opening(share):
    """Each state's two curves are drawn as given; a line marks an opening inside the range."""
    axes = load_share(share).axes[0]
    drawn = [line.get_ydata() for line in axes.lines if len(line.get_ydata()) == len(PULL)]
    for curve in (*share.stud, *share.shoulder):
        assert any(np.array_equal(curve, other) for other in drawn)
    marks = [line.get_xdata()[0] for line in axes.lines if len(line.get_xdata()) == 2]
    assert 1600.0 in marks
    words = [text.get_text() for text in axes.figure.legends[0].get_texts()]
    assert "tight: parts at 1 600 N" in words
    assert not any("finite" in word for word in words)


def test_checks_are_drawn_as_points(share):
    """Solutions by finite elements stand on the curves as points of their own, and in the key."""
    checks = np.array([[500.0, 2000.0], [1050.0, 2000.0], [550.0, 0.0]])
    axes = load_share(replace(share, checks=checks)).axes[0]
    points = [line for line in axes.lines if line.get_linestyle() == "None"]
    assert [line.get_ydata().tolist() for line in points] == checks[1:].tolist()
    words = [text.get_text() for text in axes.figure.legends[0].get_texts()]
    assert any("finite elements" in word for word in words)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"stud": np.zeros((2, 3))}, "stud"),
        ({"opening": np.zeros(3)}, "opening"),
        ({"checks": np.zeros((2, 4))}, "checks"),
        ({"pull": PULL[::-1]}, "two pulls or more, rising"),
    ],
)
def test_wrong_shapes_are_refused(share, change, message):
    """Each error names what does not fit."""
    with pytest.raises(ValueError, match=message):
        replace(share, **change)
