"""What printing costs stands in every output of a run, labelled as an estimate."""

from __future__ import annotations

import csv
import json

import pytest
from typer.testing import CliRunner

from orthofem.cli import app
from orthofem.materials import Printer
from orthofem.report.printing import OPTION_COLUMNS, PIECE_COLUMNS

STUDY = """
from orthofem.materials import Printer
from orthofem.parts import Shaft
from orthofem.study import HeldPart, LYING, Option, Print, Study, SurfaceLoad

def study():
    part = Shaft(outer_diameter=12.0).part(40.0)
    bar = Option("upright", part, {"shaft": Print("pla")})
    pull = SurfaceLoad("pull", "Pull along the bar", (100.0, 0.0, 0.0))
    return Study("A bar", [bar, bar.printed("lying", shaft=LYING)],
                 HeldPart("lower_end", "upper_end", [pull]), refinements=(0.5,),
                 printer=Printer(height=36.0))
"""


@pytest.fixture(scope="module")
def done(tmp_path_factory):
    """A run with a printer: what it said, and its folder."""
    folder = tmp_path_factory.mktemp("run")
    (folder / "bar.py").write_text(STUDY)
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("COLUMNS", "200")
        found = CliRunner().invoke(app, ["run", str(folder / "bar.py"), "--out", str(folder / "o")])
    assert found.exit_code == 0, found.output
    return found.output, folder / "o"


def test_the_terminal_shows_costs_beside_reserves(done):
    """A table of estimates, a mark and the reason where a piece does not fit."""
    told = " ".join(done[0].split())
    assert "What printing costs (estimates)" in told
    assert "40 mm !" in told
    assert "4.0 mm more than the printer's 36 mm" in told


def test_each_row_of_the_table_holds_its_option_s_costs(done):
    """results.csv has the option's print height beside every reserve factor."""
    with (done[1] / "results.csv").open() as file:
        rows = list(csv.DictReader(file))
    assert set(OPTION_COLUMNS) <= set(rows[0])
    heights = {row["option"]: float(row["print height [mm]"]) for row in rows}
    assert heights == pytest.approx({"upright": 40.0, "lying": 12.0}, rel=1e-3)
    assert "print time, estimate [h]" in rows[0]


def test_pieces_have_a_table_of_their_own(done):
    """printing.csv has one line a piece, its misfit included."""
    with (done[1] / "printing.csv").open() as file:
        rows = list(csv.DictReader(file))
    assert tuple(rows[0]) == PIECE_COLUMNS
    assert [row["piece"] for row in rows] == ["shaft", "shaft"]
    assert "40.0 mm high" in rows[0]["does not fit"]
    assert rows[1]["does not fit"] == ""
    assert float(rows[1]["supported space [mm3]"]) > 0 == float(rows[0]["supported space [mm3]"])


def test_the_record_names_the_printer_and_its_grades(done):
    """results.json holds every number of the printer with its grade, and the label."""
    found = json.loads((done[1] / "results.json").read_text())["printing"]
    assert "estimates" in found["note"]
    assert found["printer"]["height"]["mean"] == 36.0
    assert {value["grade"] for value in found["printer"].values()} == {"E"}
    assert set(found["printer"]) == set(Printer().values)
    assert found["options"]["lying"]["pieces"][0]["layers"] == 60


def test_the_summary_says_what_printing_costs(done):
    """summary.md has the section, its label and the note on what does not fit."""
    text = (done[1] / "summary.md").read_text()
    assert "## What printing costs (estimates)" in text
    assert "Print costs are estimates" in text
    assert "- upright: Piece 'shaft' does not fit" in text
