"""The one-way table: which room may import which, and who may know which outside package."""

from __future__ import annotations

import ast
import re
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PACKAGE = ROOT / "orthofem"
ROOMS = (
    "errors", "tensors", "parts", "mesh", "materials", "loads", "solve", "failure", "study",
    "figures", "report", "cli",
)  # fmt: skip
OUTSIDE = {
    "errors": {"numpy"},
    "tensors": {"numpy"},
    "parts": {"numpy"},
    "mesh": {"numpy", "scipy", "gmsh", "meshio", "skfem"},
    "materials": {"numpy"},
    "loads": {"numpy"},
    "solve": {"numpy", "scipy", "skfem", "pyamg", "mkl", "threadpoolctl"},
    "failure": {"numpy", "scipy"},
    "study": {"numpy", "scipy", "distributed"},
    "figures": {"numpy", "matplotlib"},
    "report": {"numpy", "jinja2"},
    "cli": {"numpy", "typer", "rich"},
}
STANDARD = {
    "__future__", "abc", "ast", "collections", "concurrent", "contextlib", "csv", "ctypes",
    "dataclasses", "datetime", "difflib", "faulthandler", "functools", "hashlib", "importlib", "io",
    "itertools", "json", "math", "numbers", "os", "pathlib", "pickle", "platform", "queue", "re",
    "signal", "subprocess", "sys", "tempfile", "textwrap", "threading", "time", "tomllib",
    "traceback", "types", "typing", "warnings", "weakref",
}  # fmt: skip
FILES = sorted(PACKAGE.rglob("*.py"))


def room_of(path: Path) -> str:
    """Return the room that a module belongs to."""
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def imported(path: Path):
    """Every module that a file imports, inside functions too, relative ones spelled out."""
    package = ("orthofem", *path.relative_to(PACKAGE).parts[:-1])
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.level:
            base = package[: len(package) - node.level + 1]
            yield ".".join((*base, node.module or ""))
        elif isinstance(node, ast.ImportFrom):
            if node.module == "orthofem":
                yield from (f"orthofem.{alias.name}" for alias in node.names)
            else:
                yield node.module


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.relative_to(PACKAGE).as_posix())
def test_imports_run_downstream_only(path):
    """A room imports earlier rooms and its own packages only, hidden imports included."""
    room = room_of(path)
    if room == "__init__":
        allowed, outside = set(), set()
    else:
        allowed, outside = set(ROOMS[: ROOMS.index(room) + 1]), OUTSIDE[room]
    for name in imported(path):
        top, *rest = name.split(".")
        if top == "orthofem":
            assert not rest or rest[0] in allowed, f"{path.name} in {room} imports {name}"
        else:
            assert top in outside | STANDARD, f"{path.name} in {room} may not know {top}"


def test_every_room_is_in_the_table():
    """Each module of the package belongs to a room of the table."""
    assert {room_of(path) for path in FILES} - {"__init__"} == set(ROOMS)


def test_top_level_is_fixed():
    """Nothing stands at the top level but what the design names, and dotfiles."""
    allowed = {"README.md", "DEVELOPERS.md", "pyproject.toml", "orthofem", "studies", "tests",
               "meshes"}  # fmt: skip
    ignored = {"results", "build"}
    found = {p.name for p in ROOT.iterdir() if not p.name.startswith(".")}
    found = {name for name in found if not name.endswith(".egg-info")}
    assert found - ignored <= allowed


def test_modules_stay_small():
    """No module is longer than 500 lines and no function body longer than 60."""
    for path in FILES:
        text = path.read_text(encoding="utf-8")
        assert text.count("\n") <= 500, path
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, ast.FunctionDef):
                body = node.body[1:] if ast.get_docstring(node) else node.body
                length = body[-1].end_lineno - body[0].lineno + 1 if body else 0
                assert length <= 60, f"{path.name}: {node.name} has {length} lines"


def test_every_dependency_is_used_by_a_room():
    """Each run-time dependency is a package that some room of the table may know."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    names = {re.split(r"[<>=; \[]", entry)[0] for entry in project["dependencies"]}
    known = set.union(*OUTSIDE.values())
    spelled = {"scikit-fem": "skfem"}
    assert {spelled.get(name, name) for name in names} <= known
