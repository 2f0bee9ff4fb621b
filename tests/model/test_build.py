import hashlib
import tomllib
from datetime import date

import pytest
from numpy.testing import assert_allclose

from tests.model.sheets import HERON, LEAST, changed, only_fault
from witnessmark.model.build import BuildSheet, parse_build
from witnessmark.model.build_sheet.assume import fillings, may_be_left_out
from witnessmark.model.build_sheet.paths import field_at, keys, measure_of
from witnessmark.model.build_sheet.words import toml
from witnessmark.model.number import TRAITS
from witnessmark.units import Kind, Preferences, Quantity


@pytest.fixture(scope="module")
def heron():
    return parse_build(HERON, "heron.toml")


@pytest.fixture(scope="module")
def least():
    return parse_build(LEAST, "least.toml")


# --- values ---


def test_values_are_kept_in_si(heron):
    # 1 in = 25.4 mm exactly; 1 psi = 6.894757 kPa (NIST SP 811, appendix B.8); 7000/60 turn/s.
    assert_allclose(heron.main_bearings.clearances[0], 0.0022 * 25.4e-3, rtol=1e-12)
    assert_allclose(heron.cam_bearings.clearances[1], 58e-6, rtol=1e-12)
    assert_allclose(heron.oil_pump.relief_pressure, 75 * 6894.757, rtol=1e-6)
    assert_allclose(heron.layout.redline, 7000 / 60, rtol=1e-12)
    assert_allclose(heron.oil_pump.displacement, 14e-6, rtol=1e-12)
    assert_allclose(heron.oil_pump.relief_gradient, 4000 * 60 / 1e-3, rtol=1e-12)  # Pa/(m³/s)
    assert heron.gearing.gears == (3.36, 1.98, 1.37, 1.02, 0.79)
    assert heron.identity.signed_on == date(2026, 11, 2)


def test_a_date_in_quotes_is_a_date():
    sheet = parse_build(changed(HERON, ("2026-11-02", '"2026-11-02"')), "x.toml")
    assert sheet.identity.signed_on == date(2026, 11, 2)


def test_the_hash_is_of_the_text_as_received(heron):
    assert heron.sha256 == hashlib.sha256(HERON.encode()).hexdigest()
    assert parse_build(HERON + "\n", "x.toml").sha256 != heron.sha256


def test_the_engine_in_one_line(heron, least):
    # pi/4 x 8.4² x 8.8 x 5 = 2438 cm³; pi/4 x 10.414² x 8.382 x 8 = 5712 cm³.
    assert heron.describe() == "inline 5, 2,438 cm³, turbocharged, bucket cams"
    assert least.describe() == "V8, 5,712 cm³, naturally aspirated, flat tappet cams"


def test_units_preferred(heron, least):
    assert heron.prefer == Preferences("psi", "°C", "mi", "lambda", "in")
    assert least.prefer == Preferences()


def test_tyre_diameter_from_its_size(heron):
    # 225/45R17: 17 x 25.4 + 2 x 0.45 x 225 = 634.3 mm.
    assert_allclose(heron.gearing.diameter, 0.6343, rtol=1e-12)


def test_a_measured_tyre_beats_its_size():
    tyre = 'tyre = "225/45R17"'
    sheet = parse_build(changed(HERON, (tyre, f'{tyre}\ntyre_diameter = "620 mm"')), "x.toml")
    assert_allclose(sheet.gearing.diameter, 0.620, rtol=1e-12)


@pytest.mark.parametrize(
    ("written", "kept"),
    [
        ("15w-40", "15W-40"),
        ("SAE 30", "30"),
        ("10W40", "10W-40"),
        ("0W-20", "0W-20"),
        ("75W", None),
    ],
)
def test_oil_grades_of_sae_j300(written, kept):
    text = changed(HERON, ('"15W-40"', f'"{written}"'))
    if kept is None:  # 75W is a gear oil, SAE J306
        assert only_fault(text).where == "x.toml, oil.grade"
    else:
        assert parse_build(text, "x.toml").oil.grade == kept


def test_oil_by_its_data_sheet():
    text = changed(HERON, ('grade = "15W-40"', 'kv40 = "110 cSt"\nkv100 = "14.5 mm²/s"'))
    sheet = parse_build(text, "x.toml")
    assert_allclose(sheet.oil.kv40, 110e-6, rtol=1e-12)  # 1 cSt = 1 mm²/s
    assert sheet.slot("oil.grade") == "of 14.5 mm²/s at 100 °C"


# --- traits ---


def test_traits_of_the_demo_engine(heron):
    assert dict(heron.traits) == {
        "use": "road", "induction": "turbocharged", "boosted": "yes", "cam_contact": "bucket",
        "fuel": "petrol", "ethanol": "no", "rings": "steel", "gapless": "no", "pistons": "forged",
        "bore_finish": "measured", "transmission": "manual", "filter": "can be filled first",
        "sump": "wet",
    }  # fmt: skip


def test_every_trait_a_recipe_may_ask_for_is_there(heron, least):
    for sheet in (heron, least):
        for trait, words in TRAITS.items():
            assert sheet.traits[trait] in words


@pytest.mark.parametrize(
    ("old", "new", "trait", "word"),
    [
        ('"steel, nitrided"', '"steel, plated"', "rings", "hard"),
        ('"steel, nitrided"', '"ductile iron, chrome-faced"', "rings", "hard"),
        ('"steel, nitrided"', '"ductile iron, moly-faced"', "rings", "moly"),
        ('"steel, nitrided"', '"ductile iron"', "rings", "iron"),
        ('gapless = "none"', 'gapless = "second"', "gapless", "yes"),
        ('ethanol = "0 %"', 'ethanol = "5 %"', "ethanol", "yes"),
        ('kind = "push"', 'kind = "torque converter"', "transmission", "automatic"),
        ('"hangs down"', '"in a housing"', "filter", "cannot be filled first"),
        ('filter = "hangs down"', "", "filter", "not said"),
        ('kind = "turbocharged"', 'kind = "Supercharged"', "boosted", "yes"),
        ('kind = "turbocharged"', 'kind = "natural"', "boosted", "no"),
    ],
)
def test_what_gives_a_trait(old, new, trait, word):
    assert parse_build(changed(HERON, (old, new)), "x.toml").traits[trait] == word


# --- slots ---


def test_slots(heron):
    assert heron.slot("clutch.free_play") == Quantity(0.002, Kind.LENGTH)
    assert heron.slot("identity.serial") == "TS-0417"
    assert heron.slot("identity.signed_on") == "2026-11-02"
    assert heron.slot("layout.firing_order") == "1-2-4-5-3"
    assert heron.slot("layout.cylinders") == Quantity(5.0, Kind.COUNT)
    assert heron.slot("bores.finish") == "Rpk 0.24 µm, Rk 0.75 µm, Rvk 1.60 µm"
    assert heron.slot("rings.top_gaps.3") == Quantity(heron.rings.top_gaps[2], Kind.CLEARANCE)
    assert heron.slot("rings.top_gaps.least").value == min(heron.rings.top_gaps)
    assert heron.slot("feeds.piston_jets.diameter").value == pytest.approx(0.0014)


@pytest.mark.parametrize(
    "path", ["clutch", "clutch.fee_play", "rings.top_gaps", "rings.top_gaps.9", "", "x", "oil.3"]
)
def test_a_slot_nobody_can_fill(heron, path):
    with pytest.raises(KeyError):
        heron.slot(path)


def test_slots_of_what_is_not_said(least):
    assert least.slot("oil.capacity") == "not said"
    assert least.slot("rings.top_gaps.least") == "not measured"
    assert least.slot("bores.finish") == "not measured"
    assert least.slot("gearing.final_drive") == "not said"
    assert least.slot("identity.name") == "not said"


def test_a_slot_for_every_key_there_is(heron, least):
    for sheet in (heron, least):
        for path, info in keys(BuildSheet):
            if "." not in path or path in ("feeds.piston_jets", "feeds.other"):
                continue
            value = sheet.value(path)
            many = isinstance(value, tuple) and path != "layout.firing_order"
            found = sheet.slot(f"{path}.least" if many else path)
            measure = measure_of(info)
            assert isinstance(found, str) or measure is None or found.kind is measure.kind


def test_play_where_the_bearing_always_touches():
    text = changed(HERON, ('free_play = "2.0 mm"', 'release_bearing = "always in contact"'))
    sheet = parse_build(text, "x.toml")
    assert sheet.clutch.free_play is None
    assert sheet.slot("clutch.free_play") == "none, the bearing is always in contact"


# --- what is assumed ---


def test_a_full_sheet_assumes_nothing(heron):
    assert heron.assumptions == ()
    assert not heron.assumed("clutch.free_play")


def test_an_assumed_value_says_so(least):
    notes = {note.path: note for note in least.assumptions}
    assert least.assumed("crank.end_float_max")
    assert not least.assumed("crank.end_float")
    note = notes["crank.end_float_max"]
    assert note.said.read(Preferences(clearance="in")) == (
        "Crank, most end float allowed: not said; 0.0100 in assumed"
    )
    assert "common practice" in note.why


def test_a_measurement_is_never_invented(least):
    notes = {note.path: note.said.read(least.prefer) for note in least.assumptions}
    assert notes["bores.finish"] == "Bores, finish: not measured"
    assert least.bores.finish is None
    assert least.rings.top_gaps is None
    assert "not measured" in notes["rod_bearings.clearances"]
    assert "for planning only" in notes["rod_bearings.clearances"]


def test_nominal_clearance_is_the_trades_rule(least):
    # Common practice: 0.001 in of clearance for each inch of journal, on the diameter.
    assert least.rod_bearings.clearances == pytest.approx(
        [0.001 * least.rod_bearings.journal_diameter] * 8
    )
    assert len(least.main_bearings.clearances) == 5  # a V8 has five mains


@pytest.mark.parametrize("word", ["not measured", "Not measured", "not known"])
def test_not_measured_may_be_written(word):
    finish = '{ rpk = "0.24 µm", rk = "0.75 µm", rvk = "1.6 µm" }'
    sheet = parse_build(changed(HERON, (finish, f'"{word}"')), "x.toml")
    assert sheet.bores.finish is None
    assert [note.path for note in sheet.assumptions] == ["bores.finish"]


def test_every_filling_names_a_key_and_speaks(least):
    for filling in fillings():
        info = field_at(BuildSheet, filling.path)
        assert filling.open is None or not info.is_required(), filling.path
        assert sum(x is not None for x in (filling.value, filling.of, filling.open)) == 1
        assert len(filling.why) > 10
        for other in (filling.of, filling.each, filling.shown_by, *filling.when, *filling.unless):
            assert other is None or field_at(BuildSheet, other)


def test_a_key_left_out_is_assumed_or_demanded_never_silent():
    whole = tomllib.loads(HERON)
    for path, info in keys(BuildSheet):
        section, _, key = path.partition(".")
        if "." in key or key not in whole.get(section, {}):
            continue
        text = _written(whole, without=(section, key))
        if may_be_left_out(path, info) or path == "oil.grade":
            continue
        assert only_fault(text).where == f"x.toml, {path}"


@pytest.mark.parametrize(
    "key",
    ["crank.end_float_min", "clutch.free_play", "layout.idle_speed", "main_bearings.clearances",
     "layout.rod_length", "induction.minimum_boost", "oil.capacity", "bores.finish", "gearing"],
)  # fmt: skip
def test_each_of_these_left_out_is_noted(key):
    section, _, name = key.partition(".")
    sheet = parse_build(_written(tomllib.loads(HERON), without=(section, name)), "x.toml")
    assert key in [note.path for note in sheet.assumptions]
    assert sheet.assumed(key)


def _written(tables, without):
    section, key = without
    lines = []
    for name, table in tables.items():
        if name == section and not key:
            continue
        lines.append(f"[{name}]")
        for one, value in table.items():
            if (name, one) != (section, key):
                day = isinstance(value, date)
                lines.append(f"{one} = {value.isoformat() if day else toml(value)}")
    return "\n".join(lines)
