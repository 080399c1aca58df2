"""BORDER: index of the face between two materials in a bar, exact in tension, bending and twist."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import scipy.sparse as sp

from meshes import box
from orthofem import failure, materials
from orthofem.materials import BorderStrengths, PrintFrame
from orthofem.mesh import mesh_part
from orthofem.parts import Box, OnPlane, Part, Piece, with_bands
from orthofem.solve import Fixed, Model, balanced_unit_responses, face_of, face_traction, solve
from orthofem.study import HeldPart, Option, Print, SurfaceLoad
from orthofem.study.evaluate import judge, stiffness_field
from orthofem.tensors import ElasticConstants, stiffness

SOURCE = dict(source="closed form, bar of two materials", grade="D")
LENGTH, WIDTH, HEIGHT = 30.0, 8.0, 12.0  # x, z, y
AREA = WIDTH * HEIGHT
INERTIA_Z, INERTIA_Y = WIDTH * HEIGHT**3 / 12, HEIGHT * WIDTH**3 / 12
BEARS = BorderStrengths(10.0, 6.0)
FORCE, MOMENT = 480.0, 960.0
# as large a contraction across the bar per stress along it, so that plane faces stay plane; all
# else differs
STIFF = ElasticConstants.transverse(E_p=3400, E_z=2700, nu_p=0.33, nu_zp=0.30, G_zp=1000)
SOFT = ElasticConstants.transverse(E_p=1500, E_z=1800, nu_p=0.40, nu_zp=0.20, G_zp=500)


def bar(build=(1.0, 0.0, 0.0), heights=(13.0,)) -> Part:
    """Return a bar with two bands, its border across the build direction."""
    solid = Box((0.0, -HEIGHT / 2, -WIDTH / 2), (LENGTH, HEIGHT, WIDTH))
    ends = {"low": OnPlane((0, 0, 0), (1, 0, 0)), "high": OnPlane((LENGTH, 0, 0), (1, 0, 0))}
    part = Part("two bands", (Piece("bar", solid),), ends, feature=5.0)
    return with_bands(part, "bar", build, heights, ("foot", "top"))


def answer(part: Part, foot, top, build=(1.0, 0.0, 0.0), radius=1.0):
    """Judge the bar under pull, bending and both, its two bands of two sets of constants."""
    pla, frame = materials.load("pla"), PrintFrame(build)
    prints = {
        f"bar.{name}": Print(replace(pla, key=name, constants=constants), frame)
        for name, constants in (("foot", foot), ("top", top))
    }
    option = Option("two bands", part, prints, borders={"bar.foot|bar.top": BEARS})
    cases = [
        SurfaceLoad("pull", "Pull", (FORCE, 0.0, 0.0)),
        SurfaceLoad("push", "Push", (-FORCE, 0.0, 0.0)),
        SurfaceLoad("bend", "Bend", (0.0, 0.0, 0.0), (0.0, 0.0, MOMENT)),
        SurfaceLoad("both", "Pull and bend", (FORCE, 0.0, 0.0), (0.0, 0.5 * MOMENT, MOMENT)),
    ]
    made = mesh_part(part, size=2.5)
    model = Model(made.mesh, stiffness_field(option, made))
    responses = balanced_unit_responses(model, "high", "low", (LENGTH, 0.0, 0.0))
    return judge(option, made, HeldPart("low", "high", cases), responses, radius=radius)


@pytest.fixture(scope="module")
def two_materials():
    """Bar of a stiff and a soft band with a border normal to its axis."""
    return answer(bar(), STIFF, SOFT)


def test_border_in_tension(two_materials, verify):
    """A pulled bar of two materials: index, reserve and mode of the border are exact."""
    worst, (border,) = two_materials.case("pull"), two_materials.borders
    share = FORCE / AREA / BEARS.tension
    assert (worst.mode, worst.criterion) == ("border parts", failure.BORDER)
    assert worst.region == worst.piece == "bar.foot|bar.top"
    for name, averaged in (("averaged", True), ("at the nodes", False)):
        index = border.index(worst.resultants, averaged)
        wanted = np.full(index.shape, share**2)
        verify("BORDER-1", f"index in tension, {name}", index, wanted, rtol=1e-9, **SOURCE)
    verify("BORDER-1", "reserve in tension", worst.reserve, 1 / share, rtol=1e-9, **SOURCE)
    assert worst.disagreement < 1e-9


def test_border_in_compression(two_materials, verify):
    """Pushed together, the border has no index at all and never governs."""
    border = two_materials.borders[0]
    index = border.index(two_materials.case("push").resultants)
    verify("BORDER-1", "index in compression", index, np.zeros_like(index), atol=1e-18, **SOURCE)
    assert two_materials.case("push").criterion != failure.BORDER


def test_border_in_bending(two_materials, verify):
    """A bent bar of two materials: the index at each node of the border is exact."""
    worst, (border,) = two_materials.case("bend"), two_materials.borders
    y = two_materials.model.space.nodes[1, border.nodes]
    pull = np.maximum(-MOMENT * y / INERTIA_Z, 0.0)
    index = border.index(worst.resultants, averaged=False)
    verify("BORDER-2", "index in bending", index, (pull / 10) ** 2, rtol=1e-9, **SOURCE)
    reserve = BEARS.tension * INERTIA_Z / (MOMENT * HEIGHT / 2)
    verify("BORDER-2", "reserve in bending", worst.raw_reserve, reserve, rtol=1e-9, **SOURCE)
    apart = border.apart @ worst.resultants
    verify("BORDER-2", "forces against stresses", apart, 0 * apart, atol=1e-9, **SOURCE)
    assert worst.disagreement < 1e-9


def test_border_in_tension_and_bending(two_materials, verify):
    """Pull and bending about two axes at once: exact at each node, worst at one corner."""
    worst, (border,) = two_materials.case("both"), two_materials.borders
    _, y, z = two_materials.model.space.nodes[:, border.nodes]
    pull = FORCE / AREA - MOMENT * y / INERTIA_Z + 0.5 * MOMENT * z / INERTIA_Y
    index = border.index(worst.resultants, averaged=False)
    wanted = (np.maximum(pull, 0.0) / BEARS.tension) ** 2
    verify("BORDER-3", "index in tension and bending", index, wanted, rtol=1e-9, **SOURCE)
    assert worst.place == pytest.approx((13.0, -HEIGHT / 2, WIDTH / 2))


def test_average_over_the_disc_in_bending(two_materials, verify):
    """At the edge half a disc is averaged: the stress at its centroid, within 2 %."""
    worst, (border,) = two_materials.case("bend"), two_materials.borders
    _, y, z = two_materials.model.space.nodes[:, border.nodes]
    edge = (y < -HEIGHT / 2 + 1e-6) & (np.abs(z) < WIDTH / 2 - border.radius)
    index = border.index(worst.resultants)[edge]
    depth = HEIGHT / 2 - 4 * border.radius / (3 * np.pi)
    wanted = np.full(index.shape, (MOMENT * depth / INERTIA_Z / BEARS.tension) ** 2)
    assert edge.any()
    verify("BORDER-2", "index averaged over half a disc", index, wanted, rtol=0.02, **SOURCE)


def test_oblique_border_in_tension(verify):
    """A border at 60 degrees to the axis: pull and shear on it add in squares, exactly."""
    turn = np.radians(30.0)
    build = (float(np.cos(turn)), float(np.sin(turn)), 0.0)
    even = ElasticConstants.isotropic(2500.0, 0.33)
    # the bed touches the corner (0, -6): the plane cuts the axis at x = 13
    height = 13.0 * build[0] + 6.0 * build[1]
    found = answer(bar(build, (height,)), even, even, build)
    worst, (border,) = found.case("pull"), found.borders
    stress = FORCE / AREA
    pull, slide = stress * build[0] ** 2, stress * build[0] * build[1]
    index = (pull / BEARS.tension) ** 2 + (slide / BEARS.shear) ** 2
    all_nodes = border.index(worst.resultants)
    wanted = np.full(all_nodes.shape, index)
    verify("BORDER-4", "index on an oblique border", all_nodes, wanted, rtol=1e-9, **SOURCE)
    verify("BORDER-4", "reserve", worst.reserve, index**-0.5, rtol=1e-9, **SOURCE)
    assert worst.mode == "border parts"
    pushed = found.case("push")
    alone = (slide / BEARS.shear) ** 2
    at = border.index(pushed.resultants)
    verify("BORDER-4", "index pushed", at, np.full(at.shape, alone), rtol=1e-9, **SOURCE)


def test_border_in_twist(verify):
    """Two materials under one twisting moment: the shear at each node of the border is exact."""
    split, rate = 13.0, 1e-3
    mesh = box(
        (0, -6, -4), (26, 6, 4), (4, 3, 2),
        regions={"low": lambda x: x[0] < split, "high": lambda x: x[0] > split},
    )  # fmt: skip
    soft, hard = (ElasticConstants.isotropic(E, 0.3) for E in (1300.0, 2600.0))
    model = Model(mesh, {"low": stiffness(soft), "high": stiffness(hard)})

    def twisted(points):
        x, y, z = points
        angle = rate * np.where(x < split, x, split + 0.5 * (x - split))
        return np.stack([0 * x, -angle * z, angle * y])

    ends = [Fixed(name, value=twisted) for name in ("x0", "x1", "y0", "y1", "z0", "z1")]
    found = solve(model, ends, [[]])
    face = face_of(model.space, mesh.subdomains["low"])
    nodes = np.unique(face.nodes[:3])
    traction = face_traction(found, face).at_nodes(nodes, np.zeros(len(nodes), int))[..., 0]
    _, y, z = model.space.nodes[:, nodes]
    wanted = 500.0 * rate * np.stack([0 * y, -z, y])  # both shear moduli times their own rate
    verify("BORDER-5", "traction in twist", traction, wanted, rtol=1e-9, **SOURCE)
    index = failure.border_index(traction, BEARS.tension, BEARS.shear)
    share = (500.0 * rate / BEARS.shear) ** 2 * (y**2 + z**2)
    verify("BORDER-5", "index in twist", index, share, rtol=1e-9, **SOURCE)


def test_traction_hands_on_the_whole_load(verify):
    """Stress peaks at a border's rim: the traction still adds up to the load, that of stress not.

    Poisson's ratios that do not match, and a step in width, make the rim of the border singular.
    """
    low = Piece("low", Box((0, -6, -4), (13, 12, 8)))
    high = Piece("high", Box((13, -4, -3), (13, 8, 6)))
    ends = {"low_end": OnPlane((0, 0, 0), (1, 0, 0)), "high_end": OnPlane((26, 0, 0), (1, 0, 0))}
    mesh = mesh_part(Part("step", (low, high), ends, feature=5.0)).mesh
    soft, hard = ElasticConstants.isotropic(200.0, 0.45), ElasticConstants.isotropic(3000.0, 0.1)
    model = Model(mesh, {"low": stiffness(soft), "high": stiffness(hard)})
    centre = np.array([13.0, 0.0, 0.0])
    found = balanced_unit_responses(model, "high_end", "low_end", centre).solution
    face = face_of(model.space, mesh.subdomains["low"])
    traction = face_traction(found, face)
    arm = face.points.reshape(3, -1) - centre[:, None]
    zero = 0 * arm[0]
    turning = np.array([[zero, -arm[2], arm[1]], [arm[2], zero, -arm[0]], [-arm[1], arm[0], zero]])
    balanced, by_stress = (np.zeros((6, 6)) for _ in range(2))
    for kind, net in ((0, balanced), (1, by_stress)):
        net[:3] = total(traction, np.ones_like(zero))[kind]
        for row in range(3):
            net[3 + row] = sum(total(traction, turning[row, b])[kind][b] for b in range(3))
    verify("BORDER-6", "net force and moment", balanced, np.eye(6), atol=1e-7, **SOURCE)
    assert np.abs(by_stress - np.eye(6)).max() > 0.02


def total(traction, factor) -> np.ndarray:
    """Integral of a factor (n_samples,) times the traction: in balance, and from stress alone."""
    rows = sp.csr_array((factor * traction.face.areas.ravel())[None])
    return np.stack(traction.averaged(rows))[:, :, 0]
