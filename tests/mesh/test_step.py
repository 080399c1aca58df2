import re

import numpy as np
import pytest

from orthofem.errors import ModelError
from orthofem.mesh import check_file, mesh_part
from orthofem.mesh.session import session
from orthofem.mesh.shapes import shape
from orthofem.mesh.step import declared_unit
from orthofem.parts import (
    Box,
    Cut,
    Cylinder,
    FaceAt,
    HalfSpace,
    Imported,
    OnCylinder,
    OnPlane,
    Part,
    PartFile,
    Piece,
    with_bands,
)

METRE = "SI_UNIT($,.METRE.)"
INCH = (
    "( CONVERSION_BASED_UNIT('INCH',#9001) LENGTH_UNIT() NAMED_UNIT(#9002) );\n"
    "#9001 = LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(25.4),#9003);\n"
    "#9002 = DIMENSIONAL_EXPONENTS(1.,0.,0.,0.,0.,0.,0.);\n"
    "#9003 = ( LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.) );"
)


@pytest.fixture
def step(tmp_path):
    """Write solids as a STEP file, its unit record replaced if asked, and give its path."""

    def write(*solids, unit=None):
        path = tmp_path / "part.step"
        with session() as gmsh:
            for solid in solids:
                shape(gmsh, solid)
            gmsh.model.occ.synchronize()
            gmsh.write(str(path))
        if unit is not None:
            pattern = r"\( LENGTH_UNIT\(\) NAMED_UNIT\(\*\) SI_UNIT\(\.MILLI\.,\.METRE\.\) \);"
            text, count = re.subn(pattern, lambda _: unit, path.read_text())
            assert count == 1
            path.write_text(text)
        return path

    return write


def metres():
    """Unit record of a file in metres."""
    return f"( LENGTH_UNIT() NAMED_UNIT(*) {METRE} );"


BRACKET = Cut(Box((0, 0, 0), (40, 30, 10)), Cylinder((20, 15, -1), (0, 0, 12), 5.0))
VOLUME = 12000 - np.pi * 25 * 10


def test_solid_with_named_faces(step):
    """A STEP solid is meshed; faces by plane, by cylinder and as whole faces of the solid."""
    faces = {
        "end": OnPlane((0, 0, 0), (1, 0, 0)),
        "bore": OnCylinder((20, 15, 0), (0, 0, 1), 5.0),
        "hole": FaceAt((20, 10, 5)),
    }
    got = mesh_part(PartFile(path=step(BRACKET), surfaces=faces).part(), size=5.0)
    assert got.report.volumes["body"] == pytest.approx(VOLUME, rel=1e-4)
    assert np.array_equal(got.mesh.boundaries["bore"], got.mesh.boundaries["hole"])
    ends = got.mesh.p[0, got.mesh.facets[:, got.mesh.boundaries["end"]]]
    assert np.abs(ends).max() < 1e-9


@pytest.mark.parametrize(
    ("record", "unit", "scale", "factor"),
    [
        (None, None, 1.0, 1.0),
        (None, "mm", 1.0, 1.0),
        (None, "inch", 1.0, 25.4),
        (None, "cm", 0.5, 5.0),
        (metres(), None, 0.01, 10.0),
        (metres(), "mm", 1.0, 1.0),
        (metres(), "cm", 1.0, 10.0),
        (INCH, None, 1.0, 25.4),
        (INCH, "mm", 2.0, 2.0),
    ],
)
def test_units(step, record, unit, scale, factor):
    """The declared unit is converted; a stated one wins over it; the scale comes on top."""
    report = check_file(step(BRACKET, unit=record), unit=unit, scale=scale)
    assert report.problems == ()
    assert report.size == pytest.approx((40 * factor, 30 * factor, 10 * factor), rel=1e-6)
    assert report.volume == pytest.approx(VOLUME * factor**3, rel=1e-9)
    assert (report.n_solids, report.n_faces, report.kind) == (1, 7, "STEP")


def test_scaled_cylinders_stay_cylinders(step):
    """Scaling keeps the bore an exact cylinder, so that it can be selected."""
    faces = {"bore": OnCylinder((2 * 25.4, 1.5 * 25.4, 0), (0, 0, 1), 12.7)}
    solid = Cut(Box((0, 0, 0), (4, 3, 1)), Cylinder((2, 1.5, -1), (0, 0, 12), 0.5))
    got = mesh_part(PartFile(path=step(solid), unit="inch", surfaces=faces).part(), size=15.0)
    assert got.mesh.boundaries["bore"].size > 10


def test_declared_units():
    """Prefixes, inches, and files that declare none or two."""
    assert declared_unit(f"#1 = {metres()}") == 1000.0
    assert declared_unit(f"#1 = {INCH}") == 25.4
    assert declared_unit("#1 = CARTESIAN_POINT('',(0.,0.,0.));") is None
    assert declared_unit(f"#1 = {metres()} #2 = {metres().replace('$', '.CENTI.')}") is None


def test_absurd_sizes_are_refused_with_the_box(step):
    """A file whose numbers are metres but which declares millimetres, and the reverse."""
    tiny = step(Box((0, 0, 0), (0.07, 0.05, 0.02)))
    with pytest.raises(
        ModelError,
        match=r"'part.step' measures 0.07 x 0.05 x 0.02 mm with the unit that the file declares"
        r".*between 1 mm and 3000 mm.*unit='m'",
    ):
        mesh_part(PartFile(path=tiny).part())
    got = mesh_part(PartFile(path=tiny, unit="m").part())
    assert got.report.volumes["body"] == pytest.approx(70 * 50 * 20)
    huge = step(BRACKET, unit=metres())
    assert "measures 4e+04 x 3e+04 x 1e+04 mm" in check_file(huge).problems[0]
    assert "unit='mm'" in check_file(huge, unit="m").problems[0]
    assert "Check unit and scale" in check_file(huge, unit="m", scale=1e9).problems[0]


def test_unit_against_no_declared_one_is_refused(step):
    """Without a declared unit a stated one has nothing to stand against."""
    path = step(BRACKET)
    path.write_text(path.read_text().replace(".METRE.", ".RADIAN."))
    with pytest.raises(ModelError, match=r"declares no single length unit.*scale"):
        check_file(path, unit="cm")


def test_several_solids_need_names(step):
    """Two solids: the boxes are listed; with names each becomes a piece, and they are bonded."""
    path = step(Box((0, 0, 0), (10, 10, 10)), Box((10, 0, 0), (20, 10, 10)))
    with pytest.raises(ModelError, match=r"holds 2 solids \(0: 10 x 10 x 10 mm; 1: 20 x"):
        mesh_part(PartFile(path=path).part())
    got = mesh_part(PartFile(path=path, pieces=("near", "far")).part(), size=5.0)
    assert got.report.volumes == pytest.approx({"near": 1000, "far": 2000})
    assert got.mesh.boundaries["near|far"].size > 0
    with pytest.raises(ModelError, match=r"holds 2 solids; there is none with number 2"):
        mesh_part(PartFile(path=path, pieces=("a", "b", "c")).part())


def test_bands_in_a_step_file(step):
    """A user's solid is split at layer planes like any other."""
    part = PartFile(path=step(BRACKET)).part()
    split = with_bands(part, "body", (0, 0, 1), (4.0,), ("low", "high"), lowest=0.0)
    volumes = mesh_part(split, size=5.0).report.volumes
    assert volumes["body.low"] == pytest.approx(0.4 * VOLUME, rel=1e-4)


def test_files_without_solids_are_refused(step, tmp_path):
    """Faces alone, text that is no STEP, and an STL used as a solid to cut."""
    path = tmp_path / "faces.step"
    with session() as gmsh:
        gmsh.model.occ.addRectangle(0, 0, 0, 10, 10)
        gmsh.model.occ.synchronize()
        gmsh.write(str(path))
    with pytest.raises(ModelError, match=r"holds no solid, only 1 faces or curves"):
        check_file(path)
    path.write_text("a walk in the marsh\n")
    with pytest.raises(ModelError, match=r"faces.step' could not be read as a STEP file"):
        check_file(path)
    stl = tmp_path / "a.stl"
    stl.write_text("")
    cut = Cut(Imported(str(stl)), HalfSpace((0, 0, 0), (0, 0, 1)))
    with pytest.raises(ModelError, match=r"is an STL file.*give a STEP file"):
        mesh_part(Part("p", (Piece("a", cut),)))
