"""The fast models against direct answers, and where the search puts joints."""

from __future__ import annotations

import numpy as np
import pytest

from orthofem.errors import ModelError
from orthofem.loads import LoadCase, Person, Stick, point_load
from orthofem.loads.statics import on_tip_and_hand
from orthofem.materials import Printer
from orthofem.mesh import mesh_part
from orthofem.parts import Shaft, Waist
from orthofem.study import LYING, UPRIGHT, Option, Print, StickWindow, evaluate
from orthofem.study.planner import Layout, Wish
from orthofem.study.planner.costs import Costs, total
from orthofem.study.planner.models import Models, Ways
from orthofem.study.planner.pulls import pulls
from orthofem.study.planner.search import Search, spans_words

LENGTH = 400.0
STICK = Stick(LENGTH, diameter=20.0)
PRINTER = Printer(width=150.0, depth=150.0, height=260.0)


def push(name, station, force=100.0):
    """Push from the side somewhere along the stick."""
    load = point_load((station, 0.0, 0.0), (0.0, force, 0.0))
    return LoadCase(name, "A push from the side", "load taken from a test", "E", 2.0, "a test",
                    ("one",), STICK, on_tip_and_hand(load, LENGTH))  # fmt: skip


def wish(**changes):
    """A short stick that must be cut once, upright only unless told otherwise."""
    given = {
        "length": LENGTH, "outline": 20.0, "joints": ["printed_stud"], "printer": PRINTER,
        "ways": ("upright",), "cases": (push("middle", 200.0),), "most_pieces": 2,
        "coarseness": 0.3, "keep_from_handle": 60.0,
    }  # fmt: skip
    return Wish(**{**given, **changes})


def search_of(made):
    """Search with models and costs of its own."""
    models = Models(made)
    return Search(models, Costs(models))


@pytest.fixture(scope="module")
def plain():
    """Search whose models are shared by the tests of this file."""
    return search_of(wish())


def test_the_joint_lies_as_far_from_the_worst_bending_as_the_printer_lets_it(plain):
    """Pushed in the middle, the one joint of two pieces lies where the longer piece just fits."""
    (found,) = plain.candidates()
    (station,) = found.layout.stations
    beyond = found.layout.joint.end
    longest = PRINTER.height
    assert max(station + beyond, LENGTH - station) <= longest
    fine = plain.refined(found)
    moved = fine.layout.stations[0]
    assert max(moved + beyond, LENGTH - moved) <= longest
    assert fine.margin >= found.margin
    assert max(moved + beyond, LENGTH - moved) > longest - 4.0


def test_a_margin_of_the_search_is_that_of_a_study_on_the_same_mesh(plain):
    """A static load's margin at the joint equals the reserve of a study there over the wanted."""
    (found,) = plain.candidates()
    (station,) = found.layout.stations
    joint, made = found.layout.joint, plain.wish
    part = joint.part(Shaft(20.0), made.window(joint))
    option = Option("direct", part, {"lower": Print("pla"), "upper": Print("pla")})
    stick = Stick(LENGTH, (station,), 20.0)
    mesh = mesh_part(part, refinement=0.3)
    answer = evaluate(option, mesh, StickWindow(Person(), stick, made.cases))
    assert found.margin == pytest.approx(answer.worst[0].reserve / 2.0, rel=1e-6)


def test_each_piece_of_a_joint_has_its_own_reserve(plain):
    """The joint's reserve is the least of its pieces', under any resultants."""
    joint = plain.wish.designs["printed stud"]
    model = plain.models.of(joint, Ways("upright", "upright"), Shaft(20.0))
    columns = np.random.default_rng(0).normal(size=(6, 20)) * [[50]] * 6
    pieces = model.by_piece(columns)
    assert set(pieces) == {"lower", "upper"}
    np.testing.assert_allclose(np.min(list(pieces.values()), axis=0), model.reserve(columns))


@pytest.mark.parametrize("ways", [("upright", "lying"), ("lying", "upright")])
def test_halves_stand_for_a_joint_of_unlike_pieces(plain, ways):
    """Pulled or bent, a joint of unlike pieces is within 5 % of its halves beside their like."""
    joint = plain.wish.designs["printed stud"]
    columns = np.diag([400.0, 1.0, 1.0, 3e3, 8e3, 8e3])[:, [0, 4, 5]]
    halves = plain.models.along(joint, Ways(*ways)).reserve(columns, np.full(3, 20.0))
    direct = plain.models.of(joint, Ways(*ways), Shaft(20.0)).reserve(columns)
    np.testing.assert_allclose(halves, direct, rtol=0.05)


def test_a_model_is_solved_once(plain):
    """Asked again, the same joint in the same shaft comes from the store."""
    joint = plain.wish.designs["printed stud"]
    ways = Ways("upright", "upright")
    first = plain.models.of(joint, ways, Shaft(20.0))
    count = plain.models.count
    assert plain.models.at(joint, ways, 123.0) is first
    assert plain.models.count == count


def test_joints_keep_away_from_a_waist_and_the_handle():
    """No station of the grid has its window on the waist's fillets or on the grip."""
    waist = Waist(position=150.0, diameter=14.0, length=10.0, fillet=4.0)
    made = wish(outline=Shaft(20.0, waist=waist), keep_from_waist=7.0, keep_from_handle=90.0)
    search = search_of(made)
    joint = made.designs["printed stud"]
    window = made.window(joint)
    nodes = search._nodes(joint, 1.0)[1:-1]
    reach = waist.length / 2 + waist.reach(10.0)
    assert np.abs(nodes - 150.0).min() == pytest.approx(reach + window + 7.0, abs=1.0)
    assert nodes.max() == LENGTH - 90.0
    assert nodes.min() >= window


def test_a_waist_that_leaves_no_place_for_a_cut():
    """Where a waist bars every cut the printer asks for, it is told where joints may stand."""
    waist = Waist(position=200.0, diameter=14.0, length=100.0, fillet=4.0)
    made = wish(outline=Shaft(20.0, waist=waist), ways=("upright",))
    with pytest.raises(ModelError, match=(
        "cannot be cut into at most 2 pieces.*longest: upright 260 mm.*joints may stand.*"
        "What gives: most_pieces.*keep_from_waist"
    )):  # fmt: skip
        search_of(made).candidates()


def test_between_the_ends_of_a_taper_the_models_are_interpolated():
    """Pulled, twisted or bent, a joint at a middle diameter is within 2 % of a model of its own."""
    made = wish(outline=Shaft(20.0, outer_end=24.0), coarseness=0.5)
    models = Models(made)
    joint, ways = made.designs["printed stud"], Ways("upright", "upright")
    columns = np.diag([400.0, 1.0, 1.0, 3e3, 8e3, 8e3])[:, [0, 3, 4, 5]]
    between = models.along(joint, ways).reserve(columns, np.full(4, 22.0))
    direct = models.of(joint, ways, Shaft(22.0)).reserve(columns)
    np.testing.assert_allclose(between, direct, rtol=0.02)
    ends = models.along(joint, ways).reserve(columns, np.full(4, 20.0))
    np.testing.assert_allclose(ends, models.of(joint, ways, Shaft(20.0)).reserve(columns))


@pytest.mark.parametrize(
    "joint", ["printed_stud", pytest.param("loose_stud", marks=pytest.mark.slow)]
)
def test_quick_costs_are_those_of_the_real_pieces(joint):
    """Costs from lines over the length are within 2 % of those of the layout's own pieces."""
    made = wish(joints=[joint], ways=("upright", "lying"), printer=Printer(height=200.0))
    models = Models(made)
    costs = Costs(models)
    name = joint.replace("_", " ")
    stud = "lying" if joint == "loose_stud" else ""
    layout = Layout(name, made.designs[name], (130.0, 250.0), ("lying", "upright", "lying"), stud)
    quick, exact = costs.quick(layout), total(costs.exact(layout))
    assert quick.seconds == pytest.approx(exact.seconds, rel=0.02)
    assert quick.support == pytest.approx(exact.support, rel=0.02)


def test_a_piece_that_the_printer_does_not_take_is_refused():
    """A layout whose piece is too high this way up is told with what is too much."""
    made = wish(printer=Printer(height=200.0))
    joint = made.designs["printed stud"]
    layout = Layout("printed stud", joint, (150.0,), ("upright", "upright"))
    high = 250.0 - joint.shoulder_gap  # the handle piece is cut back by the open shoulder
    with pytest.raises(ModelError, match=f"{high:.1f} mm high.* more than the printer's 200 mm"):
        Costs(Models(made)).exact(layout)


def test_pulls_weigh_each_case_by_what_is_wanted():
    """The margin is the least reserve over the wanted factor of its case."""
    case = push("middle", 200.0)
    (one,) = pulls([case], np.array([100.0, 200.0]), None)
    assert one.resultants.shape == (2, 6, 1)
    margin = one.margin(lambda r: 1e6 / np.abs(r[5]))
    np.testing.assert_allclose(margin, [1e6 / 5000.0 / 2.0, 1e6 / 10000.0 / 2.0])


def test_ways_up_turn_the_frames():
    """Upright stands along the stick, lying has its beads along it."""
    made = wish(ways=("upright", "lying"))
    assert made.print_way("upright").frame == UPRIGHT
    assert made.print_way("lying").frame == LYING


def test_stretches_in_words():
    """Gaps wider than the grid part the stretches."""
    assert spans_words(np.array([70.0, 80, 90])) == "70 to 90"
