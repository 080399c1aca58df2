"""The content key: everything that decides an answer is in it, and nothing else."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
import pytest

from orthofem.errors import ModelError
from orthofem.loads import Person, Stick
from orthofem.loads.cases import LOAD_CASES
from orthofem.materials import Printer, load
from orthofem.parts import InBox, OnPlane, PartFile, Refinement, Shaft
from orthofem.study import LYING, HeldPart, Option, Print, StickWindow, Study, SurfaceLoad
from orthofem.study.batch import Case, canonical, case_key, case_of, plan
from orthofem.study.versions import code_digest, deciding_versions, versions

PART = Shaft(outer_diameter=12.0).part(40.0)
PLA = load("pla")
PULL = SurfaceLoad("pull", "Pull", (100.0, 0.0, 0.0), labels=("once",))
HELD = HeldPart("lower_end", "upper_end", [PULL])
PERSON, STICK = Person(), Stick(length=900.0, joints=(300.0, 600.0), diameter=12.0)
WINDOW = StickWindow(PERSON, STICK, ("side_kick", "everyday_walking"))


def study(setting=HELD, part=PART, printed=None, **settings):
    """Return a study of one option."""
    option = Option("bar", part, {"shaft": printed or Print("pla")})
    return Study("A bar", [option], setting, **{"refinements": (1.0, 1.5), **settings})


def key(changed: Study, method: str = "auto") -> str:
    """Return the key of a study's first option."""
    return case_key(case_of(changed, changed.options[0], method))


def stronger(**strengths):
    """Return the PLA print with other strengths."""
    return Print(replace(PLA, strengths=replace(PLA.strengths, **strengths)))


def kick(**changes):
    """Return the stick window under one kick that is changed."""
    case = replace(LOAD_CASES["side_kick"](PERSON, STICK), **changes)
    return replace(WINDOW, cases=(case, "everyday_walking"))


DECIDING = {
    "diameter": study(part=Shaft(outer_diameter=12.0000001).part(40.0)),
    "length": study(part=Shaft(outer_diameter=12.0).part(41.0)),
    "refined zone": study(
        part=replace(PART, refine=(Refinement(InBox((0, 0, 0), (1, 1, 1)), 0.5),))
    ),
    "zone that is read": study(part=replace(PART, interest=InBox((5, -9, -9), (35, 9, 9)))),
    "surface": study(
        part=replace(PART, surfaces={**PART.surfaces, "lower_end": OnPlane((0, 0, 0), (1, 0, 1))})
    ),
    "material": study(printed=Print("petg")),
    "one strength": study(printed=stronger(Zt=28.0001)),
    "one constant": study(
        printed=Print(replace(PLA, constants=replace(PLA.constants, G13=PLA.constants.G13 + 1)))
    ),
    "averaging length": study(printed=Print(replace(PLA, critical_length=3.3))),
    "way up": study(printed=Print("pla", LYING)),
    "beads": study(printed=Print("pla", replace(LYING, beads="alternating"))),
    "force": study(HeldPart("lower_end", "upper_end", [replace(PULL, force=(100.0, 0, 1e-9))])),
    "moment": study(HeldPart("lower_end", "upper_end", [replace(PULL, moment=(0, 0, 1.0))])),
    "wanted": study(HeldPart("lower_end", "upper_end", [replace(PULL, wanted=3.0)])),
    "source": study(HeldPart("lower_end", "upper_end", [replace(PULL, source="measured")])),
    "label": study(HeldPart("lower_end", "upper_end", [replace(PULL, labels=("twice",))])),
    "held components": study(replace(HELD, components=(0, 1))),
    "held surface": study(HeldPart("upper_end", "lower_end", [PULL])),
    "criteria": study(criteria=("tsai_hill",)),
    "refinements": study(refinements=(1.0, 1.6)),
    "size": study(size=2.0),
    "radius": study(radius=0.5),
    "stick window": study(WINDOW),
    "person": study(replace(WINDOW, person=Person(mass=81.0))),
    "stick": study(replace(WINDOW, stick=replace(STICK, handle_overhang=61.0))),
    "stations": study(replace(WINDOW, stations=(300.0,))),
    "centre": study(replace(WINDOW, centre=1.0)),
    "order of cases": study(replace(WINDOW, cases=("everyday_walking", "side_kick"))),
    "numbers behind a case's name": study(
        kick(blow=replace(LOAD_CASES["side_kick"](PERSON, STICK).blow, speed=4001.0))
    ),
    "hot spot form": replace(study(), hot_spot="line"),
    "wanted uncertainty": replace(study(), uncertainty=0.05),
    "limit of unknowns": replace(study(), limit_unknowns=200_000),
    "printer": replace(study(), printer=Printer(height=100.0)),
    "factor of a case": study(kick(factor=1.5)),
}


def test_every_deciding_input_changes_the_key():
    """A change to any input that decides the answer gives a key that no other has."""
    keys = {name: key(changed) for name, changed in DECIDING.items()}
    keys["as it was"] = key(study())
    keys["solver"] = key(study(), "scipy")
    twice = {name for name in keys if list(keys.values()).count(keys[name]) > 1}
    assert not twice
    assert all(len(value) == 64 for value in keys.values())


def test_every_field_of_a_study_is_keyed_or_for_people_only():
    """A field that Study gains must enter the case too, or be named here as no part of a case."""
    words = {"title", "options", "focus", "note", "outline"}  # a batch keeps no whole sticks
    assert {f.name for f in fields(Study)} - words == {f.name for f in fields(Case)} - {
        "option", "method", "whole"
    }  # fmt: skip


@pytest.mark.parametrize(
    "renamed",
    [
        replace(study(), title="Another title", note="More words", focus=("pull",)),
        replace(study(), options=[replace(study().options[0], name="other", note="n")]),
        study(part=replace(PART, name="rod", notes=("words",))),
        study(printed=Print(replace(PLA, title="White PLA", notes=()))),
        study(HeldPart("lower_end", "upper_end", [replace(PULL, title="Tug", reason="why not")])),
        study(HeldPart("lower_end", "upper_end", (replace(PULL, force=np.array([100, 0, 0])),))),
        study(refinements=[1, 1.5]),
        replace(study(), options=[Option("b", PART, {"shaft": Print(PLA)}), *study().options]),
    ],
    ids=["study", "option", "part", "material", "load", "array for tuple", "whole", "by value"],
)
def test_names_and_spelling_do_not_change_the_key(renamed):
    """Titles, names and notes, and how a number is written, leave the key as it is."""
    assert key(renamed) == key(study())


def test_a_case_given_by_name_or_by_value_is_the_same():
    """A load case looked up by name has the key of the case itself; all joints, of stations."""
    given = replace(
        WINDOW,
        cases=tuple(LOAD_CASES[name](PERSON, STICK) for name in WINDOW.cases),
        stations=STICK.joints,
    )
    assert key(study(given)) == key(study(WINDOW))
    assert key(study(kick(title="A foot", notes=()))) == key(study(WINDOW))


def test_a_part_file_enters_by_its_bytes(tmp_path):
    """The file's content decides, not its name; a missing file is named."""
    first, second, third = (tmp_path / name for name in ("a.stl", "b.stl", "c.stl"))
    first.write_bytes(b"solid one")
    second.write_bytes(b"solid one")
    third.write_bytes(b"solid two")

    def of(path):
        option = Option("own", PartFile(path=path).part(), {"body": Print("pla")})
        return key(Study("own", [option], HELD))

    assert of(first) == of(second)
    assert of(first) != of(third)
    made = Study("own", [Option("o", PartFile(path=first).part(), {"body": Print("pla")})], HELD)
    first.unlink()
    with pytest.raises(ModelError, match="Cannot read part file '.*a.stl': No such file"):
        key(made)
    planned, refused = plan({"own": made})
    assert planned == []
    assert "Cannot read part file" in refused["own", "o"]


def test_versions_and_code_are_in_the_key(monkeypatch, tmp_path):
    """Another library version gives another key; so does one changed line of deciding code."""
    before = key(study())
    for name in ("orthofem", "code", "numpy", "scipy", "scikit-fem", "gmsh"):
        other = {**deciding_versions(), name: "0.0"}
        monkeypatch.setattr("orthofem.study.batch.key.deciding_versions", lambda o=other: o)
        assert key(study()) != before, name
    package = tmp_path / "package"
    for room in ("solve", "figures"):
        (package / room).mkdir(parents=True)
        (package / room / "file.py").write_text("x = 1\n")
    digest = code_digest(package)
    (package / "figures" / "file.py").write_text("x = 2\n")
    assert code_digest(package) == digest
    (package / "solve" / "file.py").write_text("x = 2\n")
    assert code_digest(package) != digest


def test_versions_name_what_is_missing(monkeypatch):
    """A library that is not there is told as such, not left out."""
    monkeypatch.setattr("orthofem.study.versions.LIBRARIES", ("numpy", "no-such-library"))
    found = versions()
    assert found["numpy"] == np.__version__
    assert found["no-such-library"] == "not installed"


@dataclass(frozen=True)
class Mine:
    """A class of a study's own."""

    number: float = 1.0


@pytest.mark.parametrize(
    "value",
    [Mine(), lambda x: x, object(), Mine],
    ids=["own instance", "function", "object", "own class"],
)
def test_what_has_no_exact_text_is_refused(value):
    """Functions and classes whose code the key cannot see are refused, not guessed."""
    with pytest.raises(ModelError, match="has no exact text"):
        canonical({"value": value})


def test_exact_text_tells_close_values_apart():
    """The last bit of a number counts; True is not 1; large whole numbers keep their digits."""
    one = np.nextafter(1.0, 2.0)
    texts = [canonical(v) for v in (1.0, one, True, "1.0", None, [1.0], {"1.0": 1.0}, 2**60 + 1,
                                    2**60, np.nan, np.inf)]  # fmt: skip
    assert len(set(texts)) == len(texts)
    assert canonical(np.array([[1, 2]])) == canonical([(1.0, 2.0)])
    assert canonical(frozenset((2, 1))) == canonical({1, 2})
