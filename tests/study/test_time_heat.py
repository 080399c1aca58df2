"""Fatigue, loads that stay and warming of solved parts, through study, batch and report."""

from __future__ import annotations

import csv
import io
import json
import math
from dataclasses import asdict, replace

import numpy as np
import pytest

from orthofem import failure, report
from orthofem.loads import Use
from orthofem.materials import REPEATED, infill, infill_share, load
from orthofem.parts import InBox, Shaft
from orthofem.report.files import summary
from orthofem.report.lasting import lasting_csv, lasting_record, years
from orthofem.report.record import plain, record
from orthofem.study import (
    LYING,
    UPRIGHT,
    Conditions,
    HeldPart,
    Lasting,
    Option,
    Print,
    Study,
    SurfaceLoad,
    run,
    time_and_heat,
)
from orthofem.study.batch import Store, run_batch
from orthofem.study.time_heat.endurance import across_layers, in_layer
from orthofem.study.time_heat.warming import may_be_lowest, warming_rows

FORCE, AREA = 600.0, math.pi * 36.0
STRESS = FORCE / AREA
MIDDLE = InBox((15.0, -9.0, -9.0), (25.0, 9.0, 9.0))
BAR = replace(Shaft(outer_diameter=12.0).part(40.0), interest=MIDDLE)
PULL = SurfaceLoad("pull", "Pull along the bar", (FORCE, 0.0, 0.0))
HELD = HeldPart("lower_end", "upper_end", [PULL])
USE = Use(steps_per_day=2000.0, years=2.0, cases=("pull",))
CURVE = REPEATED["pla"]


def solved(conditions, material="pla", frame=UPRIGHT, **prints):
    """Result of a study of the bar."""
    option = Option("bar", BAR, prints or {"shaft": Print(material, frame)})
    return run(Study("bar", [option], HELD, refinements=(0.6,), conditions=conditions))


def rows_of(result, kind, what=""):
    """Findings of a kind."""
    return [row for row in result.lasting["bar"] if row.kind == kind and what in row.what]


def test_all_off_finds_nothing():
    """Without conditions there are no findings, and none for conditions that are all off."""
    plain_run, off = solved(None), solved(Conditions())
    assert plain_run.lasting == off.lasting == {"bar": ()}
    assert plain_run.rows[0].worst.reserve == off.rows[0].worst.reserve


def test_fatigue_of_a_bar_printed_upright():
    """Across layers: reserve and life are those of the S-N form at stress over Zt, unproven."""
    (row,) = rows_of(solved(Conditions(use=USE)), "fatigue", "across")
    assert row.stress == pytest.approx(STRESS, rel=0.01)
    borne = 28.0 * float(CURVE.largest_stress(USE.contacts, 0.9)) / CURVE.static
    assert row.reserve == pytest.approx(borne / row.stress)
    assert (row.proven, row.grade) == (False, "E")
    felt = row.stress * CURVE.static / 28.0
    expected = [CURVE.bearable_cycles(felt, s) / USE.contacts_per_year for s in (0.9, 0.5, 0.1)]
    assert row.years == pytest.approx(expected)


def test_fatigue_of_a_bar_printed_lying():
    """In the layer: the published stress itself, whatever the library's own strength."""
    (row,) = rows_of(solved(Conditions(use=USE), frame=LYING), "fatigue", "in the layer")
    borne = float(CURVE.largest_stress(USE.contacts, 0.9))
    assert row.reserve == pytest.approx(borne / row.stress)
    assert row.stress == pytest.approx(STRESS, rel=0.01)
    assert (row.proven, row.grade) == (True, "D(P)")


def test_life_and_reserve_agree():
    """A reserve of 1 at 90 % survival is a life at 90 % survival equal to the one wanted."""
    (row,) = rows_of(solved(Conditions(use=USE)), "fatigue", "across")
    assert row.years[0] / USE.years == pytest.approx(row.reserve**CURVE.slope)


def test_sliding_of_layers_has_no_value():
    """Shear between layers is told with its size, without a reserve."""
    (row,) = rows_of(solved(Conditions(use=USE)), "fatigue", "sliding")
    assert not row.known
    assert row.standing == "no value: test it"
    assert "no S-N curve" in row.note
    assert np.isfinite(row.stress)


@pytest.mark.parametrize("key", ["petg", "asa", "pla_silk", "steel"])
def test_no_curve_is_no_value(key):
    """Materials without an S-N curve give a row that says so, never a number."""
    rows = rows_of(solved(Conditions(use=USE), key), "fatigue")
    assert rows
    assert not any(row.known for row in rows)
    assert any("test" in row.note or "rig" in row.note for row in rows)


def test_no_curve_off_room_temperature():
    """At 35 degC the static reserve stands, fatigue has no value."""
    result = solved(Conditions(temperature=35.0, use=USE))
    assert result.rows[0].worst.reserve > 0
    assert not any(row.known for row in rows_of(result, "fatigue"))


def test_compression_does_not_tire():
    """A bar that is only pushed has no tension across layers to speak of."""
    push = HeldPart("lower_end", "upper_end", [replace(PULL, force=(-FORCE, 0.0, 0.0))])
    option = Option("bar", BAR, {"shaft": Print("pla")})
    result = run(Study("b", [option], push, refinements=(0.6,), conditions=Conditions(use=USE)))
    (row,) = rows_of(result, "fatigue", "across")
    assert row.stress < 0
    assert row.reserve == math.inf
    assert row.years == (math.inf,) * 3


def test_what_breaks_at_the_first_pull_has_no_life():
    """Above the static strength the life is nothing and the reserve below 1."""
    allowed = in_layer(load("pla"))
    assert allowed.lives(50.0, 1e6) == (0.0, 0.0, 0.0)
    assert allowed.reserve(50.0, 1e6) < 1.0
    assert allowed.reserve(1.0, 1.0) == pytest.approx(CURVE.static)  # one pull: no more than that


def test_infill_and_weak_prints_bear_less():
    """Infill takes the lowest measured ratio; a print weaker than the specimens is scaled down."""
    solid, sparse = in_layer(load("pla")), in_layer(infill(load("pla"), "grid", 0.4))
    assert sparse.scale == infill_share(0.4)
    assert not sparse.proven
    assert sparse.grade == "D(E)"
    weak = replace(load("pla"), strengths=replace(load("pla").strengths, Yt=21.45))
    assert in_layer(weak).scale == pytest.approx(0.5)
    assert solid.scale == 1.0
    assert "not tested across" in across_layers(infill(load("pla"), "grid", 0.4))
    assert "below 20 %" in in_layer(infill(load("pla"), "grid", 0.1))


def test_a_load_that_stays():
    """Reserve against the cap: a fifth of the strength across layers for some hours."""
    (row,) = rows_of(solved(Conditions(hours=10.0)), "sustained")
    assert row.reserve == pytest.approx(0.20 * 28.0 / STRESS, rel=0.02)
    assert row.what == "layers part"
    (weeks,) = rows_of(solved(Conditions(hours=1000.0)), "sustained")
    assert weeks.reserve == pytest.approx(row.reserve / 2.0, rel=1e-6)
    (near,) = rows_of(solved(Conditions(hours=10.0), frame=LYING), "sustained")
    assert near.reserve == pytest.approx(0.25 * 50.0 / STRESS, rel=0.02)


def test_a_load_above_the_creep_law_is_told():
    """Above 10 MPa the note says that it creeps more than the law."""
    hard = HeldPart("lower_end", "upper_end", [replace(PULL, force=(4 * FORCE, 0.0, 0.0))])
    option = Option("bar", BAR, {"shaft": Print("pla")})
    result = run(Study("b", [option], hard, refinements=(0.6,), conditions=Conditions(hours=10.0)))
    (row,) = rows_of(result, "sustained")
    assert "it creeps more" in row.note


def test_no_cap_is_no_value():
    """A print without a cap has no value, even where its stiffness was taken unchanged."""
    (row,) = rows_of(solved(Conditions(hours=10.0, unchanged=("pc",)), "pc"), "sustained")
    assert not row.known


def stretched(expansion):
    """PLA with an expansion."""
    return replace(load("pla"), expansion=(expansion,) * 3)


CORED = replace(Shaft(outer_diameter=12.0, walls=2.0).part(40.0), interest=MIDDLE)
HOT_CORE = Option(
    "bar",
    CORED,
    {"shaft.wall": Print(stretched(3e-5)), "shaft.core": Print(stretched(12e-5))},
)
WARM = Conditions(temperature=43.0, joined_at=23.0)


@pytest.fixture(scope="module")
def warm():
    """Result of the bar whose core expands more than its walls, warmed by 20 K."""
    return run(Study("bar", [HOT_CORE], HELD, refinements=(0.6,), conditions=WARM))


def test_warming_alone_and_on_top(warm):
    """Warming comes first, then every load on top of it; both lower the reserve, or keep it."""
    alone, loaded = rows_of(warm, "warming")
    assert alone.case == "warming alone"
    assert "+20 K" in alone.title
    assert 0 < loaded.reserve < warm.rows[0].worst.reserve
    assert alone.reserve > 1.0


def test_reserve_on_top_of_warming_is_that_of_all_places(warm, monkeypatch):
    """Leaving out the places that cannot govern changes no reserve factor."""
    monkeypatch.setattr(
        "orthofem.study.time_heat.warming.may_be_lowest",
        lambda unit, *rest: np.ones(unit.shape[1], bool),
    )
    every = warming_rows(warm.answers["bar"][-1], HELD, WARM.warming)
    assert [row.reserve for row in every] == pytest.approx(
        [row.reserve for row in rows_of(warm, "warming")], rel=1e-12
    )


def test_places_that_may_govern_hold_the_lowest_reserve():
    """For random stresses and every criterion the lowest reserve is among the places kept."""
    random = np.random.default_rng(90412)
    strengths = load("pla").strengths
    for criterion in (failure.CRITERIA["tsai_hill"], failure.LAYERS, failure.MAX_STRESS):
        unit = random.normal(size=(6, 300, 6))
        loads, kept = random.normal(size=(6, 4)), 3.0 * random.normal(size=(6, 300))
        near = may_be_lowest(unit, loads, kept, strengths, criterion)
        every = failure.evaluate(unit, loads, strengths, criterion, kept)
        some = failure.evaluate(unit[:, near], loads, strengths, criterion, kept[:, near])
        np.testing.assert_allclose(some.reserve, every.reserve, rtol=1e-12)
        assert not near.all()


def test_an_option_that_is_not_rated_is_told_and_the_rest_goes_on():
    """Of two options the one that is too warm is failed with the reason."""
    options = [
        Option("cold PLA", BAR, {"shaft": Print("pla")}),
        Option("ASA", BAR, {"shaft": Print("asa")}),
    ]
    hot = Conditions(temperature=70.0)
    result = run(Study("two", options, HELD, refinements=(0.6,), conditions=hot))
    assert list(result.answers) == ["ASA"]
    assert "not rated" in result.failed["cold PLA"]


@pytest.fixture(scope="module")
def lasting():
    """Result with fatigue and hours."""
    return solved(Conditions(hours=10.0, use=USE, damp=True))


def test_report_has_notes_table_and_plain_data(lasting):
    """Summary, CSV and JSON hold every finding with grade and source."""
    text = summary(lasting, [])
    assert "## Time and heat" in text
    for row in lasting.lasting["bar"]:
        assert row.note in text
    table = list(csv.DictReader(io.StringIO(lasting_csv(lasting))))
    assert [line["kind"] for line in table] == [row.kind for row in lasting.lasting["bar"]]
    assert all(line["grade"] and line["source"] for line in table)
    found = json.loads(json.dumps(record(lasting)))["time_and_heat"]
    assert len(found["findings"]) == len(table)
    assert found["conditions"]["hours"] == 10.0
    assert "unproven" in text


def test_report_without_conditions_says_nothing_of_them():
    """Switched off, the summary has no section and the record no entry."""
    result = solved(None)
    assert "## Time and heat" not in summary(result, [])
    assert lasting_record(result) is None


def test_findings_survive_plain_data(lasting):
    """A finding comes back from its JSON text, with NaN where there is no value."""
    for row in lasting.lasting["bar"]:
        back = Lasting.read(json.loads(json.dumps(plain(row))))
        assert plain(back) == plain(row)
        assert Lasting.read(json.loads(json.dumps(asdict(row)))).known == row.known


def test_lives_in_words():
    """Days, months and years are told with the scatter."""

    def told(*lives):
        return years(Lasting("fatigue", "c", "t", "w", "p", (0.0,) * 3, "", 1.0, 1.0, 3.0, lives,
                             "E", "s", "n"))  # fmt: skip

    assert told() == ""
    assert told(0.02, 0.5, 20.0) == "6 months (90 % of such parts reach 7.3 days, 10 % 20 years)"
    assert "over 1000 years" in told(math.inf, math.inf, math.inf)


def test_batch_keeps_the_findings(tmp_path, lasting):
    """A batch's stored result holds the findings that the study itself has."""
    batch = run_batch({"bar": lasting.study}, Store(tmp_path / "store"))
    assert not batch.failed
    kept = batch.results["bar"].lasting["bar"]
    assert [row.what for row in kept] == [row.what for row in lasting.lasting["bar"]]
    ours = np.array([row.reserve for row in lasting.lasting["bar"]])
    np.testing.assert_allclose([row.reserve for row in kept], ours, rtol=1e-6)
    assert "Time and heat" in report.morning(batch)


def test_time_and_heat_of_an_answer_without_conditions(lasting):
    """None in, nothing out."""
    assert time_and_heat(lasting.answers["bar"][-1], None, HELD) == ()
