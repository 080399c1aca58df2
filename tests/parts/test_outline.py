import numpy as np
import pytest

from orthofem.parts import Arc, Line, Outline, Pen, Revolved, mirrored, polygon


def ring(radius, away):
    """Circle of that radius round (0, away), as four quarter arcs."""
    centre = (0.0, away)
    pen = Pen(radius, away).arc(0, away + radius, centre).arc(-radius, away, centre)
    pen.arc(0, away - radius, centre).arc(radius, away, centre)
    return pen.close()


def test_circle_area_is_pi_r_squared():
    """Arcs are integrated exactly, not as chords."""
    assert ring(3.0, 10.0).area == pytest.approx(np.pi * 9, rel=1e-12)


def test_torus_volume_is_that_of_pappus():
    """A circle turned round an axis encloses 2 pi^2 R r^2."""
    torus = Revolved(ring(2.0, 7.0))
    assert torus.volume == pytest.approx(2 * np.pi**2 * 7 * 4, rel=1e-12)


def test_ball_volume_from_two_quarter_arcs():
    """An outline on the axis gives a solid without a hole: 4/3 pi r^3."""
    pen = Pen(-5, 0).arc(0, 5, (0, 0)).arc(5, 0, (0, 0))
    assert Revolved(pen.close()).volume == pytest.approx(4 / 3 * np.pi * 125, rel=1e-12)


def test_sense_of_drawing_does_not_matter():
    """Clockwise and anticlockwise outlines enclose the same."""
    points = [(0, 1), (6, 1), (6, 4), (2, 5)]
    assert polygon(points).moment == pytest.approx(polygon(points[::-1]).moment, rel=1e-14)


def test_mirrored_outline_keeps_area_and_moment():
    """Mirroring changes no volume and puts each point at minus x."""
    outline = Pen(1, 2).line(5, 2).arc(7, 4, (5, 4)).line(1, 4).close()
    other = mirrored(outline)
    assert other.moment == pytest.approx(outline.moment, rel=1e-14)
    assert other.points()[0] == pytest.approx(-outline.points()[0])


def test_pen_leaves_out_steps_of_no_length():
    """A line to where the pen stands adds no segment."""
    assert len(Pen(0, 0).line(0, 0).line(3, 0).line(3, 0).line(0, 3).close().segments) == 3


@pytest.mark.parametrize(
    ("start", "segments", "message"),
    [
        ((0, 0), (Line((1, 0)), Line((1, 1))), r"must close"),
        ((0, 0), (Line((0, 0)), Line((1, 1))), r"no length.*\(0, 0\)"),
        ((0, 0), (Arc((2, 0), (0.5, 0)), Line((0, 0))), r"begins 0.5 mm and ends 1.5 mm"),
        ((0, 0), (Arc((2, 0), (1, 0)), Line((0, 0))), r"180 degrees or more"),
        ((0, 0), (Line((float("nan"), 0)), Line((0, 0))), r"outline point is nan"),
        ((0, 0), (Line((2, 2)), Line((2, 0)), Line((0, 2)), Line((0, 0))), r"crosses itself"),
    ],
)
def test_impossible_outlines_are_refused(start, segments, message):
    """Each way an outline can be wrong is named with its numbers."""
    with pytest.raises(ValueError, match=message):
        Outline(start, segments)


def test_revolved_outline_below_the_axis_is_refused():
    """A negative radius is named."""
    with pytest.raises(ValueError, match=r"reaches r = -1 mm"):
        Revolved(polygon([(0, -1), (2, -1), (2, 3)]))
