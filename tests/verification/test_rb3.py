"""RB-3: the reduced space against exact small problems and against full solves of a sweep."""

from __future__ import annotations

import numpy as np
import pytest
from sets import PT

from meshes import box
from orthofem.solve import Model, balanced_unit_responses
from orthofem.solve.reduced import ReducedSpace, Reference
from orthofem.tensors import ElasticConstants, frame, rotate_stiffness, stiffness

SOURCE = "series bar, exact"
RULE = "Quarteroni, Rozza, Manzoni 2011, facts of the reduced basis"
PULL = np.array([[100.0], [0], [0], [0], [0], [0]])


def bar(counts=(10, 2, 2), turn_from=60.0, moved=0.0):
    """Bar of 100 x 10 x 10 mm whose far part turns."""
    regions = {"still": lambda c: c[0] < turn_from, "turning": lambda c: c[0] > turn_from}
    return box((0, -5, -5), (100, 5, 5), counts, moved, regions)


def reference_of(mesh, still, turning):
    """Reduced-model reference of a bar pulled at both ends."""
    model = Model(mesh, {"still": still, "turning": turning})
    return Reference(model, ("turning",), "x1", "x0", (100.0, 0.0, 0.0))


def soft(E):
    """Isotropic stiffness without sideways contraction."""
    return stiffness(ElasticConstants.isotropic(E, 0.0))


def test_two_snapshots_span_the_series_bar(verify):
    """One snapshot leaves an error; two reproduce every modulus, and the bound falls to zero."""
    reference = reference_of(bar(), soft(3000.0), soft(1000.0))
    one = ReducedSpace.empty(reference).enriched(reference.solve(reference.turned(at(1000.0))))
    two = one.enriched(reference.solve(reference.turned(at(300.0)), tolerance=1e-12))
    for E, compliance in ((500.0, 10.0), (1000.0, 6.0), (2000.0, 4.0)):
        answer = two.respond(at(E))
        verify("RB-3", f"compliance at modulus {E:g}", 1e4 * answer.flexibility[0, 0], compliance,
               source=SOURCE, grade="D", rtol=1e-8)  # fmt: skip
        bound = float(answer.bound(PULL)[0])
        if E != 1000.0:
            assert bound < 1e-6 * float(one.respond(at(E)).bound(PULL)[0])


def at(E):
    """Stiffness of the turning part."""
    return {"turning": soft(E)}


@pytest.fixture(scope="module")
def sweep():
    """Reduced space of a crooked PT bar after four directions, and its reference."""
    still = rotate_stiffness(stiffness(PT), frame((1, 0, 0)))
    reference = reference_of(bar((6, 2, 2), 50.0, 0.15), still, still)
    space, sizes = ReducedSpace.empty(reference), []
    for build in ((1, 0, 0), (0, 1, 0), (0, 0, 1), (1, 1, 1)):
        space = space.enriched(reference.solve(reference.turned(turned(build)), None, 1e-11))
        sizes.append(space)
    return reference, sizes


def turned(build):
    """PT with a build direction."""
    return {"turning": rotate_stiffness(stiffness(PT), frame(build))}


def directions(count=20):
    """Random build directions that no space was built from."""
    rng = np.random.default_rng(66_190_231)
    return rng.standard_normal((count, 3))


LOADS = np.random.default_rng(40_022_817).standard_normal((6, 5)) * np.array(
    [[100.0], [100], [100], [3000], [3000], [3000]]
)


def true_error(reference, answer):
    """Energy error over energy norm against a full solve."""
    full = reference.solve(answer.model, answer.unit_displacement, 1e-11)
    wrong = (full - answer.unit_displacement) @ LOADS
    energy = np.einsum("in,ij,jn->n", LOADS, reference.forces.T @ full, LOADS)
    return np.sqrt(np.einsum("nl,nl->l", wrong, answer.model.matrix @ wrong) / energy)


def test_bound_holds_at_directions_never_solved(sweep, verify):
    """The bound lies above the true energy error, by no more than the pointwise ratio allows."""
    reference, spaces = sweep
    low, high = reference.bounds(turned((1, 2, 3)))
    effectivity = []
    for build in directions():
        answer = spaces[-1].respond(turned(build))
        truth, bound = true_error(reference, answer), answer.bound(LOADS)
        # both are measured against energies that differ by the square of the error
        slack = 1.0 + bound**2
        assert (bound * slack >= truth).all()
        effectivity.append((bound / truth).max())
    worst = float(max(effectivity))
    print(f"RB-3 effectivity: ours {worst:.4f}, allowed {high / low:.4f}")
    assert worst <= (high / low) * 1.001
    verify(
        "RB-3", "pointwise bounds of PT, isotropic mean", (low, high), (0.792091, 1.175626),
        source=RULE, grade="D", atol=1e-6,
    )  # fmt: skip


def test_estimate_by_random_functionals_lies_above_the_error(sweep):
    """The cheap estimate is at or above the true error in at least 98 of 100 cases."""
    reference, spaces = sweep
    above = [
        spaces[-1].respond(turned(build)).estimate(LOADS)
        >= true_error(reference, spaces[-1].respond(turned(build)))
        for build in directions()
    ]
    assert np.mean(above) >= 0.98


def test_compliance_grows_with_the_space_and_stays_below_the_truth(sweep):
    """The flexibility of a larger space is never smaller, and never above the full one."""
    reference, spaces = sweep
    for build in directions(6):
        full = reference.forces.T @ reference.solve(reference.turned(turned(build)), None, 1e-11)
        chain = [space.respond(turned(build)).flexibility for space in spaces] + [full]
        for smaller, larger in zip(chain, chain[1:], strict=False):
            assert np.linalg.eigvalsh(larger - smaller).min() > -1e-12 * np.trace(full)


def test_a_direction_in_the_space_is_answered_exactly(sweep):
    """A direction solved in full comes back as the full model's own answer."""
    reference, spaces = sweep
    answer = spaces[-1].respond(turned((0, 1, 0)))
    model = reference.turned(turned((0, 1, 0)))
    full = balanced_unit_responses(model, "x1", "x0", (100.0, 0.0, 0.0))
    round_off = 1e-11 * full.flexibility.max()
    assert answer.flexibility == pytest.approx(full.flexibility, rel=1e-9, abs=round_off)
    resultants = LOADS[:, :1]
    assert answer.displacement(resultants) == pytest.approx(
        full.displacement(resultants), rel=1e-4, abs=1e-6
    )
