"""The commands as a user types them, right and wrong."""

from __future__ import annotations

import json
import os
import stat
from pathlib import Path

import pytest
from typer.testing import CliRunner

from orthofem import materials
from orthofem.cli import app
from orthofem.parts import JOINTS

LIBRARY = Path(materials.__file__).parent / "library"
STUDY = """
from orthofem.parts import Shaft
from orthofem.study import HeldPart, LYING, Option, Print, Study, SurfaceLoad

def study():
    part = Shaft(outer_diameter=12.0).part(40.0)
    bar = Option("upright", part, {"shaft": Print("MATERIAL")})
    pull = SurfaceLoad("pull", "Pull along the bar", (100.0, 0.0, 0.0))
    return Study("A bar", [bar, bar.printed("lying", shaft=LYING)],
                 HeldPart("lower_end", "upper_end", [pull]), refinements=(0.5, 0.7))
"""


@pytest.fixture
def call(tmp_path, monkeypatch):
    """Call the command line in an empty folder, with a wide terminal."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "200")
    return lambda *arguments: CliRunner().invoke(app, [str(a) for a in arguments])


@pytest.fixture
def script(tmp_path):
    """Write a small study script, its filament chosen by name."""

    def write(material="pla"):
        path = tmp_path / "bar.py"
        path.write_text(STUDY.replace("MATERIAL", material))
        return path

    return write


def test_run_writes_everything_and_says_the_verdict(call, script, tmp_path):
    """A run ends with a verdict, and leaves table, record, summary, fields and figures."""
    done = call("run", script(), "--out", tmp_path / "out")
    assert done.exit_code == 0, done.output
    assert "Verdict" in done.output
    assert "does not show that a person may lean" in done.output.replace("\n", " ")
    names = {p.relative_to(tmp_path / "out").as_posix() for p in (tmp_path / "out").rglob("*.*")}
    assert {"results.csv", "results.json", "summary.md", "fields/lying.vtu",
            "figures/reserve_by_option.png", "figures/reserve_by_option.svg"} <= names  # fmt: skip
    header = (tmp_path / "out" / "results.csv").read_text().splitlines()[0]
    assert "Fx [N]" in header
    assert "x [mm]" in header
    record = json.loads((tmp_path / "out" / "results.json").read_text())
    assert record["options"]["lying"]["pieces"]["shaft"]["values"]
    assert record["versions"]["scikit-fem"] != "not installed"


def test_a_typo_in_a_material_lists_the_choices(call, script):
    """An unknown material ends the run at once, with the nearest name and all choices."""
    done = call("run", script("plaa"))
    assert done.exit_code == 1
    assert "Unknown material 'plaa'. Did you mean 'pla'?" in done.output.replace("\n", " ")
    assert "petg" in done.output


def test_an_output_folder_without_permission_is_refused_before_computing(call, script, tmp_path):
    """A folder that cannot be written to is found before anything is solved."""
    locked = tmp_path / "locked"
    if os.geteuid() == 0:
        locked.write_text("a file stands where the folder should be")
    else:
        locked.mkdir()
        locked.chmod(stat.S_IRUSR | stat.S_IXUSR)
    done = call("run", script(), "--out", locked / "out")
    assert done.exit_code == 1
    assert "Cannot write to folder" in done.output


@pytest.mark.parametrize(
    ("name", "message"),
    [("nowhere.py", "does not exist; give a study script"), (".", "is not a study script")],
)
def test_what_is_not_a_study_script_is_refused(call, name, message):
    """A missing file or one that is not Python gets a line that says what is wanted."""
    done = call("run", name)
    assert done.exit_code == 1
    assert message in done.output.replace("\n", " ")


def test_a_script_without_study_is_refused(call, tmp_path):
    """A script must have study(), and study() must return a Study."""
    path = tmp_path / "empty.py"
    path.write_text("x = 1\n")
    assert "has no function study()" in call("run", path).output
    path.write_text("def study():\n    return 3\n")
    assert "returned int, not a Study" in call("run", path).output.replace("\n", " ")


@pytest.mark.parametrize("joint", sorted(JOINTS))
def test_the_starter_study_of_every_joint_is_a_study(call, tmp_path, joint):
    """The starter script of each joint loads unchanged and gives three options."""
    from orthofem.cli.run import load_study

    path = tmp_path / f"my_{joint}.py"
    assert call("new", path, "--joint", joint).exit_code == 0
    study = load_study(path)
    assert len(study.options) == 3


def test_the_starter_study_refuses_to_overwrite(call, tmp_path):
    """An existing file is not overwritten, an unknown joint lists the known ones."""
    path = tmp_path / "mine.py"
    path.write_text("precious\n")
    assert "exists" in call("new", path).output
    assert path.read_text() == "precious\n"
    assert "loose_stud" in call("new", "other.py", "--joint", "hinge").output


def test_the_library_is_listed_with_sources(call):
    """Materials and load cases are listed, each number with its grade and source."""
    assert "petg" in call("materials").output
    shown = call("materials", "pla").output
    assert "grade" in shown
    assert "E_z" in shown
    assert "load taken from" in call("loads").output
    assert "Unknown material" in call("materials", "wood").output
    assert "Mass" in call("loads", "--mass", 0).output


def test_the_version_is_told(call):
    """The version flag ends with the version and nothing else."""
    done = call("--version")
    assert done.exit_code == 0
    assert done.output.startswith("orthofem ")


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("def study(:\n", "line 1: invalid syntax"),
        ("x = 1\ny = x / 0\n", "line 2: ZeroDivisionError"),
        ("import nowhere_to_be_found\n", "line 1: ModuleNotFoundError"),
        ("def study():\n    return {}['key']\n", "line 2: KeyError"),
        ("def g(a):\n    pass\ng(b=1)\n", "line 3: TypeError: g() got an unexpected"),
        (
            "from orthofem.loads import Person\nPerson(mas=80.0, height=1700.0)\n",
            "line 2: Unknown argument 'mas' in Person. Did you mean 'mass'? Choose one of: height,",
        ),
    ],
)
def test_a_mistake_in_a_script_is_told_with_its_line(call, tmp_path, text, message):
    """What goes wrong in a script ends in one line with its place, not in a traceback."""
    path = tmp_path / "numpy.py"  # a name that must not hide the library
    path.write_text(text)
    done = call("run", path)
    assert done.exit_code == 1
    assert message in done.output.replace("\n", " ")
    assert "Traceback" not in done.output


def test_brackets_in_messages_are_not_taken_for_markup(call, tmp_path):
    """A section name in square brackets reaches the reader of a material's error."""
    text = (LIBRARY / "pla.toml").read_text().replace("value = 28", "value = 0")
    assert "value = 0" in text
    own = tmp_path / "own.toml"
    own.write_text(text)
    done = call("materials", own)
    assert done.exit_code == 1
    assert "[strength" in done.output
