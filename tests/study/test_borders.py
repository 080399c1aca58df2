"""Borders between bands and glued faces, judged in a study beside the regions."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from orthofem import failure, materials
from orthofem.errors import ModelError
from orthofem.loads import Person, Stick
from orthofem.materials import Bond, BorderStrengths, PrintFrame
from orthofem.mesh import mesh_part
from orthofem.parts import JOINTS, OnPlane, Shaft, with_bands
from orthofem.report import option_notes
from orthofem.report.glance import table_cells
from orthofem.report.pictures import governing_mode, index_cut
from orthofem.report.record import record
from orthofem.study import (
    LYING,
    Border,
    HeldPart,
    Option,
    Print,
    StickWindow,
    Study,
    SurfaceLoad,
    Sweep,
    run,
)
from orthofem.study.batch import case_key, case_of
from orthofem.study.batch.case import solve_case
from orthofem.study.batch.stored import stored_answers
from orthofem.study.border_reading import border_facets, borders_not_judged

SHAFT = Shaft(outer_diameter=12.0)
BANDS = with_bands(SHAFT.part(60.0), "shaft", (1, 0, 0), (31.0,), ("foot", "top"))
PRINTS = {"shaft.foot": Print("pla"), "shaft.top": Print("petg")}
PULL = SurfaceLoad("pull", "Pull along the bar", (600.0, 0.0, 0.0))
PUSH = SurfaceLoad("push", "Push along the bar", (-600.0, 0.0, 0.0))
HELD = HeldPart("lower_end", "upper_end", [PULL, PUSH])
NAME = "shaft.foot|shaft.top"


def banded(borders, name="two filaments") -> Option:
    """Return the banded bar with some borders."""
    return Option(name, BANDS, PRINTS, borders=borders)


def study(*options) -> Study:
    """Return a study of the banded bar on one coarse mesh."""
    return Study("Bands", options, HELD, refinements=(1.0,))


@pytest.fixture(scope="module")
def result():
    """Study of the bar with its border judged, left out, and measured by the user."""
    measured = BorderStrengths(50.0, 50.0, "own coupons", "P")
    return run(
        study(
            banded({NAME: "pla_petg"}),
            banded({}, "not judged"),
            banded({"change": Border(strengths=measured, interface=NAME)}, "own numbers"),
        )
    )


def test_a_bar_of_two_filaments_parts_at_their_border(result):
    """PLA on PETG bears 0.3 times the Zt of PETG; the pulled bar parts there, not in a band."""
    worst = result.answers["two filaments"][-1].case("pull")
    stress = 600.0 / (np.pi / 4 * 12.0**2)
    assert (worst.mode, worst.criterion, worst.region) == ("border parts", failure.BORDER, NAME)
    assert worst.place[0] == pytest.approx(31.0)
    assert worst.reserve == pytest.approx(0.3 * 22.0 / stress, rel=0.05)
    assert worst.disagreement < 0.1
    assert worst.raw_reserve <= worst.reserve


def test_a_border_competes_with_the_regions(result):
    """Pushed, or pulled but well bonded, a region governs as if the border were not there."""
    judged, bare, own = (answers[-1] for answers in result.answers.values())
    assert own.case("push").criterion != failure.BORDER
    assert own.case("push").reserve == bare.case("push").reserve
    assert judged.case("push").mode != "border parts"
    assert own.case("pull").reserve == bare.case("pull").reserve
    assert own.case("pull").region in PRINTS
    assert judged.case("pull").reserve < 0.5 * bare.case("pull").reserve


def test_interfaces_that_nobody_judged_are_listed(result):
    """A border between two materials that has no entry is told, one that is judged is not."""
    judged, bare, own = (answers[-1] for answers in result.answers.values())
    assert bare.not_judged == (NAME,)
    assert judged.not_judged == own.not_judged == ()
    alike = Option("one filament", BANDS, {"shaft": Print("pla")})
    assert borders_not_judged(alike, judged.part_mesh) == ()
    told = option_notes(result)
    assert "not judged: shaft.foot|shaft.top" in told["not judged"][0]
    assert "border change: own coupons (P)." in told["own numbers"][0]


def test_the_report_tells_the_border(result):
    """Line, record and pictures name the border, its mode and what holds it."""
    row = result.option_rows("two filaments")[0]
    cells = table_cells(row)
    assert cells[4] == "border parts"
    assert cells[5].startswith("on the border shaft.foot|shaft.top, at x +31.0")
    told = record(result)["options"]
    entry = told["two filaments"]["borders"][0]
    assert entry["tension_MPa"] == pytest.approx([6.6, 6.6])
    assert "PLA on PETG, plain butt: 0.3 times" in entry["held_by"]
    assert told["not judged"]["borders_not_judged"] == [NAME]
    answer = result.answers["two filaments"][-1]
    cut = governing_mode(answer, row.worst)
    assert failure.MODES.index("border parts") in cut.mode
    assert np.nanmax(index_cut(answer, row.worst).section.values) > 0
    assert answer.nodal_index(row.worst).max() == pytest.approx(row.worst.index)


def test_a_stored_answer_keeps_the_border(result):
    """Through the batch's plain data and back, worst places and what was not judged are equal."""
    for option in (banded({NAME: "pla_petg"}), banded({})):
        stored = solve_case(case_of(study(option), option))
        answer = stored_answers(stored, HELD)[-1]
        for kept in answer.worst:
            fresh = result.answers["two filaments" if option.borders else "not judged"][-1]
            wanted = fresh.case(kept.loading.name)
            for name in ("reserve", "mode", "region", "piece", "place", "disagreement", "held"):
                assert getattr(kept, name) == pytest.approx(getattr(wanted, name))
        assert answer.not_judged == (() if option.borders else (NAME,))


def test_borders_are_in_the_content_key():
    """What decides a border changes the key; how it is written does not."""
    glue = materials.load("epoxy_adhesive")
    other = replace(glue, strengths=replace(glue.strengths, Zt=24.0, Xt=24.0, Yt=24.0))

    def key(borders):
        option = banded(borders)
        return case_key(case_of(study(option), option))

    deciding = [
        {},
        {NAME: "pla_petg"},
        {NAME: "pause"},
        {NAME: Bond("own", 0.31, "P", "coupons")},
        {NAME: BorderStrengths(9.0, 7.0)},
        {NAME: BorderStrengths(9.0, 7.5)},
        {NAME: Border(glue=glue)},
        {NAME: Border(glue=other)},
        {NAME: Border("pla_petg", where=OnPlane((31.0, 0, 0), (1, 0, 0)))},
        {"a name of its own": Border("pla_petg", interface=NAME)},
    ]
    keys = [key(borders) for borders in deciding]
    assert len(set(keys)) == len(keys)
    assert key({NAME: Border("pla_petg")}) == key({NAME: "pla_petg"})
    assert key({NAME: Border("pla_petg", interface=NAME)}) == key({NAME: "pla_petg"})
    assert key({NAME: Bond("words", 0.3, "E", "other")}) == key({NAME: "pla_petg"})
    assert key({NAME: Border(glue="epoxy_adhesive")}) == key({NAME: Border(glue=glue)})


def test_a_face_bears_by_the_way_it_lies_in_the_print():
    """Across the build direction Zt counts, along it Yt, at 45 degrees the lower; weaker side."""
    normals = np.array([[1.0, 0, np.sqrt(0.5)], [0, 1.0, np.sqrt(0.5)], [0, 0, 0]])
    tension, shear, grade = Border("pause").bears(normals, [Print("pla"), Print("pla")])
    assert tension == pytest.approx([0.75 * 28, 0.75 * 50, 0.75 * 28])
    assert shear == pytest.approx([0.75 * 20] * 3)
    assert grade == "D(E)"
    turned = Border("pause").bears(normals, [Print("pla"), Print("pla", LYING)])[0]
    assert turned == pytest.approx([0.75 * 28] * 3)
    mixed = Border("pla_petg").bears(normals, [Print("pla"), Print("petg")])[0]
    assert mixed == pytest.approx([0.3 * 22, 0.3 * 40, 0.3 * 22])


def test_a_glued_shoulder_is_only_the_shoulder():
    """Of all that two pieces share, the border takes the plane named; the rest is listed."""
    part = JOINTS["printed_stud"](core_diameter=20.0, shoulder="bonded").part(
        Shaft(outer_diameter=32.0)
    )
    shoulder = Border(
        glue="epoxy_adhesive", interface="upper|lower", where=OnPlane((0, 0, 0), (1, 0, 0))
    )
    ends = {"lower": Print("pla"), "upper": Print("pla")}
    option = Option("glued", part, ends, borders={"shoulder": shoulder})
    made = mesh_part(part, refinement=0.5)
    (facets,) = border_facets(made, "shoulder", option.joined["shoulder"]).values()
    x, y, z = made.mesh.p[:, np.unique(made.mesh.facets[:, facets])]
    assert np.abs(x).max() < 1e-9
    assert np.hypot(y, z).min() == pytest.approx(13.0, abs=0.1)
    assert borders_not_judged(option, made) == ("lower|upper (the rest of it)",)
    elsewhere = replace(shoulder, where=OnPlane((1, 0, 0), (1, 0, 0)))
    with pytest.raises(ModelError, match="No facet of interface 'upper|lower' lies where"):
        border_facets(made, "shoulder", elsewhere)


def test_bands_that_do_not_meet_are_told_from_those_that_do():
    """The interfaces that exist are listed, whatever the order of the two names."""
    part = with_bands(SHAFT.part(60.0), "shaft", (1, 0, 0), (20.0, 40.0), ("a", "b", "c"))
    made = mesh_part(part, refinement=0.5)
    with pytest.raises(ValueError, match="Unknown interface of border .*shaft.a|shaft.b"):
        border_facets(made, "shaft.a|shaft.c", Border("pause", interface="shaft.a|shaft.c"))
    found = border_facets(made, "x", Border("pause", interface="shaft.b|shaft.a"))
    assert list(found) == ["shaft.a|shaft.b"]


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: banded({"shaft.foot|shaft.tip": "pause"}), "Did you mean 'shaft.top'"),
        (lambda: banded({"shaft.foot": "pause"}), "does not name two regions"),
        (lambda: banded({"shoulder": Border("pause")}), "needs interface='a|b'"),
        (lambda: banded({NAME: "pla_pteg"}), "Did you mean 'pla_petg'"),
        (lambda: banded({NAME: 0.5}), "is 0.5; give the key of a bond"),
        (lambda: Border(), "given: none"),
        (lambda: Border("pause", glue="epoxy_adhesive"), "given: bond, glue"),
        (lambda: Border(glue="pla"), "is not a glue"),
        (lambda: Border(strengths=5.0), r"give BorderStrengths\(tension, shear"),
        (lambda: Border("pause", where="top"), "where of a border is 'top'"),
        (
            lambda: Sweep(
                [banded({NAME: "pause"})],
                mesh_part(BANDS, refinement=0.4),
                StickWindow(Person(), Stick(length=900.0), ("twist",), stations=(450.0,)),
            ),
            "A sweep does not judge borders",
        ),
    ],
)
def test_a_border_that_makes_no_sense_is_refused(make, message):
    """Each mistake in a border has a message of its own, before anything is solved."""
    with pytest.raises(ValueError, match=message):
        make()


def test_a_lying_print_has_its_bands_along_the_axis():
    """Bands of a lying print meet in a plane along the bar; pulled, their border carries little."""
    part = with_bands(SHAFT.part(60.0), "shaft", LYING.build, (6.0,), ("foot", "top"))
    prints = {"shaft": Print("pla", PrintFrame(build=LYING.build, bead=(1, 0, 0)))}
    option = Option("lying", part, prints, borders={NAME: "pause"})
    worst = run(study(option)).answers["lying"][-1].case("pull")
    assert worst.criterion != failure.BORDER
