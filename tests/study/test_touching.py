"""Options whose pieces touch: what is found, how it differs from bonded, what is refused."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from orthofem.errors import ModelError
from orthofem.loads import Person, Stick
from orthofem.materials import BorderStrengths
from orthofem.mesh import mesh_part
from orthofem.solve.contact import Bonded, Contact, Glued, ThreadTie
from orthofem.study import (
    Border,
    Option,
    StickWindow,
    Study,
    SurfaceLoad,
    Sweep,
    evaluate,
    run,
    turned_options,
)
from orthofem.study.contact.growth import STEPS, Grown, lowest_factor
from orthofem.study.contact.shares import load_shares
from orthofem.study.contact.units import typical_sizes
from orthofem.study.stick.window import DetailWindow
from orthofem.study.time_heat.warming import warming_rows

sys.path.insert(0, str(Path(__file__).parent))
from touching_parts import Afloat, bar, held, option, pinned, push

BUTT = {"left|right": Contact()}
CLOSED = push(1000.0, 800.0)  # 0.8 mm off the axis; the face stays closed up to 1.25 mm
TILTED = push(500.0, 1500.0, "tilt")  # 3 mm off the axis
SIDE = SurfaceLoad("side", "Side", [[0, 0], [50, 0], [0, 50.0]], labels=("y", "z"))


def judged(part, setting, refinement=1.0, **settings):
    """Answer of one option on one coarse mesh."""
    part_mesh = mesh_part(part, refinement=refinement)
    return evaluate(option("touching", part, **settings), part_mesh, setting)


@pytest.fixture(scope="module")
def butted():
    """Two bars that butt, pressed on within and beyond the core of the section."""
    return judged(bar(), Afloat((CLOSED, TILTED)), interfaces=BUTT)


@pytest.fixture(scope="module")
def tied():
    """A pin in its sleeve, held along the axis by a thread, pushed and bent."""
    return judged(pinned(), held(SIDE, push(500.0)), 0.7, interfaces={"pin|sleeve": ThreadTie()})


def test_where_nothing_opens_or_slides_contact_is_bonded(butted):
    """Pressed within the core of the section the butt joint is a whole bar: reserve, stress."""
    worst, bonded = butted.case("push"), butted.contact.bonded_case("push")
    assert worst.reserve == pytest.approx(bonded.reserve, rel=3e-4)
    assert (worst.mode, worst.place) == (bonded.mode, bonded.place)
    (touch,) = butted.contact.case("push")
    assert touch.closed == pytest.approx(1.0)
    assert touch.opening == 0.0
    assert touch.force_share == pytest.approx(1.0)
    assert touch.moment_share == pytest.approx(1.0)


def test_where_it_opens_less_of_it_carries_more(butted):
    """Pressed beyond the core the face opens, and what is left of it breaks earlier."""
    worst, bonded = butted.case("tilt"), butted.contact.bonded_case("tilt")
    (touch,) = butted.contact.case("tilt")
    assert 0.2 < touch.closed < 0.6
    assert touch.opening > 0.01
    assert worst.reserve < 0.85 * bonded.reserve
    assert "were solved in full" in butted.contact.notes[0]
    assert "12 unit resultants cannot be held" in butted.contact.notes[1]
    assert butted.contact.bending == 1.0  # no unit moment can be held alone: the bonded answer


def test_the_fields_are_those_of_the_solved_load(butted):
    """Index field, governing mode and displacement agree with the worst place."""
    worst = butted.case("tilt")
    index = butted.nodal_index(worst)
    space = butted.model.space
    away = np.linalg.norm(space.nodes - np.array(worst.place)[:, None], axis=0)
    at = away < 1e-9  # where the pieces meet there are two nodes
    assert index[at].max() == pytest.approx(worst.index, rel=1e-6)
    assert (butted.nodal_mode(worst)[at] >= 0).all()
    zone = butted.responses.contact.zone("left|right")
    apart = (
        butted.displacement(worst)[0][zone.faces.second]
        - butted.displacement(worst)[0][zone.faces.first]
    )
    column = int(np.argmax(worst.shares))
    assert apart.max() == pytest.approx(zone.opening[..., column].max(), rel=0.35)
    assert butted.not_judged == ()


def test_a_gap_that_shuts_grows_to_the_same_reserve(butted):
    """A gap that shuts leaves the reserve as it is without it, though no answer scales."""
    found = judged(bar(), Afloat((CLOSED,)), interfaces={"left|right": Contact(clearance=0.02)})
    assert found.case("push").reserve == pytest.approx(butted.case("push").reserve, rel=2e-3)
    assert any("do not grow with the load" in note for note in found.contact.notes)


def test_a_thread_gives_way_where_a_bond_does_not(tied):
    """The tied pin is softer sideways than the bonded one, and carries all of each load."""
    found = tied.contact
    assert 0.85 < found.sideways < 0.995
    assert 0.8 < found.bending < 0.999
    assert np.allclose(found.flexibility, found.flexibility.T)
    assert np.linalg.eigvalsh(found.flexibility).min() > 0
    for touch in found.touches:
        assert touch.force_share == pytest.approx(1.0, abs=1e-6)
        assert 0 < touch.closed < 0.6
        assert touch.steps > 0
    assert np.isnan(found.case("push")[0].moment_share)
    assert len(found.notes) == 1


def test_the_mean_of_pushed_and_pulled_is_the_flexibility(tied):
    """Each diagonal entry is the mean work of plus and minus that unit, solved by themselves."""
    from orthofem.study.contact.apart import apart
    from orthofem.study.reading import Reader

    part_mesh = mesh_part(pinned(), refinement=0.7)
    pieces = apart(Reader(tied.option, part_mesh), held(SIDE))
    for way in (0, 2):
        both = [
            pieces.moved(pieces.solve(sign * np.eye(6)[:, [way]]))[way, 0] * sign
            for sign in (1.0, -1.0)
        ]
        assert np.mean(both) == pytest.approx(tied.contact.flexibility[way, way], rel=1e-5)


def test_play_makes_a_joint_softer(tied):
    """With play across the thread the pin tilts freely at first: softer than without."""
    play = {"pin|sleeve": ThreadTie(clearance=0.02)}
    found = judged(pinned(), held(SIDE), 0.7, interfaces=play)
    assert found.contact.sideways < tied.contact.sideways - 0.02


def test_interference_that_breaks_leaves_no_reserve():
    """A pin far too thick breaks its sleeve before there is a load: reserve 0, and it is said."""
    tight = {"pin|sleeve": ThreadTie(clearance=-0.3)}
    found = judged(pinned(), held(push(500.0)), 0.7, interfaces=tight)
    assert found.case("push").reserve == 0.0
    assert any("breaks it: the reserve on top of it is 0" in note for note in found.contact.notes)


def test_only_bonds_take_the_plain_way():
    """Interfaces that are bonded or glued are solved bonded; glue is judged as a border."""
    setting = held(SurfaceLoad("pull", "Pull", (100.0, 0.0, 0.0)))
    plain = judged(bar(), setting)
    bonded = judged(bar(), setting, interfaces={"left|right": Bonded()})
    assert bonded.contact is None
    assert bonded.case("pull").reserve == plain.case("pull").reserve
    weak = judged(bar(), setting, interfaces={"left|right": Glued(tension=0.5, shear=5.0)})
    stress = 100.0 / (np.pi * 5.0**2)
    assert weak.case("pull").reserve == pytest.approx(0.5 / stress, rel=0.03)
    assert (weak.case("pull").mode, weak.not_judged) == ("border parts", ())


@pytest.mark.parametrize(
    ("interfaces", "match"),
    [
        ({"left|middle": Contact()}, "side of interface 'left.middle'.*'middle'.*left, right"),
        ({"left": Contact()}, "does not name two pieces that meet; write 'a|b', of: left, right"),
        ({"left|left": Contact()}, "does not name two pieces"),
        ({"left|right": "contact"}, r"is 'contact'; give one of: Bonded\(...\), Glued"),
        ({"left|right": Contact(), "right|left": Bonded()}, "are one and the same"),
    ],
)
def test_bad_interfaces_are_refused_when_the_option_is_made(interfaces, match):
    """Unknown pieces, no pieces, no law, and two laws for one interface."""
    with pytest.raises(ValueError, match=match):
        option("bad", bar(), interfaces=interfaces)


def test_a_bond_where_pieces_come_apart_is_refused():
    """A border on an interface in contact contradicts it."""
    bond = {"glue": Border(strengths=BorderStrengths(1.0, 1.0), interface="right|left")}
    with pytest.raises(ValueError, match="Border 'glue'.*lets come apart .Contact.; keep one"):
        option("both", bar(), borders=bond, interfaces=BUTT)


def test_a_study_tells_why_contact_has_no_answer():
    """Pieces that do not meet, or are taken off by a load, are named; the rest goes on."""
    three = bar((-3.0, 3.0), ("left", "middle", "right"))
    options = [
        option("whole", bar()),
        option("far", three, interfaces={"left|right": Contact()}),
        option("turned", bar(), interfaces={"right|left": Contact()}),
        option("loose", bar(), interfaces=BUTT),
    ]
    pull = SurfaceLoad("pull", "Pull", [[-100.0, 100.0], [0, 0], [0, 0]], labels=("in", "out"))
    found = run(Study("s", options, held(pull), refinements=(1.0,)))
    assert list(found.answers) == ["whole"]
    assert "middle|right" in found.failed["far"]
    assert "Only pieces that share a face" in found.failed["far"]
    assert found.failed["turned"] == "Interface 'right|left' is called 'left|right'."
    assert "Pull, out" in found.failed["loose"]
    assert "right" in found.failed["loose"]
    assert "Fixed(...)" in found.failed["loose"]


def test_what_adds_answers_up_refuses_contact(butted):
    """Sweeps and windows of a whole stick refuse contact, for its answers do not add up."""
    person = Person(mass=80.0, height=1700.0)
    stick = Stick.for_person(person, pieces=2, diameter=10.0)
    setting = StickWindow(person, stick, ("full_weight",))
    part_mesh = butted.part_mesh
    with pytest.raises(ValueError, match="adds answers up.*left.right"):
        Sweep([butted.option], replace(part_mesh, part=butted.option.part), setting)
    (turned,) = turned_options(butted.option, ["left"], np.eye(3)[:, :1])
    assert turned.interfaces == {}
    with pytest.raises(ValueError, match="has pieces in contact: it stands for the loads"):
        DetailWindow(300.0, butted)


def test_warming_has_no_value_where_pieces_touch(butted):
    """Warming changes what touches: one row without a value, and what to do instead."""
    (row,) = warming_rows(butted, Afloat((CLOSED,)), 10.0)
    assert not row.known
    assert "judge the same option bonded" in row.note


def test_the_factor_on_a_load_on_top_of_what_stays_is_found():
    """Demand 0.3 + 0.2 r: fails at 3.5; a second variant 0.5 r fails earlier and is found."""
    lines = [(0.3, 0.2), (0.0, 0.5)]
    solved = []

    def demand(variant, factor):
        solved.append((variant, factor))
        start, slope = lines[variant]
        return start + slope * factor

    variants = [Grown([0.0, 1.0], [a, a + b]) for a, b in lines]
    assert lowest_factor(variants[:1], demand, "load") == (0, pytest.approx(3.5))
    variants = [Grown([0.0, 1.0], [a, a + b]) for a, b in lines]
    assert lowest_factor(variants, demand, "load") == (1, pytest.approx(2.0))
    assert len(solved) <= 4


def test_curved_growth_is_found_within_a_percent():
    """A square and a root, stiffening and softening, end where the demand is one."""
    for power in (2.0, 0.5):
        grown = Grown([0.0, 1.0], [0.0, 0.1])
        _, factor = lowest_factor([grown], lambda k, r, p=power: 0.1 * r**p, "load")
        assert factor == pytest.approx(10.0 ** (1 / power), rel=0.012)


def test_a_load_that_breaks_nothing_and_one_that_snaps():
    """No demand at all: infinite. A jump over failure is refused, with what was seen."""
    assert lowest_factor([Grown([0.0, 1.0], [0.0, 0.0])], None, "load") == (0, np.inf)
    jump = Grown([0.0, 1.0], [0.1, 0.2])
    with pytest.raises(ModelError, match=f"'snap'.*not found in {STEPS} solves.*snap from one"):
        lowest_factor([jump], lambda k, r: 0.2 if r < 3.3 else 2.0, "snap")


def test_unit_loads_are_as_large_as_the_loads():
    """One where answers scale; else the largest load, and never zero."""
    loadings = [SIDE.loading(), push(500.0).loading()]
    assert (typical_sizes(loadings, True) == 1.0).all()
    assert typical_sizes(loadings, False) == pytest.approx([500, 50, 50, 50, 50, 50])


def test_shares_are_signed_by_what_goes_across_in_all():
    """A seat that presses more than the load has a thread that pulls back, whoever is second."""
    push_ = np.array([-100.0, 0, 0, 0, 0, 2000.0])
    for sign in (1.0, -1.0):
        across = {"a|b thread": -0.5 * sign * push_, "a|b seat": 1.5 * sign * push_}
        found = load_shares(across, push_)
        assert found["a|b seat"] == pytest.approx((1.5, 1.5))
        assert found["a|b thread"] == pytest.approx((-0.5, -0.5))


def test_an_option_without_interfaces_is_as_before():
    """The field is empty unless asked for."""
    assert Option("b", bar(), option("a", bar()).prints).interfaces == {}
