import importlib

import pytest

from orthofem.errors import MissingLibraryError, ModelError
from orthofem.mesh.session import load_gmsh, session


def test_missing_system_library_is_named_with_its_remedy(monkeypatch):
    """The linker's message becomes the library's name and the line that installs it."""

    def broken(name):
        raise OSError("libGLU.so.1: cannot open shared object file: No such file or directory")

    monkeypatch.setattr(importlib, "import_module", broken)
    with (
        pytest.raises(
            MissingLibraryError, match=r"library libGLU.so.1.*apt-get install -y libglu1-mesa"
        ),
        session(),
    ):
        pass


def test_missing_package_is_named_with_its_remedy(monkeypatch):
    """Without the package the message gives the pip line."""

    def absent(name):
        raise ModuleNotFoundError("No module named 'gmsh'")

    monkeypatch.setattr(importlib, "import_module", absent)
    with pytest.raises(MissingLibraryError, match=r"pip install gmsh"):
        load_gmsh()


def test_session_ends_whatever_happens():
    """An error inside leaves no session behind, and a second one starts empty."""
    with pytest.raises(Exception, match="Unknown"), session() as gmsh:
        gmsh.model.occ.getMass(3, 7)
    assert not load_gmsh().isInitialized()
    with session() as gmsh:
        gmsh.model.occ.synchronize()
        assert gmsh.model.getEntities() == []


def test_nested_sessions_are_refused():
    """Two sessions in one process would share one state."""
    with session(), pytest.raises(ModelError, match=r"already open"), session():
        pass
