"""The printer: its numbers, their grades, and its plain model of time."""

from __future__ import annotations

from dataclasses import fields

import pytest

from orthofem.materials import Printer


def test_time_adds_flow_layers_and_changes():
    """600 mm3 at 6 mm3/s, 10 layers of 5 s and 2 changes of 60 s take 270 s."""
    printer = Printer(flow=6.0, seconds_per_layer=5.0, seconds_per_change=60.0)
    assert printer.seconds(600.0, 10, 2) == 270.0


def test_layers_are_counted_up_to_the_top():
    """36 mm are 180 layers of 0.2 mm, a little more is one layer more, a skin is one."""
    printer = Printer()
    assert [printer.layers(h) for h in (36.0, 36.0 + 1e-9, 36.01, 0.01)] == [180, 180, 181, 1]


def test_every_number_is_an_estimate_and_says_who_chose_it():
    """All defaults are graded E; a number of the user's own says so."""
    values = Printer(height=180.0).values
    assert set(values) == {field.name for field in fields(Printer)}
    assert {value.grade for value in values.values()} == {"E"}
    assert "set your own" in values["width"].source
    assert values["height"].mean == 180.0
    assert "given in the study" in values["height"].source


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"width": 0.0}, "printer's width = 0 mm; it must be above zero"),
        ({"height": -5.0}, "printer's height = -5 mm"),
        ({"layer_height": float("nan")}, "printer's layer height is nan"),
        ({"flow": 0.0}, "printer's flow = 0 mm3/s"),
        ({"seconds_per_change": -1.0}, "printer's seconds per change = -1 s; it must not be below"),
        ({"overhang_angle": 91.0}, "overhang angle = 91 degree; it must lie between 0 and 90"),
        ({"support_density": 1.5}, "support density = 1.5; it must lie between 0 and 1"),
        ({"layer_height": 300.0}, "layer height = 300 mm is above its height of 250 mm"),
    ],
)
def test_impossible_printers_are_refused(change, message):
    """Each number out of its range is named with what is allowed."""
    with pytest.raises(ValueError, match=message):
        Printer(**change)


def test_no_height_has_no_layers():
    """A print without height is refused."""
    with pytest.raises(ValueError, match="height = 0 mm; it must be above zero"):
        Printer().layers(0.0)
