"""Laws of interfaces: what each refuses, and which of them split the mesh."""

from __future__ import annotations

import math

import pytest

from orthofem.solve.contact import LAWS, Bonded, Contact, Glued, ThreadTie, to_split

BAD = {
    "friction below zero": (lambda: Contact(friction=-0.1), "friction = -0.1.*not below zero"),
    "friction not a number": (lambda: Contact(friction=math.nan), "friction is nan"),
    "clearance infinite": (lambda: Contact(clearance=math.inf), "clearance is inf"),
    "glue without strength": (lambda: Glued(0.0, 5.0), "tension strength of the glue = 0 MPa"),
    "glue without shear": (lambda: Glued(5.0, -1.0), "shear strength of the glue = -1 MPa"),
    "thread without axis": (lambda: ThreadTie(axis=(0, 0, 0)), "thread axis"),
    "thread pushed apart": (lambda: ThreadTie(pull=-0.1), "pull = -0.1 mm; tightening draws"),
    "thread unknown turning": (lambda: ThreadTie(turning="no"), "choose one of: held, free"),
    "thread clearance": (lambda: ThreadTie(clearance=math.nan), "clearance is nan"),
}


@pytest.mark.parametrize("name", BAD)
def test_bad_values_are_refused(name):
    """Each bad value is named with what is allowed."""
    make, words = BAD[name]
    with pytest.raises(ValueError, match=words):
        make()


def test_only_what_can_move_is_split():
    """Bonded and glued interfaces stay whole, contact and threads are split."""
    laws = {"a|b": Bonded(), "b|c": Glued(10.0, 8.0), "c|d": Contact(), "d|e": ThreadTie()}
    assert to_split(laws) == ["c|d", "d|e"]
    assert {type(law) for law in laws.values()} == set(LAWS.values())
