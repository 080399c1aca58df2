"""Material files: a name or a path comes in, a checked `Material` goes out."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from orthofem.errors import unknown
from orthofem.materials.fields import ACROSS, ENTRY, FREE_SIGN, OPTIONAL, TOP, required
from orthofem.materials.material import KINDS, Material
from orthofem.materials.strengths import Strengths
from orthofem.materials.values import Value
from orthofem.tensors import ElasticConstants

LIBRARY = Path(__file__).parent / "library"


def names() -> list[str]:
    """Return the keys of the materials in the library, in alphabetical order.

    Examples
    --------
    >>> "petg" in names()
    True
    """
    return sorted(path.stem for path in LIBRARY.glob("*.toml"))


def load(key_or_path: str | Path) -> Material:
    """Read a material from the library, or from a file of one's own.

    Parameters
    ----------
    key_or_path : str or Path
        Key in the library ("pla"), or path of a TOML file.

    Returns
    -------
    material : Material
        Checked material.

    Raises
    ------
    ValueError
        If the name is unknown (the choices are listed), or the file is not a valid material
        (the message names the file and the field).

    Examples
    --------
    >>> load("pla").constants.E3
    2700.0
    """
    text = str(key_or_path)
    own = isinstance(key_or_path, Path) or text.endswith(".toml") or "/" in text or "\\" in text
    if own:
        path = Path(key_or_path)
        if not path.is_file():
            raise ValueError(
                f"Material file '{path}' does not exist; give the path of a .toml file, "
                f"or one of the library: {', '.join(names())}."
            )
    else:
        path = LIBRARY / f"{text}.toml"
        if text not in names():
            raise ValueError(unknown("material", text, names()))
    try:
        table = tomllib.loads(path.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise ValueError(f"{path.name}: not a readable TOML file: {error}.") from error
    return from_table(path.stem, path.name, table)


def from_table(key: str, where: str, table: Mapping[str, Any]) -> Material:
    """Check the table of a material file and make the `Material` of it.

    Parameters
    ----------
    key : str
        Key of the material.
    where : str
        File name, for messages.
    table : mapping
        Content of the file.

    Returns
    -------
    material : Material
        Checked material.

    Raises
    ------
    ValueError
        If a field is missing, unknown or impossible; the message names the file and the field.
    """
    kind = _head(where, table)
    values, missing = _values(where, kind, table)
    values = _with_scatter(values)
    numbers = {name: value.mean for name, value in values.items()}
    strength = {name: numbers.get(name, math.nan) for name in required(kind)["strength"]}
    try:
        constants = _constants(kind, numbers).check(f"{where}: [elastic]")
        strengths = _strengths(kind, strength)
    except ValueError as error:
        raise ValueError(_prefixed(where, error)) from error
    expansion = [numbers.get(f"expansion_{i}", math.nan) for i in (1, 2, 3)]
    return Material(
        key=key,
        title=table["title"],
        kind=kind,
        density=numbers.get("density", math.nan),
        constants=constants,
        strengths=strengths,
        values=values,
        expansion=(expansion[0], expansion[1], expansion[2]),
        use_limit=numbers.get("use_limit", math.nan),
        critical_length=numbers.get("critical_length", math.nan),
        notes=(*table.get("notes", ()), *(f"no {name}: {why}" for name, why in missing.items())),
        printed=table.get("printed", True),
        polymer=table.get("polymer", key),
    )


def _head(where: str, table: Mapping[str, Any]) -> str:
    """Check title, kind and section names; return the kind."""
    for name in ("title", "kind"):
        if not isinstance(table.get(name), str) or not table[name].strip():
            raise ValueError(f"{where}: '{name}' is missing; give it as text at the top.")
    kind = table["kind"]
    if kind not in KINDS:
        raise ValueError(f"{where}: {unknown('kind', kind, KINDS)}")
    notes = table.get("notes", [])
    if not isinstance(notes, list) or not all(isinstance(note, str) for note in notes):
        raise ValueError(f"{where}: 'notes' must be a list of texts.")
    if not isinstance(table.get("printed", True), bool):
        raise ValueError(f"{where}: 'printed' must be true or false.")
    if not isinstance(table.get("polymer", ""), str):
        raise ValueError(f"{where}: 'polymer' must be the key of a library material, as text.")
    allowed = (*TOP, *required(kind), *OPTIONAL)
    for name, content in table.items():
        if name not in allowed:
            raise ValueError(f"{where}: {unknown('section', name, set(allowed))}")
        if name not in TOP and not isinstance(content, Mapping):
            raise ValueError(f"{where}: [{name}] must be a section with its fields under it.")
    return kind


def _values(where: str, kind: str, table: Mapping[str, Any]) -> tuple[dict[str, Value], dict]:
    """Read every field; return the values by name and the reasons of those left out."""
    missing = dict(table.get("no_value", {}))
    values: dict[str, Value] = {}
    wanted = required(kind)
    for section in (*wanted, *(name for name in OPTIONAL if name not in wanted)):
        must, may = wanted.get(section, {}), OPTIONAL.get(section, {})
        given = table.get(section, {})
        for name in given:
            if name not in {**must, **may}:
                raise ValueError(f"{where}: [{section}] {unknown('field', name, {**must, **may})}")
        for name, unit in {**must, **may}.items():
            if name in given and name in missing:
                raise ValueError(
                    f"{where}: {name} stands in [{section}] and in [no_value]; keep one."
                )
            if name in given:
                spot = f"{where}: [{section}.{name}]"
                prefix = "scatter_" if section == "scatter" else ""
                default = table.get("condition", "")
                values[prefix + name] = _value(spot, name, unit, given[name], default)
            elif name in must and (section == "elastic" or name not in missing):
                hint = "" if section == "elastic" else ", or a reason under [no_value]"
                raise ValueError(
                    f"{where}: [{section}.{name}] is missing; a material of kind '{kind}' needs "
                    f'it: give value, unit = "{unit}", grade and source{hint}.'
                )
    known = {name for section in wanted.values() for name in section}
    for name in missing:
        if name not in known:
            raise ValueError(f"{where}: [no_value] {unknown('field', name, known)}")
    return values, missing


def _value(spot: str, name: str, unit: str, entry: Any, condition: str) -> Value:
    """Check one entry and make the `Value` of it."""
    if not isinstance(entry, Mapping):
        raise ValueError(f"{spot} is a bare {entry!r}; give value, unit, grade and source.")
    for key in entry:
        if key not in ENTRY:
            raise ValueError(f"{spot} {unknown('key', key, ENTRY)}")
    for key in ("value", "unit", "grade", "source"):
        if key not in entry:
            raise ValueError(f"{spot} has no '{key}'; give value, unit, grade and source.")
    if entry["unit"] != unit:
        raise ValueError(f"{spot} unit '{entry['unit']}' is not allowed; give it in \"{unit}\".")
    number = {
        key: _number(f"{spot} {key}", entry[key])
        for key in ("value", "low", "high", "cov")
        if key in entry
    }
    mean = number["value"]
    if math.isinf(mean) and unit != "MPa":
        raise ValueError(f"{spot} value is infinite; give a finite number of {unit}.")
    if mean <= 0 and name not in FREE_SIGN:
        hint = "; a strength that does not occur is 'inf', an unknown one goes under [no_value]"
        raise ValueError(f"{spot} value = {mean:g} {unit}; it must be above zero{hint}.")
    texts = {key: str(entry.get(key, "")) for key in ("grade", "source", "note")}
    try:
        return Value(
            mean,
            texts["grade"],
            texts["source"],
            unit,
            str(entry.get("condition", condition)),
            number.get("low"),
            number.get("high"),
            number.get("cov"),
            texts["note"],
        )
    except ValueError as error:
        raise ValueError(f"{spot} {error}") from error


def _number(spot: str, given: Any) -> float:
    """Return a number as a float; refuse text, truth values and NaN."""
    if isinstance(given, bool) or not isinstance(given, (int, float)):
        raise ValueError(f"{spot} is {given!r}; give a number.")
    if math.isnan(given):
        raise ValueError(
            f"{spot} is NaN; give a number, or a reason under [no_value] where there is none."
        )
    return float(given)


def _with_scatter(values: dict[str, Value]) -> dict[str, Value]:
    """Give every strength without its own scatter that of its direction."""
    filled = dict(values)
    for name, value in values.items():
        scatter = values.get("scatter_across" if name in ACROSS else "scatter_in_plane")
        is_strength = any(name in required(kind)["strength"] for kind in KINDS)
        if is_strength and value.cov is None and scatter is not None:
            filled[name] = replace(value, cov=scatter.mean)
    return filled


def _constants(kind: str, numbers: Mapping[str, float]) -> ElasticConstants:
    """Return the elastic constants of the numbers of a file."""
    chosen = {name: numbers[name] for name in required(kind)["elastic"]}
    if kind == "transverse":
        return ElasticConstants.transverse(**chosen)
    if kind == "isotropic":
        return ElasticConstants.isotropic(**chosen)
    return ElasticConstants(**chosen)


def _strengths(kind: str, s: Mapping[str, float]) -> Strengths:
    """Return the nine strengths of the numbers of a file."""
    if kind == "transverse":
        return Strengths.transverse(**s)
    if kind == "isotropic":
        return Strengths.isotropic(**s)
    return Strengths(**s)


def _prefixed(where: str, error: ValueError) -> str:
    """Put the file name before a message that does not begin with it."""
    text = str(error)
    return text if text.startswith(where) else f"{where}: {text}"
