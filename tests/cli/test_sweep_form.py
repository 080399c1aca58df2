"""A sweep reads hot spots by the volume form only, and says so."""

from __future__ import annotations

import pytest

from orthofem.cli.sweep import sweep

STUDY = """
from orthofem.loads import Person, Stick
from orthofem.parts import Shaft
from orthofem.study import Option, Print, StickWindow, Study

def study():
    bar = Option("bar", Shaft(outer_diameter=12.0).part(60.0), {"shaft": Print("pla")})
    window = StickWindow(Person(), Stick(length=900.0, diameter=12.0), ("pull_apart",),
                         stations=(450.0,))
    return Study("A bar", [bar], window, hot_spot="line")
"""


def test_another_form_is_refused_before_anything_is_computed(tmp_path):
    """A study that reads by the line form is not swept by the volume form behind one's back."""
    (tmp_path / "bar.py").write_text(STUDY)
    with pytest.raises(ValueError, match="by the line form; a sweep knows the volume form only"):
        sweep(tmp_path / "bar.py", out=tmp_path / "out")
