"""Every study of the project's own, and the chain that they use."""

from __future__ import annotations

import importlib.util
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from orthofem import materials
from orthofem.cli.batch import is_wish
from orthofem.errors import ModelError
from orthofem.loads import Person, Stick, beam_flexibility
from orthofem.materials import PrintFrame, Strengths
from orthofem.mesh import mesh_part
from orthofem.parts import Shaft
from orthofem.study import (
    LYING,
    UPRIGHT,
    HeldPart,
    Option,
    Print,
    StickWindow,
    Study,
    SurfaceLoad,
    evaluate,
    run,
    steps,
)
from orthofem.study.setting import moved_reference

SCRIPTS = sorted((Path(__file__).parent.parent.parent / "studies").glob("*.py"))
STUDIES = [
    pytest.param(path, id=path.stem, marks=pytest.mark.slow if "contact" in path.stem else ())
    for path in SCRIPTS
    if not is_wish(path)
]
SHAFT = Shaft(outer_diameter=12.0)
PULL = SurfaceLoad("pull", "Pull along the bar", (100.0, 0.0, 0.0))
HELD = HeldPart("lower_end", "upper_end", [PULL])


def bar(name="upright", **prints):
    """Return a short solid round bar."""
    return Option(name, SHAFT.part(40.0), prints or {"shaft": Print("pla")})


def study_of(path: Path) -> Study:
    """Load a script's study."""
    spec = importlib.util.spec_from_file_location(path.stem, path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module.study()


@pytest.mark.parametrize("path", STUDIES)
def test_every_study_gives_finite_reserves_on_a_coarse_mesh(path):
    """Each study of the project's own answers on one coarse mesh, the first two options."""
    study = study_of(path)
    coarse = replace(study, options=study.options[:2], refinements=(0.4,))
    result = run(coarse)
    assert not result.failed
    assert all(0 < row.worst.reserve < np.inf for row in result.rows)


def test_a_bar_in_tension_reaches_its_strength_exactly():
    """Reserve of a pulled bar is strength times area over force, upright Zt and lying Xt."""
    part_mesh = mesh_part(replace(SHAFT.part(60.0), interest=None), refinement=0.7)
    area = np.pi / 4 * 12.0**2
    for frame, strength in ((UPRIGHT, 28.0), (LYING, 50.0)):
        option = Option("bar", part_mesh.part, {"shaft": Print("pla", frame)})
        pulled = StickWindow(
            Person(), Stick(length=900.0, diameter=12.0), ("pull_apart",), stations=(450.0,)
        )
        answer = evaluate(option, part_mesh, pulled)
        worst = answer.worst[0]
        nominal = 350.0 / area
        assert worst.reserve == pytest.approx(strength / nominal, rel=2e-3)
        assert worst.raw_reserve == pytest.approx(worst.reserve, rel=2e-3)
        assert answer.nodal_index(worst).max() == pytest.approx(worst.index, rel=1e-9)


def test_the_stick_takes_its_stiffness_from_the_solved_window():
    """A plain shaft's window has the flexibility of a beam with shear, within 1 %."""
    shaft = Shaft(outer_diameter=30.0)
    option = Option("plain", shaft.part(120.0), {"shaft": Print("pla")})
    stick = Stick(length=900.0, joints=(450.0,), diameter=30.0)
    setting = StickWindow(Person(), stick, ("side_kick",), centre=60.0)
    answer = evaluate(option, mesh_part(option.part, refinement=0.8), setting)
    found = setting.stick_stiffness(answer.responses, {"shaft": 1.24})
    assert pytest.approx(2700.0 * np.pi * 30.0**4 / 64, rel=1e-3) == found.EI
    beam = beam_flexibility(120.0, found.EI, found.GA)
    end = moved_reference(answer.responses.flexibility, 60.0)
    assert end[1, 1] == pytest.approx(beam[1, 1], rel=0.01)
    assert end[5, 5] == pytest.approx(beam[5, 5], rel=0.01)
    assert end[1, 5] == pytest.approx(beam[1, 5], rel=0.01)
    assert found.stick.mass == pytest.approx(1.24e-6 * np.pi / 4 * 30.0**2 * 900.0, rel=1e-4)


def test_an_option_that_cannot_be_solved_does_not_stop_the_rest(monkeypatch):
    """The failing option is recorded with its reason; the other is judged."""
    import orthofem.study.chain as module

    honest = module.mesh_part

    def picky(part, **settings):
        if part.name == "bad":
            raise ModelError("no mesh today")
        return honest(part, **settings)

    monkeypatch.setattr(module, "mesh_part", picky)
    bad = Option("bad", replace(SHAFT.part(40.0), name="bad"), {"shaft": Print("pla")})
    result = run(Study("two", [bad, bar()], HELD, refinements=(0.5,)))
    assert result.failed == {"bad": "no mesh today"}
    assert list(result.answers) == ["upright"]
    with pytest.raises(ModelError, match="No option could be judged. 'bad': no mesh today"):
        run(Study("one", [bad], HELD, refinements=(0.5,)))


def test_progress_is_told_once_a_step():
    """The number of progress lines is known beforehand."""
    study = Study("two", [bar(), bar("again")], HELD, refinements=(0.5,))
    told = []
    run(study, told.append)
    assert len(told) == steps(study)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"options": []}, "at least one option"),
        ({"options": [bar(), bar()]}, "share a name: upright"),
        ({"criteria": ("tsai_hil",)}, "Did you mean 'tsai_hill'"),
        ({"refinements": (1.5, 1.0)}, "coarse to fine"),
        ({"refinements": (0.0,)}, "refinement = 0"),
        ({"size": -1.0}, "size = -1 mm"),
        ({"radius": float("nan")}, "radius is nan"),
    ],
)
def test_a_study_that_makes_no_sense_is_refused(change, message):
    """Each bad field of a study gets its own message."""
    with pytest.raises(ValueError, match=message):
        replace(Study("s", [bar()], HELD), **change)


def test_an_option_names_its_pieces_and_materials():
    """A missing piece, an unknown piece and an unknown material are told apart."""
    with pytest.raises(ValueError, match="Unknown piece 'shaf' in option 'upright'"):
        bar(shaf=Print("pla"))
    with pytest.raises(ValueError, match="says nothing about piece 'shaft'"):
        Option("empty", SHAFT.part(40.0), {})
    with pytest.raises(ValueError, match="Unknown piece"):
        bar().printed("turned", stud=LYING)
    with pytest.raises(ValueError, match="Unknown material 'oak'"):
        bar(shaft=Print("oak")).prints["shaft"].loaded.key  # noqa: B018


def test_surface_loads_are_checked():
    """NaN, a label too few and a wanted factor of zero are refused."""
    with pytest.raises(ValueError, match="force of 'pull' is nan"):
        SurfaceLoad("pull", "t", (np.nan, 0, 0)).loading()
    with pytest.raises(ValueError, match="2 directions but 1 labels"):
        SurfaceLoad("pull", "t", np.eye(3)[:, :2], labels=("one",)).loading()
    with pytest.raises(ValueError, match="wanted factor"):
        SurfaceLoad("pull", "t", (1.0, 0, 0), wanted=0.0).loading()


def test_an_unknown_load_case_or_surface_lists_the_choices():
    """Names of load cases and surfaces are checked against what exists."""
    with pytest.raises(ValueError, match="Unknown load case 'side_kik'. Did you mean 'side_kick'"):
        StickWindow(Person(), Stick(length=900.0, joints=(450.0,)), ("side_kik",))
    with pytest.raises(ModelError, match="Unknown surface 'top'. .*upper_end"):
        run(Study("s", [bar()], HeldPart("lower_end", "top", [PULL]), refinements=(0.5,)))


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: HeldPart("upper_end", "upper_end", [PULL]), "both held and loaded"),
        (lambda: HeldPart("lower_end", "upper_end", []), "at least one load case"),
        (lambda: HeldPart("lower_end", "upper_end", [PULL, PULL]), "share a name: pull"),
        (lambda: HeldPart("lower_end", "upper_end", ["pull"]), "not a SurfaceLoad"),
        (lambda: StickWindow(Person(), Stick(length=900.0), "twist"), "give a list"),
        (lambda: StickWindow(Person(), Stick(length=900.0), ["twist"]), "has no joints"),
        (
            lambda: StickWindow(Person(), Stick(length=900.0), ["twist"], stations=(950.0,)),
            "station = 950 mm; it must lie between 0 and 900",
        ),
        (lambda: SurfaceLoad("p", "t", (1.0, 2.0)).loading(), r"shape \(2,\); give \(3,\)"),
        (lambda: SurfaceLoad("p", "t", (0.0, 0, 0)).loading(), "without force or moment"),
        (lambda: SurfaceLoad("p", "t", (1.0, 0, 0), grade="Z").loading(), "grade"),
        (lambda: bar(shaft="pla"), r"give Print\('pla'\)"),
        (lambda: Study("s", [bar("a-b"), bar("a b")], HELD), "differ in signs only"),
        (lambda: Study("s", [bar()], HELD, refinements=()), "at least one criterion"),
        (lambda: Study("s", [bar()], HELD, outline=32.0), r"outline = 32.0; give a Shaft\(...\)"),
        (lambda: Study("s", [bar()], HELD, printer=180.0), r"printer = 180.0; give a Printer"),
        (lambda: Study("s", [bar()], HELD, focus=("pul",)), "Did you mean 'pull'"),
    ],
)
def test_what_cannot_be_judged_is_refused_when_it_is_written(make, message):
    """Each mistake in a setting or study has its own message, before anything is solved."""
    with pytest.raises(ValueError, match=message):
        make()


def test_stopping_keeps_the_options_that_are_finished():
    """Ctrl-C after the first option returns it; before it, nothing is hidden."""
    study = Study("two", [bar(), bar("again")], HELD, refinements=(0.5,))

    def stop_at(wanted):
        def progress(text):
            if wanted in text:
                raise KeyboardInterrupt

        return progress

    result = run(study, stop_at("again: meshing"))
    assert result.stopped
    assert list(result.answers) == ["upright"]
    with pytest.raises(KeyboardInterrupt):
        run(study, stop_at("upright: meshing"))


def test_crossing_beads_of_an_orthotropic_print_are_judged_layer_by_layer():
    """Pulled along one kind of bead, the layers whose beads lie across carry less and break."""
    name = "pla_ud_f"
    material = replace(
        materials.load(name),
        strengths=Strengths(
            Xt=54.7, Xc=70.0, Yt=37.1, Yc=60.0, Zt=28.0, Zc=60.0, S23=18.0, S13=18.0, S12=18.0
        ),
    )
    crossed = PrintFrame(build=(0, 0, 1), bead=(1, 0, 0), beads="alternating")
    part = replace(SHAFT.part(40.0), interest=None)
    option = Option("crossed", part, {"shaft": Print(material, crossed)})
    window = StickWindow(
        Person(), Stick(length=900.0, diameter=12.0), ("pull_apart",), stations=(450.0,)
    )
    worst = evaluate(option, mesh_part(part, refinement=0.6), window).worst[0]
    nominal = 350.0 / (np.pi / 4 * 12.0**2)
    share = 2 * 3125.0 / (3376.0 + 3125.0)
    assert worst.mode == "beads part in the layer"
    assert worst.reserve == pytest.approx(37.1 / (share * nominal), rel=0.02)
