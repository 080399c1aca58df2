import pytest

from orthofem.errors import ModelError
from orthofem.parts import InBox, PartFile, check_part_path


def test_file_becomes_a_part(tmp_path):
    """Unit, scale, surfaces and piece names travel; the file is not opened yet."""
    path = tmp_path / "my hook.STEP"
    path.write_text("")
    end = InBox((0, 0, 0), (1, 1, 1))
    part = PartFile(path=path, unit="inch", scale=2.0, surfaces={"end": end}).part()
    assert part.name == "my_hook"
    assert part.surfaces == {"end": end}
    solid = part.piece("body").solid
    assert (solid.path, solid.unit, solid.scale, solid.index) == (str(path), "inch", 2.0, None)
    pair = PartFile(path=path, pieces=("a", "b")).part()
    assert [piece.solid.index for piece in pair.pieces] == [0, 1]


def test_missing_and_foreign_files_are_refused(tmp_path):
    """A path that is not there, or no part file, is named with what is allowed."""
    with pytest.raises(ModelError, match=r"no part file '.*gone.stl'; check the path"):
        check_part_path(tmp_path / "gone.stl")
    with pytest.raises(ModelError, match=r"give one of: .step, .stp, .stl"):
        PartFile(path=tmp_path / "gone.docx").part()


def test_unknown_unit_is_refused(tmp_path):
    """The units are listed."""
    path = tmp_path / "a.stl"
    path.write_text("")
    with pytest.raises(ValueError, match=r"Unknown unit 'feet'.*cm, inch, m, mm"):
        PartFile(path=path, unit="feet").part()
