"""``orthofem plan`` as a user types it, with wishes that can be fulfilled and that cannot."""

from __future__ import annotations

import json
import re

import pytest
from typer.testing import CliRunner

from orthofem.cli import app
from orthofem.cli.batch import is_wish

SCRIPT = """
from orthofem.loads import Person
from orthofem.materials import Printer
from orthofem.study.planner import JointRule, Wish

wish = Wish(
    length=LENGTH, outline=OUTLINE, joints=JOINTS, person=Person(mass=MASS),
    printer=Printer(width=BED, depth=BED, height=HEIGHT), cases=("full_weight",),
    ways=("upright",), most_pieces=2, coarseness=0.3, refinements=(0.35,), confirm=1,
    keep_from_handle=60.0, title="A wish",
)
"""
GOOD = {"LENGTH": 400.0, "OUTLINE": 20.0, "JOINTS": ["printed_stud"], "MASS": 80.0, "BED": 150.0,
        "HEIGHT": 260.0}  # fmt: skip


@pytest.fixture
def call(tmp_path, monkeypatch):
    """Call the command line in an empty folder, with a wide terminal."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "300")
    return lambda *arguments: CliRunner().invoke(app, [str(a) for a in arguments])


@pytest.fixture
def script(tmp_path):
    """Write a wish with some of its values changed."""

    def write(**changes):
        text = SCRIPT
        for name, value in {**GOOD, **changes}.items():
            text = text.replace(name, repr(value))
        path = tmp_path / "wish.py"
        path.write_text(text)
        return path

    return write


@pytest.mark.slow
def test_plan_writes_everything_and_says_the_verdict(call, script, tmp_path):
    """A plan ends with a verdict, and leaves page, tables, record and figures."""
    done = call("plan", script(), "--out", tmp_path / "out")
    assert done.exit_code == 0, done.output
    assert "Verdict" in done.output
    assert "does not show that a person may lean" in done.output.replace("\n", " ")
    names = {p.relative_to(tmp_path / "out").as_posix() for p in (tmp_path / "out").rglob("*.*")}
    assert {"plan.md", "plans.csv", "parts.csv", "plans.json", "figures/plan_1.png",
            "figures/plan_tradeoff.svg"} <= names  # fmt: skip
    assert "supported space [mm3]" in (tmp_path / "out" / "plans.csv").read_text().splitlines()[0]
    record = json.loads((tmp_path / "out" / "plans.json").read_text())
    assert record["plans"][0]["confirmed"]["rows"]


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"JOINTS": []}, "400 mm long; the longest piece that the printer .* no joint is allowed"),
        ({"MASS": 0.0}, "Mass of the person = 0 kg; it must lie between 20 and 250 kg"),
        ({"MASS": 400.0}, "Mass of the person = 400 kg; it must lie between 20 and 250 kg"),
        ({"BED": 30.0, "HEIGHT": 15.0}, "its stud is 17 mm long .* more than the printer takes"),
        ({"OUTLINE": 6.0}, "None of the allowed joints fits a stick 6 mm thick.*What gives"),
        ({"JOINTS": ["printed_stut"]}, "Did you mean 'printed_stud'"),
    ],
)
def test_an_impossible_wish_says_what_gives(call, script, changes, words):
    """Each ends at once with exit code 1 and one message."""
    done = call("plan", script(**changes))
    assert done.exit_code == 1
    output = " ".join(done.output.split())
    assert "orthofem: " in output
    assert "Traceback" not in output
    assert re.search(words, output), output


def test_what_is_not_a_wish_is_refused(call, tmp_path):
    """A missing file, a script without a wish, and a wish that is something else."""
    assert "does not exist; give a plan script" in call("plan", "nowhere.py").output
    path = tmp_path / "empty.py"
    path.write_text("x = 1\n")
    done = call("plan", path)
    assert done.exit_code == 1
    assert "defines nothing of that name; it must define wish = Wish(" in done.output
    path.write_text("wish = 3\n")
    assert "defines int; it must define" in call("plan", path).output


def test_a_batch_over_a_folder_leaves_wishes_out(tmp_path):
    """A script with a wish and no study is known without running it; a broken one is not one."""
    for name, text, answer in (
        ("wish.py", "wish = Wish()\nraise ValueError", True),
        ("both.py", "wish = 1\ndef study(): ...\n", False),
        ("study.py", "def study(): ...\n", False),
        ("broken.py", "def study(:\n", False),
    ):
        path = tmp_path / name
        path.write_text(text)
        assert is_wish(path) is answer, name
