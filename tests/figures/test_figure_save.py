"""A figure on disk."""

from __future__ import annotations

import pytest
from matplotlib.figure import Figure

from orthofem.errors import ModelError
from orthofem.figures import save


def test_both_files_and_nothing_else(tmp_path):
    """Saving makes the folder and leaves a PNG and an SVG, no temporary files."""
    figure = Figure()
    figure.subplots().set_title("reserve factor")
    paths = save(figure, tmp_path / "new" / "study.v1")
    assert [path.name for path in paths] == ["study.v1.png", "study.v1.svg"]
    assert sorted((tmp_path / "new").iterdir()) == sorted(paths)
    assert "reserve factor" in paths[1].read_text()


def test_a_folder_that_cannot_be_made_is_refused(tmp_path):
    """A file in the place of the folder gives an error that says what to do."""
    (tmp_path / "taken").write_text("")
    with pytest.raises(ModelError, match=r"Cannot write '.*x.png'.* folder that you may write to"):
        save(Figure(), tmp_path / "taken" / "x")


def test_a_refused_write_keeps_the_old_file(tmp_path, monkeypatch):
    """When the system refuses half way, the old picture stays."""
    (tmp_path / "x.png").write_text("old")

    def refuse(self, path, **_):
        path.write_text("half")
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Figure, "savefig", refuse)
    with pytest.raises(ModelError, match="Permission denied"):
        save(Figure(), tmp_path / "x")
    assert [(p.name, p.read_text()) for p in tmp_path.iterdir()] == [("x.png", "old")]
