"""Print costs in a batch: those of a plain run, kept in the store, told in the morning."""

from __future__ import annotations

from dataclasses import replace

import pytest

from orthofem.materials import Printer
from orthofem.parts import Shaft
from orthofem.report import batch_printing_csv, morning, write_morning
from orthofem.report.printing import printing_csv
from orthofem.report.table import csv_text
from orthofem.study import HeldPart, Option, Print, Study, SurfaceLoad, run
from orthofem.study.batch import How, Store, case_of, run_batch, solve_case, stored_answers
from orthofem.study.batch.key import case_key
from orthofem.study.batch.stored import stored_print

PRINTER = Printer(height=60.0)
HELD = HeldPart("lower_end", "upper_end", [SurfaceLoad("push", "Push", (0.0, 10.0, 0.0))])
PIN = Option("pin", Shaft(outer_diameter=11.0).part(24.0), {"shaft": Print("pla")})
STUDY = Study("A pin", [PIN], HELD, refinements=(0.6,), printer=PRINTER)


@pytest.fixture(scope="module")
def found(tmp_path_factory):
    """Return a batch of the pin with and without a printer."""
    studies = {"printed": STUDY, "plain": replace(STUDY, printer=None)}
    return run_batch(studies, Store(tmp_path_factory.mktemp("store")), How(workers=1))


def test_batch_costs_are_those_of_a_plain_run(found):
    """Costs out of the store equal those of a run, in the record and in both tables."""
    plain = run(STUDY)
    result = found.results["printed"]
    assert result.printing == plain.printing
    assert printing_csv(result) == printing_csv(plain)
    assert csv_text(result) == csv_text(plain)
    assert found.results["plain"].printing == {}


def test_morning_tells_print_costs(found, tmp_path):
    """The page shows an estimate for the study with a printer only; printing.csv has its piece."""
    page = morning(found)
    assert page.count("Print costs are estimates") == 1
    assert "| pin | 1 pieces | 24 mm |" in page
    paths = write_morning(found, tmp_path)
    assert [path.name for path in paths] == ["table.csv", "morning.md", "printing.csv"]
    lines = batch_printing_csv(found).splitlines()
    assert lines[0].startswith("study,option,piece,")
    assert [line.split(",")[:3] for line in lines[1:]] == [["printed", "pin", "shaft"]]


def test_printer_decides_the_key():
    """Another printer, or none, is another case; the same printer is the same one."""
    keys = [
        case_key(case_of(study, PIN))
        for study in (
            STUDY, replace(STUDY, printer=Printer(height=60.0)), replace(STUDY, printer=None),
            replace(STUDY, printer=Printer(height=61.0)),
        )
    ]  # fmt: skip
    assert keys[0] == keys[1]
    assert len(set(keys)) == 3


def test_refined_case_is_costed_too():
    """A case that is refined as it goes has the same costs, from its first mesh."""
    study = replace(STUDY, uncertainty=0.5)
    result = solve_case(case_of(study, PIN))
    assert stored_print(result, "pin", PRINTER) == run(STUDY).printing["pin"]
    assert stored_print(result, "pin", None) is None
    assert stored_answers(result, HELD)
