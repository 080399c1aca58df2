"""A tightened option: its three states reach the report, and mistakes are refused beforehand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from orthofem.loads import Person, Stick, Tightening
from orthofem.parts import PrintedStud, Shaft, Spigot
from orthofem.report.files import summary
from orthofem.report.screw import SCREW_COLUMNS, screw_notes, screw_pictures, screw_rows
from orthofem.study import (
    STATES,
    HeldPart,
    Option,
    Print,
    StickWindow,
    Study,
    SurfaceLoad,
    Tightened,
    judge_states,
    run,
    screwed,
    tightened_states,
)
from orthofem.study.batch import case_of
from orthofem.study.batch.key import case_key

SHAFT = Shaft(32.0)
STUD = PrintedStud(shoulder="bonded")
HAND = Tightened(STUD, SHAFT, Tightening(4400.0))
PRINTS = {"lower": Print("pla"), "upper": Print("pla")}
PULL = SurfaceLoad("pull", "Pull", [[300.0, 600.0], [0, 0], [0, 0]], labels=("half", "whole"))
TWIST = SurfaceLoad("twist", "Twist", [[0.0], [0], [0]], [[3000.0], [0], [0]], labels=("x",))


def option(**settings):
    """Return a tightened printed stud."""
    return Option("stud", STUD.part(SHAFT), PRINTS, **{"tightened": HAND, **settings})


@pytest.fixture(scope="module")
def found():
    """Return a coarse study of it."""
    setting = HeldPart("lower_end", "upper_end", (PULL, TWIST))
    return run(Study("s", [option()], setting, refinements=(0.3,)))


def test_all_states_of_all_cases_reach_the_page(found):
    """Each load has three rows, the states in order, with numbers that the algebra gives."""
    rows = screw_rows(found)
    assert [row[1:3] for row in rows] == [
        (case, state) for case in ("Pull", "Twist") for state in STATES
    ]
    loads = np.array([[300.0, 600.0], *np.zeros((5, 2))])
    tight, _, play = judge_states(screwed(STUD, SHAFT, PRINTS), HAND.tightening, loads)
    assert rows[0][3] == f"{tight.preload[0]:.0f} to {tight.preload[1]:.0f}"
    assert rows[0][4] == f"{tight.opening_pull / 600.0:.2f}"
    assert rows[2][-1] == f"{play.tilt:.2f} degrees"
    page = summary(found, [])
    assert "## Screwed joints: with preload, without, and with play" in page
    assert f"| {' | '.join(SCREW_COLUMNS)} |" in page
    assert "stud: tightened by 4.4 N m; friction of PLA" in screw_notes(found)[0]


def test_a_side_force_on_the_end_bends_the_shoulder(found):
    """A force 60 mm from the shoulder counts there with its moment; about the window's middle too.

    The same in a stick whose window is looked at from a place 10 mm off the shoulder.
    """
    push = SurfaceLoad("push", "Push", (0.0, 50.0, 0.0)).loading()
    worst = [replace(found.answers["stud"][-1].worst[0], loading=push)]
    joint, held = screwed(STUD, SHAFT, PRINTS), found.study.setting
    ((_, states),) = tightened_states(option(), held, worst)
    assert states == judge_states(joint, HAND.tightening, np.array([0, 50.0, 0, 0, 0, 3000.0]))
    assert 0 < states[0].opening_factor < np.inf
    stick = Stick(length=900.0, diameter=32.0)
    window = StickWindow(Person(), stick, ("twist",), stations=(450.0,), centre=10.0)
    ((_, states),) = tightened_states(option(), window, worst)
    assert states == judge_states(joint, HAND.tightening, np.array([0, 50.0, 0, 0, 0, 500.0]))


def test_the_load_shares_are_drawn(found):
    """One figure: three states, the pulls beyond that which parts the most preloaded shoulder."""
    ((stem, kind, picture),) = screw_pictures(found)
    assert (stem, kind) == ("stud_load_share", "load_share")
    assert picture.states == ("most preload", "least preload", "no preload")
    assert picture.opening[0] > picture.opening[1] > picture.opening[2] == 0
    assert picture.pull[0] == 0 < picture.opening[0] < picture.pull[-1]


def test_a_twist_that_unscrews_is_told(found):
    """A positive twist loosens a right-hand thread, and more easily so without preload."""
    twists = [row[-2] for row in screw_rows(found)[3:]]
    assert twists[1:] == ["some unscrew it"] * 2
    assert twists[0] in ("loosens, held by friction", "some unscrew it")


def test_an_option_without_a_torque_has_no_such_table(found):
    """Nothing is told unless asked for."""
    bare = replace(found, study=replace(found.study, options=[option(tightened=None)]))
    assert screw_rows(bare) == screw_notes(bare) == []
    assert "Screwed joints" not in summary(bare, [])


def test_the_torque_does_not_decide_what_is_solved():
    """The algebra stands beside the finite elements: a stored case serves any torque."""
    study = Study("s", [option()], HeldPart("lower_end", "upper_end", (PULL,)))
    keys = {case_key(case_of(study, entry)) for entry in (option(), option(tightened=None))}
    assert len(keys) == 1


@pytest.mark.parametrize(
    ("tightened", "match"),
    [
        (lambda: replace(HAND, joint=Spigot()), "not the 'spigot' it is tightened as"),
        (lambda: replace(HAND, joint=replace(STUD, core_diameter=14.0)), "not the 'printed_stud'"),
        (lambda: replace(HAND, tightening=4400.0), r"give Tightening\(torque\)"),
        (lambda: replace(HAND, remaining_modulus=1.5), "remaining modulus = 1.5"),
    ],
)
def test_mistakes_are_refused_when_it_is_written(tightened, match):
    """Another joint, another size, a bare number for the torque, a print that grew stiffer."""
    with pytest.raises(ValueError, match=match):
        Study("s", [option(tightened=tightened())], HeldPart("lower_end", "upper_end", (PULL,)))
