"""From a wish to plans: what comes out, and that it holds together."""

from __future__ import annotations

import json
import math

import numpy as np
import pytest

from orthofem.errors import ModelError
from orthofem.materials import Printer, infill, load
from orthofem.parts import Shaft
from orthofem.report import plan_conclusion, plan_words, write_plans
from orthofem.report.plan_tables import COLUMNS, PART_COLUMNS, parts_csv, plans_csv, plans_record
from orthofem.study.planner import Wish, plan
from orthofem.study.planner.models import Models
from orthofem.study.planner.remedies import yardstick

CASES = ("full_weight", "pull_apart")


pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def result():
    """A short stick on a small printer, everything coarse."""
    return plan(Wish(
        length=400.0, outline=20.0, joints=["printed_stud"], cases=CASES, most_pieces=2,
        printer=Printer(width=170.0, depth=170.0, height=300.0), coarseness=0.3,
        refinements=(0.35, 0.5), keep_from_handle=60.0, confirm=1, title="A short stick",
    ))  # fmt: skip


def test_no_plan_beats_another(result):
    """Each plan is better than every other in margin, print time or support."""
    rows = np.array([[-p.fast_margin, p.cost.seconds, p.cost.support] for p in result.plans])
    for k, row in enumerate(rows):
        others = np.delete(rows, k, axis=0)
        assert not (others <= row).all(axis=1).any()


def test_the_first_plan_is_confirmed_and_the_fast_models_are_near(result):
    """Detailed models on two meshes answer the first plan, within a fifth of the fast ones."""
    answer = result.top.confirmed
    assert answer.failed == ""
    assert {row.case for row in answer.rows} == set(CASES)
    assert all(row.uncertainty > 0 for row in answer.rows)
    assert answer.margin == pytest.approx(result.top.fast_margin, rel=0.2)
    assert answer.largest_change < 0.2
    assert result.top.margin == answer.margin


def test_parts_fill_the_stick_and_one_of_them_holds_it_back(result):
    """Pieces meet end to end; the least margin of the parts is the plan's; it is the spare."""
    for one in result.plans:
        pieces = [part for part in one.parts if part.span is not None]
        ends = [pieces[0].span[0], *(part.span[1] for part in pieces)]
        assert ends == [0.0, *one.layout.stations, 400.0]
        assert min(part.margin for part in one.parts) == pytest.approx(one.margin, rel=1e-9)
        assert one.spare.margin == min(part.margin for part in one.parts)


def test_every_piece_fits_the_printer(result):
    """No plan has a piece that is too high or too long for the bed."""
    for one in result.plans:
        assert all(part.cost.misfit == "" for part in one.parts)
        assert all(part.cost.height <= 300.0 for part in one.parts)


def test_remedies_raise_the_margin_and_are_told_cheapest_first(result):
    """Each remedy gains; those worth it come first, the least print time first."""
    found = result.top.remedies
    assert found
    assert all(one.gain >= 0.02 for one in found)
    worth = [one.seconds for one in found if one.gain >= 0.05]
    assert [one.seconds for one in found[: len(worth)]] == sorted(worth)


def test_the_remedies_yardstick_is_the_whole_stick(result):
    """By which changes are compared agrees with the table of the whole stick, bowing included."""
    models = Models(result.wish)
    for one in result.plans[:1]:
        assert yardstick(models, one.layout) == pytest.approx(one.fast_margin, rel=0.02)


def test_a_stick_that_falls_short_is_offered_enough_thickness():
    """The thickness that is tried grows as the cube root of what the first plan lacks."""
    wish = Wish(900.0, 26.0, printer=Printer(height=1000.0), cases=("full_weight",),
                ways=("upright",), confirm=0)  # fmt: skip
    top = plan(wish).top
    assert top.margin < 0.7
    factor = math.ceil(10 * top.margin ** (-1 / 3) - 1e-6) / 10
    told = [one for one in top.remedies if f"{factor:g} times as thick" in one.words]
    assert len(told) == 1
    assert told[0].margin > 2.0 * top.margin
    assert top.weakest.how in ("the stick buckles", f"{top.weakest.mode} as the stick bows out")


def test_words_promise_nothing(result):
    """Each page says what governs and what to test, warns, and never calls anything safe."""
    for number in range(len(result.plans)):
        page = plan_words(result, number)
        text = " ".join([page.title, page.verdict, *page.sure, *page.raises, *page.bench,
                         page.spare, *page.cautions])  # fmt: skip
        assert "governs" in page.verdict
        assert "margin" in page.verdict
        assert "foretells a break" in text
        assert "does not show that a person may lean" in text
        assert not any(word in text.lower() for word in ("safe", "complies", " meets "))
    assert "strongest plan" in plan_conclusion(result)
    assert any("only" in line for line in plan_words(result, len(result.plans) - 1).sure) or (
        len(result.plans) == 1
    )


def test_tables_and_record_hold_every_plan(result):
    """One row a plan and one a part, as wide as the header; the record is plain data."""
    lines = plans_csv(result).splitlines()
    assert len(lines) == 1 + len(result.plans)
    assert lines[0].split(",")[0] == COLUMNS[0]
    assert len(parts_csv(result).splitlines()) == 1 + sum(len(p.parts) for p in result.plans)
    assert "height [mm]" in PART_COLUMNS
    record = json.loads(json.dumps(plans_record(result)))
    assert record["plans"][0]["margin"] == pytest.approx(result.top.margin)
    assert record["wish"]["length_mm"] == 400.0


def test_the_folder_holds_page_tables_and_figures(result, tmp_path):
    """Everything is written, the page shows each figure."""
    paths = write_plans(result, tmp_path)
    names = {path.relative_to(tmp_path).as_posix() for path in paths}
    assert {"plan.md", "plans.csv", "parts.csv", "plans.json", "figures/plan_tradeoff.png",
            "figures/plan_tradeoff.svg", "figures/plan_1.png", "figures/plan_1_margins.svg"
            } <= names  # fmt: skip
    page = (tmp_path / "plan.md").read_text()
    assert page.count("![figures/") == len([n for n in names if n.endswith(".png")])
    assert page.count("## Plan ") == len(result.plans)


def test_a_stick_that_fits_whole_needs_no_joint():
    """Shorter than the printer is high and no joint allowed, the plan is one piece."""
    found = plan(Wish(length=320.0, outline=24.0, cases=("full_weight",), ways=("upright",),
                      printer=Printer(height=330.0)))  # fmt: skip
    assert [one.layout.ways for one in found.plans] == [("upright",)]
    assert found.top.parts[0].cost.height == pytest.approx(320.0)
    assert any("No joint" in line for line in plan_words(found, 0).sure)
    with pytest.raises(ModelError, match="no joint is allowed"):
        plan(Wish(length=340.0, outline=24.0, printer=Printer(height=330.0)))


@pytest.mark.slow
def test_walls_round_an_infill_are_planned_too():
    """A stick of walls and infill weighs less than a solid one of the same plan."""
    shared = {"length": 400.0, "joints": ["loose_stud"], "cases": ("full_weight",),
              "most_pieces": 2, "ways": ("upright",), "coarseness": 0.3, "confirm": 0,
              "printer": Printer(height=260.0)}  # fmt: skip
    solid = plan(Wish(outline=24.0, **shared))
    hollow = plan(Wish(outline=Shaft(24.0, walls=2.0), infill=infill(load("pla"), "gyroid", 0.25),
                       **shared))  # fmt: skip
    assert hollow.top.mass < 0.9 * solid.top.mass
    assert 0 < hollow.top.margin < solid.top.margin
