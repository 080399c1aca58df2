"""What options cost to print: right for simple parts, honest about windows, clear about misfits."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from orthofem.errors import ModelError
from orthofem.loads import Person, Stick
from orthofem.materials import Printer, PrintFrame, infill, load
from orthofem.mesh import mesh_part
from orthofem.parts import JOINTS, Box, Part, Piece, Shaft, whole_pieces, with_bands
from orthofem.study import (
    LYING,
    HeldPart,
    Option,
    Print,
    StickWindow,
    Study,
    SurfaceLoad,
    option_costs,
    printing_costs,
    run,
    steps,
)

PLA = Print("pla")
DENSITY = 1.24
UP = PrintFrame(build=(0.0, 0.0, 1.0))
SHAFT = Shaft(outer_diameter=32.0)
PERSON = Person(mass=80.0, height=1700.0)
STICK = Stick.for_person(PERSON, pieces=4, diameter=32.0)
SETTING = StickWindow(PERSON, STICK, ("side_kick",))
JOINT = JOINTS["loose_stud"](core_diameter=20.0, flat=3.0)
OPTION = Option(
    "loose stud", JOINT.part(SHAFT), {"lower": PLA, "stud": Print("pla", LYING), "upper": PLA}
)
BLOCK = Part("block", (Piece("block", Box((0, 0, 0), (40, 20, 10))),))


@pytest.fixture(scope="module")
def window():
    """Coarse mesh of the joint's window."""
    return mesh_part(OPTION.part, refinement=0.6)


@pytest.fixture(scope="module")
def block():
    """Mesh of the block."""
    return mesh_part(BLOCK)


def test_a_block_costs_what_its_sides_say(block):
    """Height, layers, footprint, contact, volume, mass and time of a solid block are exact."""
    printer = Printer(flow=5.0, seconds_per_layer=2.0, layer_height=0.25)
    found = printing_costs(Option("block", BLOCK, {"block": Print("pla", UP)}), block, printer)
    (row,) = found.pieces
    assert (row.height, row.layers, row.extent, row.count) == (pytest.approx(10), 40, "whole", 1)
    assert row.footprint == pytest.approx(800)
    assert row.bed_contact == pytest.approx(800)
    assert sorted(row.sides) == pytest.approx([20, 40])
    assert row.volume == row.filament_volume == pytest.approx(8000)
    assert row.mass == pytest.approx(8 * DENSITY)
    assert (row.changes, row.mixed_layers, row.overhang_area, row.misfit) == (0, 0, 0, "")
    assert row.seconds == pytest.approx(8000 / 5 + 40 * 2)


def test_walls_and_infill_count_by_what_is_laid_down():
    """A quarter-filled core lays down a quarter of its volume, of the same filament."""
    part = replace(BLOCK, pieces=(replace(BLOCK.pieces[0], core=Box((2, 2, 2), (36, 16, 6))),))
    sparse = Print(infill(load("pla"), "gyroid", 0.25), UP)
    option = Option("b", part, {"block.wall": Print("pla", UP), "block.core": sparse})
    (row,) = printing_costs(option, mesh_part(part), Printer()).pieces
    core = 36 * 16 * 6
    assert row.filament_volume == pytest.approx(8000 - 0.75 * core)
    assert row.mass == pytest.approx(1e-3 * DENSITY * (8000 - 0.75 * core))
    assert row.volume == pytest.approx(8000)
    assert (row.filaments, row.changes) == (("pla",), 0)


def test_supports_are_laid_down_at_their_own_density():
    """Space under an overhang enters filament and time with the printer's support density."""
    printer = Printer(support_density=0.3, seconds_per_layer=0.0)
    lying = Option("t", BLOCK, {"block": Print("pla", PrintFrame(build=(1.0, 0.0, 1.0)))})
    (row,) = printing_costs(lying, mesh_part(BLOCK), replace(printer, overhang_angle=60)).pieces
    # on its long lower edge: 20 deep; sides of 40 and 10 face down at 45 degrees over the bed
    space = 20 * (40**2 + 10**2) / 4
    assert row.support_volume == pytest.approx(space, rel=1e-2)
    assert row.support_filament == pytest.approx(0.3 * row.support_volume)
    assert row.seconds == pytest.approx((8000 + 0.3 * row.support_volume) / printer.flow)


@pytest.mark.parametrize(
    ("build", "changes", "mixed"), [((0.0, 0.0, 1.0), 1, 0), ((1.0, 0.0, 0.0), 200, 200)]
)
def test_bands_change_filament_once_or_in_every_layer(build, changes, mixed):
    """Two bands one above the other need one change; side by side one in each of 200 layers."""
    part = with_bands(BLOCK, "block", (0.0, 0.0, 1.0), (4.0,), ("foot", "top"))
    frame = PrintFrame(build=build)
    option = Option(
        "b", part, {"block.foot": Print("pla", frame), "block.top": Print("petg", frame)}
    )
    (row,) = printing_costs(option, mesh_part(part), Printer()).pieces
    assert (row.changes, row.mixed_layers) == (changes, mixed)
    assert set(row.filaments) == {"pla", "petg"}


def test_cut_off_pieces_are_labelled_and_the_stud_is_whole(window):
    """In a window the ends are costed as a window, the stud whole and once for each joint."""
    found = printing_costs(OPTION, window, Printer(), SETTING)
    rows = {row.piece: row for row in found.pieces}
    assert {name: row.extent for name, row in rows.items()} == {
        "lower": "window", "stud": "whole", "upper": "window",
    }  # fmt: skip
    assert rows["stud"].count == 3
    assert found.extent == "window"
    assert any("lower and upper: the costs are those of the window" in n for n in found.notes)


def test_whole_pieces_take_the_place_of_the_window(window):
    """With whole pieces the costs are of the stick from end to end, and as high as its pieces."""
    option = replace(OPTION, whole=whole_pieces(JOINT, SHAFT, STICK.length, STICK.joints))
    found = option_costs(option, window, Printer(), SETTING)
    assert [row.piece for row in found.pieces] == ["stud", "tip", "middle", "handle"]
    assert [row.count for row in found.pieces] == [3, 1, 2, 1]
    assert found.extent == "whole"
    assert found.height == pytest.approx(STICK.length / 4, abs=0.5)
    solid = np.pi * 16**2 * STICK.length * DENSITY * 1e-3
    assert found.total("mass") == pytest.approx(solid, rel=0.02)  # studs fill their sockets
    cut = printing_costs(OPTION, window, Printer(), SETTING)
    assert found.total("seconds") > 2 * cut.total("seconds")


def test_a_whole_piece_that_continues_two_prints_is_refused(window):
    """A middle piece is both lower and upper; printed in two ways it cannot be."""
    option = replace(OPTION, whole=whole_pieces(JOINT, SHAFT, STICK.length, STICK.joints))
    with pytest.raises(ValueError, match="'middle' continues both upper and lower .* same print"):
        option_costs(option.printed("mixed", upper=LYING), window, Printer(), SETTING)


def test_bought_parts_are_not_costed():
    """A steel bar is bought: of an option of nothing else there is nothing to print."""
    with pytest.raises(ModelError, match="no printed piece; its materials are all bought"):
        printing_costs(Option("s", BLOCK, {"block": Print("steel")}), mesh_part(BLOCK), Printer())


def test_a_piece_has_one_way_up(block):
    """Regions of one piece with different build directions are refused, each named."""
    part = with_bands(BLOCK, "block", (0.0, 0.0, 1.0), (4.0,), ("foot", "top"))
    option = Option("b", part, {"block.foot": Print("pla", UP), "block.top": PLA})
    with pytest.raises(ValueError, match=r"different build directions: block.foot .*block.top"):
        printing_costs(option, mesh_part(part), Printer())


def test_a_misfit_says_which_side_and_by_how_much(block):
    """Too high, or too long for the bed however turned: the side and the excess are told."""
    option = Option("b", BLOCK, {"block": Print("pla", PrintFrame(build=(1.0, 0.0, 0.0)))})
    (row,) = printing_costs(option, block, Printer(height=36.0)).pieces
    assert "it is 40.0 mm high, 4.0 mm more than the printer's 36 mm" in row.misfit
    assert "Turned to build direction" in row.misfit
    flat = Option("b", BLOCK, {"block": Print("pla", UP)})
    (row,) = printing_costs(flat, block, Printer(width=38.0, depth=15.0, height=45.0)).pieces
    assert "along the bed's depth" in row.misfit
    assert "more than the 15 mm there" in row.misfit
    (row,) = printing_costs(flat, block, Printer(width=21.0, depth=41.0)).pieces
    assert row.misfit == ""


def test_a_printer_smaller_than_a_stud_says_what_gives(window):
    """No way up fits: the piece, its size, the printer's room and what to change are told."""
    with pytest.raises(
        ModelError, match=r"Piece '\w+' does not fit .* Nor does it any other way up: .* times the "
        r"printer's room of 18 x 18 x 18 mm\. Make the piece smaller .*stud.*larger printer",
    ):  # fmt: skip
        printing_costs(OPTION, window, Printer(18.0, 18.0, 18.0), SETTING)


def held(printer):
    """A study of the block held at one end, with a printer or without."""
    part = Shaft(outer_diameter=12.0).part(40.0)
    options = [
        Option("bar", part, {"shaft": PLA}),
        Option("lying", part, {"shaft": Print("pla", LYING)}),
    ]
    pull = SurfaceLoad("pull", "Pull along the bar", (100.0, 0.0, 0.0))
    setting = HeldPart("lower_end", "upper_end", [pull])
    return Study("bars", options, setting, refinements=(0.6,), printer=printer)


def test_a_study_costs_its_options_only_when_it_names_a_printer():
    """Costs stand beside the reserves, and each step is told; without a printer there are none."""
    told = []
    found = run(held(Printer()), told.append)
    assert set(found.printing) == set(found.answers) == {"bar", "lying"}
    assert found.printing["bar"].height == pytest.approx(40)
    assert found.printing["lying"].height == pytest.approx(12, rel=1e-3)
    assert len(told) == steps(found.study)
    assert run(held(None)).printing == {}


def test_an_option_that_no_way_up_can_be_printed_is_not_judged():
    """All options too large for the printer: the study says so before it solves anything."""
    told = []
    with pytest.raises(ModelError, match="No option could be judged. .*Nor does it any other way"):
        run(held(Printer(20.0, 20.0, 20.0)), told.append)
    assert not any("solving" in text for text in told)


def test_standing_on_the_other_end_is_recommended_where_it_saves_support(window):
    """The upper piece stands on its socket's mouth; turned round it needs no support."""
    found = printing_costs(OPTION, window, Printer(), SETTING)
    rows = {row.piece: row for row in found.pieces}
    assert rows["upper"].support_volume > 5000
    assert rows["upper"].support_turned < 10
    assert any(note.startswith("upper: standing on its other end") for note in found.notes)
