"""What a bench should show of an option before anyone relies on it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from orthofem.errors import ModelError
from orthofem.loads import Person, Stick
from orthofem.materials import Printer
from orthofem.mesh import mesh_part
from orthofem.parts import InBox, Shaft
from orthofem.report.bench import (
    bench_alike,
    bench_how,
    bench_notes,
    bench_record,
    bench_rows,
    foretold,
)
from orthofem.study import (
    LYING,
    Conditions,
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
from orthofem.study.behind import strength_behind
from orthofem.study.bench import arm_on
from orthofem.study.uncertainty import Estimate

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


def test_the_clamp_may_break_the_plain_piece_first(bars, result):
    """Clamped 340 mm from the weight a bar of 785 mm3 breaks at 28 or 50 MPa: sooner than read.

    Stresses of this bar are read near its middle only, so the report must warn of the clamp.
    """
    for name, expected in (("upright", 64.68), ("lying", 115.5)):
        found = foretell(bars[name], SETTING)
        assert found.clamp_force == pytest.approx(expected, rel=0.005)
        assert found.clamp_force < found.force
    notes = bench_notes(result)
    assert len(notes) == 2
    assert "upright: at the clamp's edge the plain piece breaks at 64.7 N" in notes[0]


def test_the_arm_suits_the_printer():
    """300 mm where a printer takes it, else what is left of the smallest side after 40 mm."""
    assert arm_on(None) == arm_on(Printer(width=400.0, depth=400.0, height=400.0)) == 300.0
    assert arm_on(Printer(width=220.0, depth=220.0, height=250.0)) == 180.0


def test_crushing_rests_on_the_strength_along_the_stick():
    """An upright piece crushes by Zc, a lying one by Xc; a mode without a strength has none."""
    assert strength_behind("crushing", Print("pla"))[0] == "Zc"
    assert strength_behind("crushing", Print("pla", LYING))[0] == "Xc"
    assert strength_behind("layers slide", Print("pla"))[0] == "S_interlaminar"
    assert strength_behind("border parts", Print("pla")) == ("", None)


def test_the_weight_sinks_as_a_cantilever(bars):
    """Half the force at the break sinks as far as a cantilever from clamp to weight, within 1 %."""
    found = foretell(bars["upright"], SETTING)
    length, inertia = found.arm + found.clamp, np.pi * DIAMETER**4 / 64
    assert found.clamp == pytest.approx(LENGTH / 2)
    bent = length**3 / (3 * 2700.0 * inertia)
    sheared = length / (0.9 * 1000.0 * np.pi / 4 * DIAMETER**2)
    assert found.sinking == pytest.approx(0.5 * found.force * (bent + sheared), rel=0.01)


def test_scatter_of_the_strength_behind_the_mode_gives_the_span(bars):
    """Across layers 20 % scatter, in the layer 8 %: a third, and an eighth, either way and more."""
    for name, strength, scatter, least in (
        ("upright", "Zt", 0.2, 0.329),
        ("lying", "Xt", 0.08, 0.13),
    ):
        found = foretell(bars[name], SETTING)
        low, high = found.span
        assert (found.strength, found.scatter) == (strength, scatter)
        assert low + high == pytest.approx(2 * found.force)
        assert high / found.force - 1 > least
        surer = replace(found, row=replace(found.row, estimate=Estimate(1.0, 0.0, 1.0)))
        assert surer.span[1] / found.force - 1 == pytest.approx(least, rel=0.02)
    one_mesh = foretell(bars["upright"][-1:], SETTING)
    assert np.isnan(one_mesh.span).all()


def test_places_refined_for_other_loads_leave_the_bench_as_unsure(bars):
    """Where meshes were refined for the study's loads, the least sure of them counts."""
    estimates = tuple(Estimate(1.0, sure, 1.0) for sure in (0.04, 0.3))
    refined = (*bars["lying"][:-1], replace(bars["lying"][-1], estimates=estimates))
    assert foretell(refined, SETTING).row.uncertainty == 0.3


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
    assert bench_rows([found])[0][2] == "not known"


def test_large_forces_are_written_out(bars):
    """A thousand newtons and a hundred millimetres are told without an exponent."""
    found = foretell(bars["upright"], SETTING)
    worst = replace(found.row.worst, reserve=12345.6)
    cells = bench_rows([replace(found, row=replace(found.row, worst=worst), sinking=123.4)])[0]
    assert cells[1] == "12346 N (1259 kg)"
    assert cells[-1] == "123 mm"


def test_the_summary_tells_how_to_hang_and_what_to_make_of_it(result):
    """Clamp, arm, caution and the table of breaks stand in the report's lines."""
    found = foretold(result)
    words = " ".join(bench_how(result, found))
    assert "clamp's edge 40 mm from the joint" in words
    assert "on the upper half 300 mm from it" in words
    assert "Never a person" in words
    warm = replace(result, study=replace(result.study, conditions=Conditions(temperature=40.0)))
    assert "multiply by k" in words
    assert "multiply by k" not in " ".join(bench_how(warm, found))
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
    bare = StudyResult(Study("s", [option], held), {"upright": bars["upright"]})
    assert foretold(bare) == bench_how(bare, []) == bench_notes(bare) == []


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
    option = bars["upright"][-1].option
    told = bench_notes(StudyResult(Study("s", [option], SETTING), {"upright": touched}))
    assert told == ["'upright' has pieces in contact; its bench test is foretold for the same "
                    "option with its pieces bonded."]  # fmt: skip
