"""What is wrong with a build sheet is named, all of it, and nothing else gets through."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from tests.model.sheets import HERON, LEAST, changed, faults, only_fault
from witnessmark.errors import UserError, UserErrors
from witnessmark.model.build import BuildSheet, parse_build
from witnessmark.model.build_sheet.paths import example_of, keys, measure_of

ONE_FAULT = [
    ('bore = "84.00 mm"', 'bore = "84,00 mm"', "layout.bore", "comma", "'84.00 mm'"),
    ('bore = "84.00 mm"', "bore = 84.0", "layout.bore", "no unit", "'84.00 mm'"),
    ('bore = "84.00 mm"', 'bore = "84.00 psi"', "layout.bore", "'psi'", "'84.00 mm'"),
    ('bore = "84.00 mm"', 'bore = "0 mm"', "layout.bore", "above zero", "'84.00 mm'"),
    ('bore = "84.00 mm"', 'bore = "9e999 mm"', "layout.bore", "without end", "'84.00 mm'"),
    ('bore = "84.00 mm"', "bore = true", "layout.bore", "yes or no", "'84.00 mm'"),
    ('bore = "84.00 mm"', 'bore = "not known"', "layout.bore", "it says", "Find out"),
    ("cylinders = 5", "cylinders = 99", "layout.cylinders", "out of range", "cylinders = 5"),
    ("cylinders = 5", "cylinders = 5.0", "layout.cylinders", "whole number", "cylinders = 5"),
    ("compression_ratio = 9.2", "compression_ratio = nan", "layout.compression_ratio", "nan", "9"),
    ("[1, 2, 4, 5, 3]", "[1, 2, 4, 4, 3]", "layout.firing_order", "leaves out 5", "twice 4"),
    ("[1, 2, 4, 5, 3]", "[1, 2, 4, 5, 6]", "layout.firing_order", "leaves out 3", "cylinder as 6"),
    ("[1, 2, 4, 5, 3]", "[1, 2, 4, 5]", "layout.firing_order", "leaves out 3", "1 to 5"),
    ('"0.0021 in", "0.0020 in", ', '"0.0021 in", ', "rod_bearings.clearances", "4 values", "5 are"),
    ('"0.0020 in"', '"0.0020"', "rod_bearings.clearances[2]", "no unit", "'0.0022 in'"),
    ('"0.47 mm", ', "", "rings.top_gaps", "4 values", "one for each cylinder"),
    ('["70 µm", ', '["70 µm", "71 µm", ', "bores.piston_to_wall", "6 values", "Take out"),
    ('"bucket"', '"bukket"', "cams.follower", "'bukket'", "Did you mean 'bucket'?"),
    ('kind = "road"', 'kind = "boat"', "use.kind", "'boat'", "'race only'"),
    ("end_float_max", "end_float_mx", "crank.end_float_mx", "unknown", "mean 'end_float_max'"),
    ("[rod_bearings]", "[rod_bearing]", "rod_bearing", "unknown", "mean 'rod_bearings'"),
    ('serial = "TS-0417"', 'serial = ""', "identity.serial", "empty", "TS-0417"),
    ('serial = "TS-0417"', "serial = 417", "identity.serial", "no text", "in quotes"),
    ("2026-11-02", "2026-11-02T08:00:00", "identity.signed_on", "no date", "2026-11-02"),
    ("2026-11-02", "20261102", "identity.signed_on", "no date", "2026-11-02"),
    ("2026-11-02", '"2 Nov 2026"', "identity.signed_on", "no date", "2026-11-02"),
    ('"0.45 bar"', '"1.45 bara"', "induction.minimum_boost", "absolute", "gauge"),
    ('"98 RON"', '"super"', "fuel.octane", "'super'", "98 RON"),
    ('grade = "15W-40"', "", "oil", "neither", "kv40 and kv100"),
    ('grade = "15W-40"', 'kv40 = "110 cSt"', "oil", "neither", "kv40 and kv100"),
    ('"225/45R17"', '"17 inch"', "gearing.tyre", "'17 inch'", "225/45R17"),
    ("final_drive = 3.77\n", "", "gearing.final_drive", "missing", "final_drive = 3.77"),
    ("[3.36, 1.98, 1.37, 1.02, 0.79]", "[]", "gearing.gears", "empty", "gears = "),
    ("[3.36, 1.98, 1.37, 1.02, 0.79]", "3.36", "gearing.gears", "single", "gears = "),
    ('rk = "0.75 µm", ', "", "bores.finish.rk", "missing", "rk = "),
    ('pressure = "psi"', 'pressure = "kg"', "units.pressure", "'kg'", "'bar'"),
    ('name = "chain tensioner", ', "", "feeds.other[1].name", "missing", "chain tensioner"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "path", "one", "two"), ONE_FAULT)
def test_one_fault_is_named_once_with_its_place(old, new, path, one, two):
    found = faults(changed(HERON, (old, new)))
    here = [fault for fault in found if fault.where == f"x.toml, {path}"]
    assert len(here) == 1, "\n".join(map(str, found))
    assert one in str(here[0])
    assert two in str(here[0])
    if path != "rod_bearing":  # a section under a wrong name takes nothing else with it
        assert len(found) == 1


def test_every_fault_at_once():
    text = changed(
        HERON,
        ('serial = "TS-0417"', ""),
        ('bore = "84.00 mm"', 'bore = "84 psi"'),
        ("[1, 2, 4, 5, 3]", "[1, 2, 4]"),
        ('"0.47 mm", ', ""),
        ('kind = "road"', 'kind = "boat"'),
        ("relief_pressure", "relief_presure"),
    )
    assert {fault.where.removeprefix("x.toml, ") for fault in faults(text)} == {
        "identity.serial", "layout.bore", "layout.firing_order", "rings.top_gaps", "use.kind",
        "oil_pump.relief_presure",
    }  # fmt: skip


def test_a_missing_main_bearing_is_missed():
    text = changed(HERON, ('"0.0022 in", "0.0021 in"]\n\n[rod', '"0.0022 in"]\n\n[rod'))
    fault = only_fault(text)
    assert fault.where == "x.toml, main_bearings.clearances"
    assert "6 are wanted" in fault.wanted


def test_fewer_mains_where_the_sheet_says_so():
    text = changed(HERON, ('"0.0022 in", "0.0021 in"]\n\n[rod', '"0.0022 in"]\ncount = 5\n\n[rod'))
    assert parse_build(text, "x.toml").main_bearings.count == 5


def test_an_ethanol_blend_must_say_how_much():
    text = changed(LEAST, ('kind = "petrol"', 'kind = "ethanol blend"'))
    assert only_fault(text).where == "x.toml, fuel.ethanol"


def test_an_empty_file_lists_what_is_wanted():
    wanted = {fault.where.removeprefix("x.toml, ") for fault in faults("")}
    assert {"identity.serial", "layout.bore", "crank.end_float", "use.kind", "oil"} <= wanted
    assert not any("ethanol" in path for path in wanted)


@pytest.mark.parametrize(
    ("text", "where"),
    [
        ("[layout]\nbore = 84 mm", "x.toml, line 2"),
        ('a = "', "x.toml, at its end"),
        ("a = 1979-99-99", "x.toml, line 1"),
        ("a = " + "[" * 100_000, "x.toml"),
        ("%PDF-1.7\n", "x.toml, line 1"),
    ],
)
def test_what_is_no_toml(text, where):
    fault = only_fault(text)
    assert fault.where.startswith(where)
    assert "quotes" in fault.remedy


def test_a_value_where_a_section_is_wanted():
    found = faults(
        changed(HERON, ("[use]\n", "[used]\n")).replace("[identity]", "use = 3\n[identity]")
    )
    assert any(f.where == "x.toml, use" and "no section" in f.found for f in found)


@settings(max_examples=200, deadline=None)
@given(st.text())
def test_any_text_is_a_sheet_or_a_user_error(text):
    with pytest.raises(UserError):
        parse_build(text, "x.toml")


VALUES = st.sampled_from(
    ["3", "-1", "true", '""', '"x"', "[]", "[[]]", "{}", "{a = 1}", "nan", "-inf", "1e400",
     '"-3 mm"', '"1e308 in"', '"not measured"', "2020-01-01", "10:00:00", "9" * 300, "[1, 2, 3]",
     '["1 mm", 2, true]', '"5 %"', '"\\u0000"']
)  # fmt: skip
LINES = [
    n for n, line in enumerate(HERON.splitlines()) if " = " in line and not line.startswith("#")
]


@settings(max_examples=150, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(LINES), VALUES), min_size=1, max_size=5))
def test_any_value_anywhere_is_read_or_named(changes):
    lines = HERON.splitlines()
    for number, value in changes:
        lines[number] = f"{lines[number].split(' = ')[0]} = {value}"
    try:
        sheet = parse_build("\n".join(lines), "x.toml")
    except UserErrors as error:
        assert all(fault.where.startswith("x.toml") for fault in error.faults)
    else:
        assert sheet.describe()
        assert all(note.said.read(sheet.prefer) for note in sheet.assumptions)


# mm per unit: the inch by definition, the thou and the micrometre by their names.
@given(st.floats(0.0001, 10), st.sampled_from([("in", 25.4), ("mm", 1.0), ("thou", 0.0254)]))
def test_one_size_in_any_unit(size, unit):
    name, millimetres = unit
    text = changed(HERON, ('end_float = "0.15 mm"', f'end_float = "{size:.9f} {name}"'))
    kept = parse_build(text, "x.toml").crank.end_float
    assert_allclose(kept, float(f"{size:.9f}") * millimetres * 1e-3, rtol=1e-9)


def test_every_example_is_accepted_by_its_own_key():
    for path, info in keys(BuildSheet):
        measure = measure_of(info)
        if measure is not None:
            assert measure.read(measure.example) == measure.read(measure.example)
        assert example_of(info) is not None or "." not in path, path
