"""What the report says of uncertainty, ties and peaks that do not converge."""

from __future__ import annotations

import csv
import io

import numpy as np
import pytest

from orthofem.mesh import MeshReport
from orthofem.parts import Shaft
from orthofem.report.glance import glance_columns, glance_rows, table_cells
from orthofem.report.pictures import convergence
from orthofem.report.table import csv_text
from orthofem.report.verdict import case_verdicts, overall, unsettled
from orthofem.study import HeldPart, Option, Print, Study, StudyResult, SurfaceLoad, Worst
from orthofem.study.batch.stored import StoredAnswer, StoredMesh

PULL = SurfaceLoad("pull", "Pull", (100.0, 0.0, 0.0))


def answer(reserve, raw, unknowns):
    """Return an answer with one load case, without fields."""
    report = MeshReport(unknowns // 4, unknowns // 3, unknowns, {}, {}, 0.0, 1.0, 0)
    worst = Worst(
        loading=PULL.loading(), reserve=reserve, index=1 / reserve, criterion="layers",
        mode="layers part", region="shaft", piece="shaft", place=(0.0, 6.0, 0.0), variant=0,
        held=100_000, raw_reserve=raw,
    )  # fmt: skip
    return StoredAnswer((worst,), StoredMesh(report))


def result(**reserves):
    """Return a study's result from reserves of each option, on meshes of 20,000 unknowns and up."""
    part = Shaft(outer_diameter=12.0).part(40.0)
    options = [Option(name, part, {"shaft": Print("pla")}) for name in reserves]
    answers = {
        name: tuple(answer(value, value * 0.8**i, 20_000 * 2**i) for i, value in enumerate(values))
        for name, values in reserves.items()
    }
    levels = tuple(0.7 + 0.3 * i for i in range(len(next(iter(reserves.values())))))
    study = Study("s", options, HeldPart("lower_end", "upper_end", [PULL]), refinements=levels)
    return StudyResult(study, answers)


def rows(found):
    """Table of a result as dictionaries."""
    return list(csv.DictReader(io.StringIO(csv_text(found))))


def test_options_too_near_to_tell_are_named_as_equal():
    """Two options 2 % apart, each sure to 4 %, are called equal everywhere; the third is not."""
    found = result(a=(2.02, 2.04), b=(1.98, 2.0), c=(1.0, 1.01))
    assert found.ties() == [("a", "b")]
    (verdict,) = case_verdicts(found)
    assert "'a' and 'b' differ by less than the meshes leave open" in verdict.conclusion
    assert "take them as equal" in verdict.conclusion
    assert "'b' cannot be told from it" in overall(found)
    assert "'c' is weakest" in overall(found)
    told = {row["option"]: row["not told apart from"] for row in rows(found)}
    assert told == {"a": "b", "b": "a", "c": ""}


def test_options_far_apart_have_a_strongest():
    """With the difference above the uncertainties the strongest is named, with its factor."""
    found = result(a=(2.0, 2.0), b=(1.5, 1.5))
    assert found.ties() == []
    assert "'a' is strongest: 1.33 times 'b'" in case_verdicts(found)[0].conclusion
    assert "cannot be told" not in overall(found)


def test_the_table_carries_uncertainty_and_limit():
    """Uncertainty in percent and the extrapolated factor stand in the table, of first order."""
    (row,) = rows(result(a=(2.1, 2.0)))
    ratio = 2 ** (1 / 3) - 1
    assert float(row["uncertainty [%]"]) == pytest.approx(100 * 0.05 / ratio, rel=1e-3)
    assert float(row["extrapolated reserve factor [-]"]) == pytest.approx(2 - 0.1 / ratio, rel=1e-3)


def test_one_mesh_leaves_the_uncertainty_open():
    """With one mesh the table has no uncertainty, the words say so, and nothing is tied."""
    found = result(a=(2.0,), b=(2.01,))
    assert rows(found)[0]["uncertainty [%]"] == "nan"
    assert "one mesh only" in unsettled(found.rows[0])[0]
    assert table_cells(found.rows[0])[6:9] == ["-", "-", "-"]
    assert found.ties() == []


def test_a_peak_that_does_not_converge_is_named():
    """The raw peak that loses a fifth at each mesh is named beside the value that stands."""
    (row,) = result(a=(2.0, 2.01)).rows
    assert row.sharp
    assert table_cells(row)[6:9] == ["+0.5 %", "1.9 %", "-19.6 %"]
    assert not unsettled(row)


def test_the_table_at_a_glance_marks_what_breaks_and_what_falls_short():
    """Strongest first; bold below 1, slanted below what is asked for, "?" where not settled."""
    found = result(a=(0.5, 0.5), b=(3.0, 3.0), c=(1.5, 1.5), d=(2.5, 4.0))
    assert glance_columns(found) == ["Pull (asks for 2)"]
    cells = {name: cell for name, cell in glance_rows(found)}
    assert list(cells) == ["d", "b", "c", "a"]
    assert cells == {
        "a": "**0.50** layers part", "b": "3.00 layers part", "c": "*1.50* layers part",
        "d": "4.00 ? layers part",
    }  # fmt: skip


def test_the_convergence_figure_gets_all_meshes():
    """Unknowns, raw and averaged values of each mesh, and what is left open at the end."""
    data = convergence(result(a=(2.1, 2.0, 1.95), b=(1.0, 1.1, 1.12)), "pull")
    np.testing.assert_array_equal(data.unknowns[0], [20_000, 40_000, 80_000])
    np.testing.assert_allclose(data.averaged[1], [1.0, 1.1, 1.12])
    np.testing.assert_allclose(data.raw[0], [2.1, 1.6, 1.248])
    assert (data.uncertainty > 0).all()
