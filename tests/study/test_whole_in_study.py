"""A study that gives the stick's outline judges each option as a whole stick as well."""

from __future__ import annotations

import csv
import json
from dataclasses import replace

import pytest

from orthofem.loads import Person, Stick
from orthofem.parts import JOINTS, Shaft, Waist
from orthofem.report import write
from orthofem.report.whole import strongest, whole_page
from orthofem.study import LYING, HeldPart, Option, Print, StickWindow, Study, SurfaceLoad, run
from orthofem.study.stick import DetailWindow, StickPiece, WholeStick, whole_stick
from orthofem.study.stick.piece import cut_shaft

PERSON = Person(mass=80.0, height=1700.0)
SHAFT = Shaft(32.0)
STICK = Stick(900.0, (300.0, 600.0), 32.0)
PLA = Print("pla")
STUD = JOINTS["printed_stud"](core_diameter=20.0).part(SHAFT)
UPRIGHT_STUD = Option("stud, upright", STUD, {"lower": PLA, "upper": PLA})
MIXED = UPRIGHT_STUD.printed("stud, half lying", lower=LYING)
ROD = Option(
    "steel rod", JOINTS["cored"](core_diameter=12.0).part(SHAFT),
    {"lower": PLA, "upper": PLA, "rod": Print("steel"), "glue": Print("epoxy_adhesive")},
)  # fmt: skip
CASES = ("everyday_walking", "full_weight")


@pytest.fixture(scope="module")
def result():
    """Return a study of a stud, of one whose pieces differ, and of a rod that runs on."""
    setting = StickWindow(PERSON, STICK, CASES)
    options = [UPRIGHT_STUD, MIXED, ROD]
    return run(Study("Sticks", options, setting, refinements=(0.5,), outline=SHAFT))


def test_whole_stick_is_that_of_its_pieces_and_windows(result):
    """The study's whole stick is the one put together by hand from the same answer."""
    found = result.whole["stud, upright"]
    answer = result.answers["stud, upright"][-1]
    edges = (0.0, 300.0, 600.0, 900.0)
    pieces = [StickPiece(a, b, SHAFT, PLA) for a, b in zip(edges[:-1], edges[1:], strict=True)]
    windows = [DetailWindow(x, answer) for x in STICK.joints]
    byhand = whole_stick(WholeStick(PERSON, STICK, pieces, windows, CASES, step=75.0))
    assert found.weakest.margin == pytest.approx(byhand.weakest.margin, rel=1e-9)
    assert [r.station for r in found.by_station] == [r.station for r in byhand.by_station]
    joint = next(r for r in found.rows if r.station == 600.0 and r.case == "full_weight")
    assert joint.basis == "detailed model"
    assert joint.with_bowing < joint.reserve


def test_what_makes_no_whole_stick_is_told(result):
    """Pieces printed differently at their two ends, and a rod that runs on, are named."""
    assert set(result.whole) == {"stud, upright"}
    assert "printed differently" in result.not_whole["stud, half lying"]
    assert "glue and rod reach on beyond the window" in result.not_whole["steel rod"]
    assert set(result.answers) == {"stud, upright", "stud, half lying", "steel rod"}


def test_report_tells_the_whole_stick(result, tmp_path):
    """Page, table, record and figure name the same weakest link."""
    write(result, tmp_path)
    page = (tmp_path / "summary.md").read_text()
    row = result.whole["stud, upright"].weakest
    assert "## The whole stick" in page
    assert row.words in page
    assert "figures/whole_stick.png" in page
    assert "Not judged as a whole stick: 'steel rod': glue and rod" in page
    with (tmp_path / "whole_stick.csv").open() as file:
        table = list(csv.DictReader(file))
    least = min(table, key=lambda line: float(line["margin"]))
    assert float(least["station_mm"]) == row.station
    assert {line["option"] for line in table} == {"stud, upright"}
    kept = json.loads((tmp_path / "results.json").read_text())["whole_stick"]
    assert kept["options"]["stud, upright"]["weakest"]["with_bowing"] == pytest.approx(
        row.with_bowing
    )
    assert strongest(result) == "stud, upright"
    assert (tmp_path / "figures" / "whole_stick.png").stat().st_size > 10_000


def test_without_outline_nothing_is_told(result):
    """A study without outline has no whole stick; one in which no option makes one says why."""
    assert whole_page(replace(result, whole={}, not_whole={})) is None
    page = whole_page(replace(result, whole={}))
    assert "No option" in page.lead
    assert len(page.notes) == 2
    assert not page.stations


def test_held_part_has_no_outline():
    """A part that is held by a surface is no window of a stick."""
    held = HeldPart("lower_end", "upper_end", [SurfaceLoad("push", "Push", (0.0, 10.0, 0.0))])
    pin = Option("pin", Shaft(11.0).part(24.0), {"shaft": PLA})
    with pytest.raises(ValueError, match="outline is that of a stick"):
        Study("A pin", [pin], held, outline=SHAFT)


def test_cut_shaft_keeps_taper_and_waist():
    """A piece has the stick's diameters at its ends, and the waist if that lies in it."""
    taper = cut_shaft(Shaft(24.0, outer_end=30.0), 900.0, 300.0, 900.0)
    assert (taper.outer_diameter, taper.outer_end) == (26.0, 30.0)
    waist = Waist(position=450.0, diameter=20.0, length=40.0, fillet=10.0)
    low, high = (
        cut_shaft(Shaft(30.0, waist=waist), 900.0, *span) for span in ((0.0, 300.0), (300.0, 900.0))
    )
    assert low.waist is None
    assert high.waist == replace(waist, position=150.0)
