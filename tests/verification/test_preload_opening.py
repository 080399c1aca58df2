"""THR-2, CONT-5 (b): two sleeves clamped by a rod between plates, preloaded, pulled and bent.

Sleeves, rod and plates are three-dimensional finite elements; shoulder and thread are in contact.
The plates are as wide as the sleeves, so that two springs describe the joint without a cone.
"""

import numpy as np
import pytest

from orthofem.errors import ModelError
from orthofem.loads.clamp import ClampedJoint, bar_stiffness
from orthofem.loads.opening import ring_pressure
from orthofem.loads.screw import gap_moment
from orthofem.mesh import mesh_part
from orthofem.mesh.split import split
from orthofem.parts import OnPlane, Part, Piece, Revolved, polygon
from orthofem.solve import Balanced, Model, Resultant
from orthofem.solve.contact import Contact, ThreadTie, Touching
from orthofem.study.screw.share_curve import Interfaces, pulled
from orthofem.tensors import ElasticConstants, stiffness

pytestmark = pytest.mark.slow

HALF, PLATE, ROD = 30.0, 10.0, 3.0  # mm: half of the clamped length, plates, rod's radius
OUTER, INNER = 25.0, 12.0  # mm: diameters of the sleeves
MODULI = {"rod": (70e3, 0.33), "washer": (210e3, 0.3), "lower": (3300.0, 0.35),
          "upper": (3300.0, 0.35)}  # fmt: skip
GRIPPED = 0.4 * 2 * ROD  # what a head or a nut adds to the rod's length: handbooks, M-m
PRELOAD = 250.0
LAWS = {"lower|upper": Contact()}
FACES = Interfaces(
    lambda travel: {**LAWS, "rod|washer": ThreadTie(pull=travel)},
    "rod|washer thread",
    "lower|upper",
)
ENDS = ("lower_end", "upper_end")


def springs():
    """Closed form of rod and sleeves."""
    rod = bar_stiffness(MODULI["rod"][0], np.pi * ROD**2, 2 * (HALF + GRIPPED))
    sleeve = np.pi / 4 * (OUTER**2 - INNER**2)
    return ClampedJoint(rod, bar_stiffness(MODULI["lower"][0], sleeve, 2 * HALF))


@pytest.fixture(scope="module")
def model():
    """The clamped sleeves, split at shoulder and thread."""
    wide, bore, far = OUTER / 2, INNER / 2, HALF + PLATE
    rod = [(-far, 0), (-far, wide), (-HALF, wide), (-HALF, ROD), (far + 2, ROD), (far + 2, 0)]
    washer = [(HALF, ROD), (HALF, wide), (far, wide), (far, ROD)]
    outlines = {
        "rod": rod,
        "washer": washer,
        "lower": [(-HALF, bore), (0, bore), (0, wide), (-HALF, wide)],
        "upper": [(0, bore), (HALF, bore), (HALF, wide), (0, wide)],
    }
    pieces = tuple(Piece(name, Revolved(polygon(points))) for name, points in outlines.items())
    surfaces = {
        "lower_end": OnPlane((-far, 0, 0), (1, 0, 0)),
        "upper_end": OnPlane((far, 0, 0), (1, 0, 0)),
    }
    whole = mesh_part(Part("clamped", pieces, surfaces, feature=8.0))
    parted = split(whole, ("lower|upper", "rod|washer"))
    elastic = {k: stiffness(ElasticConstants.isotropic(*v)) for k, v in MODULI.items()}
    return Model(parted.mesh, {region: elastic[region] for region in parted.piece_of})


@pytest.fixture(scope="module")
def curve(model):
    """Forces under pulls up to well beyond the opening."""
    opens = springs().opening_pull(PRELOAD)
    pulls = np.array([0.25, 0.5, 0.75, 0.9, 1.05, 1.3]) * opens
    return pulled(model, FACES, PRELOAD, pulls, ENDS)


def test_a_thread_that_presses_nothing_is_refused(model):
    """A shoulder zone that tightening does not press is named."""
    wrong = Interfaces(FACES.laws, FACES.thread, "rod|washer thread")
    with pytest.raises(ModelError, match="presses nothing together on 'rod.washer thread'"):
        pulled(model, wrong, PRELOAD, np.array([100.0]), ENDS)


SOURCE = "two springs; rod longer by 0.4 d at head and nut (handbooks)"


def test_opening_pull(curve, verify):
    """The shoulder parts at the pull of the closed form; just above it all of it is open."""
    opens = springs().opening_pull(PRELOAD)
    verify("THR-2", "opening pull of a preloaded joint, contact", curve.opening_pull, opens,
           source=SOURCE, grade="D(M-m)", rtol=0.05)  # fmt: skip
    assert (curve.closed[:4] > 0.999).all()
    assert (curve.closed[4:] == 0).all()


def test_preload_of_a_nuts_travel(curve, verify):
    """Travel of the nut is shared by the two springs."""
    two = springs()
    force = curve.travel / (1 / two.stud + 1 / two.clamped)
    verify("THR-2", "preload of a nut's travel, contact", curve.preload, force,
           source=SOURCE, grade="D(M-m)", rtol=0.05)  # fmt: skip


def test_load_shares(curve, verify):
    """Stud and shoulder share every pull as the two springs do, before and after the opening."""
    stud, shoulder = springs().shares(PRELOAD, curve.pull)
    for name, ours, target in (
        ("rod", curve.stud, stud),
        ("shoulder", curve.shoulder, shoulder),
    ):
        verify("THR-2", f"{name} force against pull, contact", ours, target,
               source=SOURCE, grade="D(M-m)", rtol=0.05)  # fmt: skip


def test_forces_balance_the_pull(curve):
    """Tension of the rod less the shoulder's force is the pull, to the solver's tolerance."""
    assert curve.stud - curve.shoulder == pytest.approx(curve.pull, rel=1e-4)


def test_bending_opens_the_ring(model, curve, verify):
    """The ring begins to open at the gap moment, and presses as plane sections say beyond it."""
    gap = gap_moment(PRELOAD, 0.0, OUTER, INNER)
    about = [Resultant(ENDS[1], moment=(0, 0, 1.0)), Resultant(ENDS[0], moment=(0, 0, -1.0))]
    touching = Touching(model, [Balanced()], FACES.laws(curve.travel))
    factors = np.array([0.9, 0.96, 1.02, 1.08, 1.14, 1.6])
    ring = touching.solve([about], gap * factors[None, :]).zone("lower|upper")
    force, moment = ring.resultant()[0], np.abs(ring.resultant()[5])
    whole = ring.closed_share > 1 - 1e-9
    last = np.flatnonzero(whole)[-1]
    assert 0 < last < len(factors) - 2
    opens = 0.5 * (moment[last] + moment[last + 1])
    verify("CONT-5", "moment that opens a preloaded shoulder ring, contact", opens, gap,
           source="core radius of a ring", grade="D", rtol=0.05,
           why="the moment on the ring itself; the rod carries the rest")  # fmt: skip
    closed_form = ring_pressure(force[-1], moment[-1], OUTER, INNER)
    verify("CONT-5", "greatest pressure of a half open ring, contact", ring.pressure[..., -1].max(),
           closed_form.greatest, source="plane sections", grade="D", rtol=0.05,
           why="elastic bodies bend where they part, so they open further")  # fmt: skip
    assert ring.closed_share[-1] < 1 - closed_form.open_share
