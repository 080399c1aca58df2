"""What a bench should show of an option before anyone relies on it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from orthofem.errors import ModelError
from orthofem.loads import Person, Stick
from orthofem.mesh import mesh_part
from orthofem.parts import InBox, Shaft
from orthofem.report.bench import bench_alike, bench_how, bench_record, bench_rows, foretold
from orthofem.study import (
    LYING,
    HeldPart,
    Option,
    Print,
    StickWindow,
    Study,
    StudyResult,
    SurfaceLoad,
    evaluate,
    foretell,
    hung_weight,
)

DIAMETER, LENGTH = 20.0, 80.0
SETTING = StickWindow(
    Person(), Stick(length=900.0, diameter=DIAMETER), ("twist", "heavy_support"),
    stations=(450.0,), centre=LENGTH / 2,
)  # fmt: skip


@pytest.fixture(scope="module")
def bars():
    """A plain bar, upright and lying, on two meshes; stresses are read in its middle only."""
    middle = InBox((37.0, -11.0, -11.0), (43.0, 11.0, 11.0))
    part = replace(Shaft(outer_diameter=DIAMETER).part(LENGTH), interest=middle)
    meshes = [mesh_part(part, refinement=level) for level in (0.8, 1.3)]
    upright = Option("upright", part, {"shaft": Print("pla")})
    return {
        option.name: tuple(evaluate(option, mesh, SETTING) for mesh in meshes)
        for option in (upright, upright.printed("lying", shaft=LYING))
    }


@pytest.fixture(scope="module")
def result(bars):
    """A study of the two bars."""
    return StudyResult(Study("Bars", [a[-1].option for a in bars.values()], SETTING), bars)


def test_a_plain_bar_breaks_where_beam_theory_says(bars):
    """Force at the break is strength times section modulus over arm: Zt upright, Xt lying.

    The ball halves at the rim and so reads 3/8 of its radius inside; stresses are read up to
    3 mm nearer to the clamp.
    """
    modulus = np.pi * DIAMETER**3 / 32
    for name, strength, mode in (
        ("upright", 28.0, "layers part"), ("lying", 50.0, "bead breaks along"),
    ):  # fmt: skip
        found = foretell(bars[name], SETTING)
        inside = 1 - 3 / 8 * bars[name][-1].readings[0].radius / (DIAMETER / 2)
        expected = strength * modulus / (found.arm + 3.0) / inside
        assert found.force == pytest.approx(expected, rel=0.015)
        assert found.row.worst.mode == mode


def test_the_weight_sinks_as_a_cantilever(bars):
    """Half the force at the break sinks as far as a cantilever from clamp to weight, within 1 %."""
    found = foretell(bars["upright"], SETTING)
    length, inertia = found.arm + found.clamp, np.pi * DIAMETER**4 / 64
    assert found.clamp == pytest.approx(LENGTH / 2)
    bent = length**3 / (3 * 2700.0 * inertia)
    sheared = length / (0.9 * 1000.0 * np.pi / 4 * DIAMETER**2)
    assert found.sinking == pytest.approx(0.5 * found.force * (bent + sheared), rel=0.01)


def test_scatter_of_the_strength_behind_the_mode_gives_the_span(bars):
    """Across layers 20 % and in the layer 8 % scatter, and the mesh, widen nine of ten."""
    for name, strength, scatter in (("upright", "Zt", 0.20), ("lying", "Xt", 0.08)):
        found = foretell(bars[name], SETTING)
        low, high = found.span
        share = np.hypot(1.645 * scatter, found.row.uncertainty)
        assert (found.strength, found.scatter) == (strength, scatter)
        assert low == pytest.approx(found.force * (1 - share))
        assert high == pytest.approx(found.force * (1 + share))


def test_loads_of_a_weight_balance_about_the_joint():
    """Every direction carries one newton across the axis and its moment about the joint."""
    loading = hung_weight(250.0)
    force, moment = loading.resultants[:3], loading.resultants[3:]
    np.testing.assert_allclose(np.linalg.norm(force, axis=0), 1.0)
    np.testing.assert_allclose(moment, np.cross([250.0, 0, 0], force.T).T, atol=1e-12)
    assert loading.labels[0] == "hung toward +y"
    assert loading.labels[2] == "hung toward +y and +z"
    assert loading.labels[3] == "hung toward +z, a little +y"
    assert loading.labels[12] == "hung toward -z"


def test_a_load_case_is_worth_its_share_of_the_break(bars):
    """A case with reserve r uses the joint up as 1/r of the breaking force does."""
    answers = bars["upright"]
    found = foretell(answers, SETTING)
    row = StudyResult(Study("s", [answers[-1].option], SETTING), {"upright": answers}).rows[0]
    same = replace(row, worst=replace(row.worst, mode=found.row.worst.mode))
    assert found.alike(same) * row.worst.reserve == pytest.approx(found.force)
    other = replace(row, worst=replace(row.worst, mode="crushing"))
    assert np.isnan(found.alike(other))


def test_what_gives_no_scatter_gives_no_span(bars):
    """Where the scatter is not known, neither are the forces between which breaks fall."""
    found = replace(foretell(bars["upright"], SETTING), scatter=np.nan)
    assert np.isnan(found.span).all()
    assert bench_rows([found])[0][2] == "scatter not known"


def test_the_summary_tells_how_to_hang_and_what_to_make_of_it(result):
    """Clamp, arm, caution and the table of breaks stand in the report's lines."""
    found = foretold(result)
    words = " ".join(bench_how(found))
    assert "clamp's edge 40 mm below the joint" in words
    assert "hang a bucket 300 mm" in words
    assert "Never a person" in words
    rows = bench_rows(found)
    assert [cells[0] for cells in rows] == ["upright", "lying"]
    assert [cells[4] for cells in rows] == ["layers part", "bead breaks along"]
    twist = result.option_rows("upright")[0].worst
    row = found[0].row
    slides = replace(found[0], row=replace(row, worst=replace(row.worst, mode=twist.mode)))
    worth = f"upright: {twist.loading.title.lower()} {slides.force / twist.reserve:.3g} N"
    assert bench_alike(result, [slides])[0].startswith(worth)
    assert bench_record(found)[0]["force_N"] == found[0].force


def test_parts_held_by_hand_have_no_bench(bars):
    """Only a joint's window in a stick has a bench test."""
    held = HeldPart("lower_end", "upper_end", [SurfaceLoad("pull", "Pull", (1.0, 0, 0))])
    option = bars["upright"][-1].option
    assert foretold(StudyResult(Study("s", [option], held), {"upright": bars["upright"]})) == []
    assert bench_how([]) == []


def test_a_weight_inside_the_window_is_refused(bars):
    """The arm must reach out of what is modelled, and be a length."""
    with pytest.raises(ValueError, match="give at least 40 mm"):
        foretell(bars["upright"], SETTING, arm=30.0)
    with pytest.raises(ValueError, match="arm"):
        hung_weight(-1.0)


def test_pieces_in_contact_are_refused(bars):
    """Answers with contact do not grow with the load, so nothing is foretold from them."""
    touched = (replace(bars["upright"][-1], contact=object()),)
    with pytest.raises(ModelError, match="pieces bonded"):
        foretell(touched, SETTING)
