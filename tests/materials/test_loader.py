"""The library of materials: complete, checked, and clear about what is wrong in a file."""

import math
import tomllib

import numpy as np
import pytest

from orthofem.materials import ALLOWED, Value, derived, from_table, load, names, temperature_note
from orthofem.materials.loader import LIBRARY
from orthofem.tensors import stiffness

# the ten transversely isotropic sets: key, density, five constants, six strengths, two scatters,
# toughness, critical length, use limit; then the grades in the same order
TRANSVERSE = """
pla,1.24,3200,2700,0.33,0.30,1000,50,70,28,65,28,20,0.08,0.20,110.7,2.1,45,D(S)|E|E|M-m|E|E|E|E|E|E|E|E|E|E|P|D(P)|E
pla_silk,1.24,2600,2100,0.34,0.30,800,35,50,14,45,20,10,0.10,0.30,,,42,E|E|E|E|E|E|E|E|E|E|E|E|E|E|-|-|E
petg,1.27,1900,1750,0.38,0.35,620,40,50,22,45,22,15,0.08,0.20,,,60,M-h|E|E|M-m|E|E|E|E|E|E|E|E|E|E|-|-|E
abs,1.04,2100,1900,0.37,0.33,690,32,42,17,38,18,12,0.08,0.20,,,80,M-h|E|E|P|E|E|E|E|E|E|E|E|E|E|-|-|E
asa,1.07,2000,1800,0.37,0.33,650,36,48,18,43,20,13,0.08,0.20,46.5,0.45,82,M-h|E|E|E|E|E|E|E|E|E|E|E|E|E|D(P)|D(P)|E
pa_dry,1.13,1500,1350,0.39,0.35,480,45,50,25,45,26,16,0.10,0.20,,,70,M-h|E|E|E|E|E|E|E|E|E|E|E|E|E|-|-|E
pa_50rh,1.13,900,800,0.41,0.36,280,32,35,20,32,19,13,0.10,0.20,,,70,E|E|E|E|E|E|E|E|E|E|E|E|E|E|-|-|E
pa_cf,1.15,4500,2200,0.35,0.22,900,60,65,20,55,28,15,0.10,0.25,,,90,D(M-h)|E|E|E|E|E|E|E|E|E|E|E|E|E|-|-|E
pc,1.20,2100,1950,0.37,0.34,690,55,65,30,60,31,20,0.08,0.20,,,110,D(M-h)|E|E|M-h|E|E|E|E|E|E|E|E|E|E|-|-|E
tpu_95a,1.22,130,115,0.45,0.40,40,28,inf,16,,16,11,0.10,0.20,,,60,D(S)|E|E|E|E|E|E|E|E|-|E|E|E|E|-|-|E
"""
TRANSVERSE_FIELDS = [
    "density",
    "E_p",
    "E_z",
    "nu_p",
    "nu_zp",
    "G_zp",
    "Xt",
    "Xc",
    "Zt",
    "Zc",
    "S_in_plane",
    "S_interlaminar",
    "scatter_in_plane",
    "scatter_across",
    "toughness",
    "critical_length",
    "use_limit",
]
ORTHOTROPIC = """
pla_ud_f,1.24,3376,3125,2700,0.331,0.33,0.34,1092,1050,950,54.7,,37.1,,,,,,18.0,0.08,0.20,,,45,D(S)|M-m|M-m|E|M-m|E|E|M-m|E|E|M-m|-|M-m|-|-|-|-|-|M-m|E|E|-|-|E
pla_cf15_ud_f,,7541,3920,3200,0.400,0.40,0.35,1268,1250,1100,53.4,,35.4,,,,,,18.9,,,,,,-|M-m|M-m|E|M-m|E|E|M-m|E|E|M-m|-|M-m|-|-|-|-|-|M-m|-|-|-|-|-
pla_ud_c,1.24,3120,2770,2500,0.33,0.33,0.34,1230,1050,950,,,,,,,,,,0.08,0.20,,,45,D(S)|M-m|M-l|E|M-m|E|E|M-l|E|E|-|-|-|-|-|-|-|-|-|E|E|-|-|E
abs_ud_c,1.04,1790,1150,1050,0.34,0.34,0.36,808,700,400,,,,,,,,,,0.08,0.20,,,80,M-h|M-m|M-m|E|M-m|E|E|M-m|E|E|-|-|-|-|-|-|-|-|-|E|E|-|-|E
pa_cf_ud,1.15,7500,3200,2200,0.40,0.40,0.40,1300,1100,800,,,,,,,,,,0.10,0.25,,,90,D(M-h)|E|E|E|E|E|E|E|E|E|-|-|-|-|-|-|-|-|-|E|E|-|-|E
"""
ORTHOTROPIC_FIELDS = [
    "density",
    "E1",
    "E2",
    "E3",
    "nu12",
    "nu13",
    "nu23",
    "G12",
    "G13",
    "G23",
    "Xt",
    "Xc",
    "Yt",
    "Yc",
    "Zt",
    "Zc",
    "S23",
    "S13",
    "S12",
    "scatter_in_plane",
    "scatter_across",
    "toughness",
    "critical_length",
    "use_limit",
]
# smallest eigenvalue of the stiffness of each set [MPa] (D)
SMALLEST = {
    "pla": 1000,
    "pla_silk": 800,
    "petg": 620,
    "abs": 690,
    "asa": 650,
    "pa_dry": 480,
    "pa_50rh": 280,
    "pa_cf": 900,
    "pc": 690,
    "tpu_95a": 40,
    "pla_ud_f": 950,
    "pla_cf15_ud_f": 1100,
    "pla_ud_c": 950,
    "abs_ud_c": 400,
    "pa_cf_ud": 800,
}
# bound of the Poisson ratios, 1 - nu_p - 2 nu_zp nu_pz, or the orthotropic one (D)
BOUND = {
    "pla": 0.457,
    "pla_silk": 0.437,
    "petg": 0.354,
    "abs": 0.389,
    "asa": 0.388,
    "pa_dry": 0.338,
    "pa_50rh": 0.298,
    "pa_cf": 0.452,
    "pc": 0.381,
    "tpu_95a": 0.188,
    "pla_ud_f": 0.652,
    "pla_cf15_ud_f": 0.701,
    "pla_ud_c": 0.652,
    "abs_ud_c": 0.691,
    "pa_cf_ud": 0.737,
}


def rows():
    """Every row of the two tables as (key, fields, numbers, grades)."""
    for text, fields in ((TRANSVERSE, TRANSVERSE_FIELDS), (ORTHOTROPIC, ORTHOTROPIC_FIELDS)):
        for line in text.strip().splitlines():
            key, *numbers, grades = line.split(",")
            yield key, fields, numbers, grades.split("|")


@pytest.mark.parametrize(
    ("key", "fields", "numbers", "grades"), list(rows()), ids=lambda v: str(v)[:14]
)
def test_library_holds_the_reference_tables(key, fields, numbers, grades):
    """Every number and every grade of the reference tables stands in the file, and no other."""
    values = load(key).values
    assert len(fields) == len(numbers) == len(grades)
    for field, number, grade in zip(fields, numbers, grades, strict=True):
        if number:
            assert values[field].mean == float(number), field
            assert values[field].grade == grade, field
        else:
            assert field not in values, field


@pytest.mark.parametrize("key", names())
def test_every_material_is_complete(key):
    """Each material has a title, graded sources for every value, and a real stiffness."""
    material = load(key)
    assert material.title
    assert all(v.grade in ALLOWED and len(v.source) > 5 for v in material.values.values())
    assert np.linalg.eigvalsh(stiffness(material.constants))[0] > 0
    assert all("not a check value" in v.note for v in material.values.values() if "M-l" in v.grade)


@pytest.mark.parametrize("key", SMALLEST)
def test_smallest_eigenvalue_of_the_stiffness(key):
    """The smallest eigenvalue of each reference set is the printed one."""
    found = np.linalg.eigvalsh(stiffness(load(key).constants))[0]
    assert found == pytest.approx(SMALLEST[key], abs=0.5)  # printed without decimals


@pytest.mark.parametrize("key", BOUND)
def test_poisson_bound(key):
    """The energy bound of each set is the printed one."""
    c = load(key).constants
    bound = c.poisson_bound
    if load(key).kind == "transverse":  # the table gives one factor of it
        bound /= 1 + c.nu12
    assert bound == pytest.approx(BOUND[key], abs=5.1e-4)


def test_scatter_reaches_the_strengths():
    """Strengths in the layer and across it carry the scatter of their direction."""
    values = load("pa_cf").values
    assert values["Xt"].cov == 0.10
    assert values["Zt"].cov == values["S_interlaminar"].cov == 0.25
    assert values["E_p"].cov is None


def test_dry_and_wet_nylon_say_so():
    """The two nylon sets carry their moisture as the condition of every number."""
    assert "dry" in load("pa_dry").values["E_p"].condition
    assert "50 %" in load("pa_50rh").values["Zt"].condition


def test_missing_strengths_are_nan_and_infinite_ones_inf():
    """A strength without a value is NaN; one that does not occur is infinite."""
    tpu = load("tpu_95a").strengths
    assert math.isinf(tpu.Xc)
    assert math.isnan(tpu.Zc)
    assert any("Zc" in note for note in load("tpu_95a").notes)


def test_unknown_material_lists_the_choices():
    """A misspelt material is answered with the nearest name and all names."""
    with pytest.raises(ValueError, match=r"Did you mean 'petg'\?.*pla_silk"):
        load("petgg")


def test_own_file(tmp_path):
    """A file of one's own is read like the library's."""
    path = tmp_path / "mine.toml"
    path.write_text((LIBRARY / "petg.toml").read_text(encoding="utf-8"), encoding="utf-8")
    mine = load(path)
    assert mine.key == "mine"
    assert mine.constants == load("petg").constants


def test_missing_file():
    """A path that does not exist is refused, with the library's names beside it."""
    with pytest.raises(ValueError, match=r"does not exist.*petg"):
        load("nowhere/mine.toml")


def test_unreadable_file(tmp_path):
    """A file that is not TOML is refused by name."""
    path = tmp_path / "bad.toml"
    path.write_text("title = ", encoding="utf-8")
    with pytest.raises(ValueError, match=r"bad\.toml: not a readable TOML file"):
        load(path)


def petg():
    """Return the table of a good file, to be spoilt."""
    return tomllib.loads((LIBRARY / "petg.toml").read_text(encoding="utf-8"))


SPOILT = [
    (lambda t: t.pop("title"), r"mine\.toml: 'title' is missing"),
    (lambda t: t.update(kind="orthotrop"), r"Unknown kind 'orthotrop'. Did you mean 'orthotropic'"),
    (lambda t: t.update(notes="text"), r"'notes' must be a list"),
    (lambda t: t.update(elastics={}), r"Unknown section 'elastics'. Did you mean 'elastic'"),
    (lambda t: t.update(elastic=3), r"\[elastic\] must be a section"),
    (lambda t: t["elastic"].pop("E_z"), r"\[elastic\.E_z\] is missing"),
    (lambda t: t["strength"].pop("Zt"), r"\[strength\.Zt\] is missing.*\[no_value\]"),
    (lambda t: t["elastic"].update(E_q={}), r"\[elastic\] Unknown field 'E_q'"),
    (lambda t: t["elastic"]["E_p"].update(value=math.nan), r"\[elastic\.E_p\] value is NaN"),
    (
        lambda t: t["strength"]["Zt"].update(value=0),
        r"\[strength\.Zt\] value = 0 MPa; it must be above",
    ),
    (lambda t: t["strength"]["Zt"].update(value=-3.0), r"value = -3 MPa; it must be above zero"),
    (lambda t: t["strength"]["Zt"].update(value="22"), r"value is '22'; give a number"),
    (lambda t: t["strength"]["Zt"].update(unit="GPa"), r"unit 'GPa' is not allowed"),
    (lambda t: t["strength"]["Zt"].update(grade="A"), r"grade 'A' is unknown"),
    (lambda t: t["strength"]["Zt"].update(source=" "), r"\[strength\.Zt\] source is empty"),
    (lambda t: t["strength"]["Zt"].pop("source"), r"\[strength\.Zt\] has no 'source'"),
    (lambda t: t["strength"]["Zt"].update(low=30), r"lies outside its own range 30 to inf"),
    (lambda t: t["strength"]["Zt"].update(cov=1.5), r"cov = 1\.5; scatter must lie"),
    (lambda t: t["strength"]["Zt"].update(grade="M-l"), r"grade M-l needs a note"),
    (
        lambda t: t["strength"]["Zt"].update(sauce="x"),
        r"Unknown key 'sauce'. Did you mean 'source'",
    ),
    (lambda t: t["strength"].update(Zt=22), r"\[strength\.Zt\] is a bare 22"),
    (lambda t: t["elastic"]["E_p"].update(value=math.inf), r"\[elastic\]: E1 is inf"),
    (lambda t: t["elastic"]["nu_zp"].update(value=0.9), r"mine\.toml: \[elastic\].*nu"),
    (lambda t: t["elastic"]["nu_p"].update(value=math.inf), r"value is infinite"),
    (lambda t: t.update(no_value={"Zt": "?"}), r"Zt stands in \[strength\] and in \[no_value\]"),
    (lambda t: t.update(no_value={"Zq": "?"}), r"\[no_value\] Unknown field 'Zq'"),
    (
        lambda t: t.update(no_value={"E_p": "?"}) or t["elastic"].pop("E_p"),
        r"\[elastic\.E_p\] is missing",
    ),
]


@pytest.mark.parametrize(("spoil", "message"), SPOILT, ids=[m[:40] for _, m in SPOILT])
def test_spoilt_file_names_file_and_field(spoil, message):
    """Each kind of mistake in a file is refused with the file, the field and the remedy."""
    table = petg()
    spoil(table)
    with pytest.raises(ValueError, match=message):
        from_table("mine", "mine.toml", table)


def test_derived_grade_is_the_weakest():
    """A derived number is no better than its weakest input."""
    assert derived("P", "M-m", "S") == "D(M-m)"
    assert derived("D(E)", "P") == "D(E)"


def test_nan_value_is_refused():
    """A value is a number or is left out."""
    with pytest.raises(ValueError, match="value is NaN"):
        Value(math.nan, "P", "somewhere", "MPa")


def test_temperature_note():
    """A temperature above the use limit gives a sentence, one below none."""
    pla = load("pla")
    assert temperature_note(pla, 20.0) == ""
    assert "45 degC" in temperature_note(pla, 60.0)
    assert "no use temperature" in temperature_note(load("pla_cf15_ud_f"), 20.0)
    with pytest.raises(ValueError, match="temperature = nan"):
        temperature_note(pla, math.nan)
