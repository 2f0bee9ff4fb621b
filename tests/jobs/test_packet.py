"""A packet holds what the log held: read here with zipfile, csv and polars, nothing of ours."""

import csv
import hashlib
import io
import json
import re
import zipfile
import zlib

import numpy as np
import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose, assert_array_equal

from tests.jobs.engines import engine
from tests.jobs.packets import (
    MAP,
    RATE,
    ROWS,
    broken,
    light_bytes,
    log_text,
    opened,
    packet_of,
    rows,
    unbroken,
)
from tests.model.sheets import LEAST
from witnessmark.errors import UserError
from witnessmark.jobs.packet.channels import channel_csv
from witnessmark.jobs.packet.map_file import map_of
from witnessmark.jobs.packet.names import safe_name, slug
from witnessmark.jobs.packet.received import read_packet
from witnessmark.jobs.packet.units import read_units
from witnessmark.logs.read import read_log_bytes
from witnessmark.model.build import parse_build
from witnessmark.units import Preferences

TYPED = list(rows(4300))


def table(name, data=None):
    """A CSV of the packet as columns of text, read with the csv module alone."""
    text = opened(data or broken()[1]).read(name).decode()
    head, *lines = list(csv.reader(io.StringIO(text)))
    return {name: [line[i] for line in lines] for i, name in enumerate(head)}


def numbers(cells):
    return np.array([float(cell) if cell else np.nan for cell in cells])


def typed(column):
    """A column of the log as it was typed, SI or not; NaN where the cell was left empty."""
    return np.array([np.nan if row[column] is None else row[column] for row in TYPED], dtype=float)


def test_it_holds_what_a_tuner_reads_in_the_order_he_reads_it():
    names = opened(broken()[1]).namelist()
    assert names == [
        "1-first-page.html", "1-first-page.txt", "answer.toml", "2-verdict.html", "2-verdict.pdf",
        "2-verdict.json", *(n for n in names if n.startswith("3-moments/")),
        "4-log/log-tuner.csv", "4-log/log-tuner.parquet", "4-log/log-si.csv",
        "4-log/log-si.parquet", "5-channels.csv", "6-engine-and-plan.html", "6-plan.json",
        "7-original/drive.csv", "8-map/heron v7", "manifest.json",
    ]  # fmt: skip


def test_the_logs_own_file_goes_along_unchanged_unless_it_is_left_out():
    assert opened(broken()[1]).read("7-original/drive.csv") == log_text(4300).encode()
    packet = packet_of(log_text())
    object.__setattr__(packet, "original", None)
    assert not [n for n in opened(light_bytes(packet)).namelist() if n.startswith("7-")]


def test_every_hash_and_size_of_the_manifest_is_true():
    packed = opened(broken()[1])
    manifest = json.loads(packed.read("manifest.json"))
    assert manifest["format"] == "witnessmark packet 1"
    listed = {one["name"]: one for one in manifest["files"]}
    assert {*listed, "manifest.json"} == set(packed.namelist())
    for name, one in listed.items():
        data = packed.read(name)
        assert (one["bytes"], one["sha256"]) == (len(data), hashlib.sha256(data).hexdigest()), name
    assert manifest["log"]["sha256"] == hashlib.sha256(log_text(4300).encode()).hexdigest()
    assert manifest["map"] == {
        "name": "heron v7", "sha256": hashlib.sha256(MAP).hexdigest(),
        "crc32": f"{zlib.crc32(MAP):08x}",
    }  # fmt: skip


def test_crc32_is_the_one_zip_counts_by():
    # Check value of CRC-32/ISO-HDLC over "123456789", as catalogues of checksums print it; SHA-256
    # of "abc" from FIPS 180-4's own examples.
    assert map_of(b"123456789", "m").crc32 == "cbf43926"
    assert map_of(b"abc", "m").sha256 == (
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    )


def test_the_same_packet_gives_the_same_bytes():
    packet, data = broken()
    again = packet_of(log_text(4300), map_data=MAP, sheet=engine(), note="Look at 4,300 rpm.")
    assert again.id == packet.id
    assert light_bytes(again, charts=True) == data
    assert {info.date_time for info in opened(data).infolist()} == {(1980, 1, 1, 0, 0, 0)}


def test_another_map_or_note_is_another_packet():
    first = packet_of(log_text()).id
    assert packet_of(log_text(), note="a").id != first
    assert packet_of(log_text(), map_name="heron v8").id != first


# NIST SP 811 (2008), B.8: psi to Pa 6.894 757 E+03, mile per hour to m/s 4.4704 E-01 (exact),
# degree Fahrenheit to degree Celsius (t - 32)/1.8. A turn a minute is 1/60 of a turn a second.
# AFR of petrol 14.7 for lambda 1: common practice on gauges.
# Seven digits of the psi are printed, so pressures agree to 1e-7; the rest to the ninth decimal.
PSI, MPH = 6.894757e3, 0.44704
CASES = [
    ("engine_speed [rpm]", "engine_speed [rev/s]", 1, lambda rpm: rpm, lambda rpm: rpm / 60, 0),
    ("manifold_pressure [psi abs]", "manifold_pressure [Pa abs]", 2,
     lambda kpa: kpa * 1e3 / PSI, lambda kpa: kpa * 1e3, 1e-7),
    ("oil_pressure [psi gauge]", "oil_pressure [Pa gauge]", 4,
     lambda psi: psi, lambda psi: psi * PSI, 1e-7),
    ("road_speed [mph]", "road_speed [m/s]", 5, lambda kmh: kmh / 3.6 / MPH, lambda k: k / 3.6, 0),
    ("lambda [AFR]", "lambda [1]", 6, lambda value: value * 14.7, lambda value: value, 0),
]  # fmt: skip


@pytest.mark.parametrize(("tuner", "si", "place", "to_tuner", "to_si", "rtol"), CASES)
def test_every_sample_is_the_one_typed_in_published_units(tuner, si, place, to_tuner, to_si, rtol):
    was = typed(place)
    for name, head, wanted in (("tuner", tuner, to_tuner(was)), ("si", si, to_si(was))):
        text = numbers(table(f"4-log/log-{name}.csv")[head])
        assert_allclose(text, wanted, rtol=rtol or 1e-12, atol=1e-9)
        data = opened(broken()[1]).read(f"4-log/log-{name}.parquet")
        parquet = pl.read_parquet(io.BytesIO(data))[head].to_numpy()
        assert_array_equal(parquet, text)  # a number and its text are one number, to the last bit


def test_temperatures_stand_until_read_again_and_the_fresh_ones_are_marked():
    tuner, si = table("4-log/log-tuner.csv"), table("4-log/log-si.csv")
    was = typed(3)
    fresh = ~np.isnan(was)
    for columns in (tuner, si):
        assert_array_equal(numbers(columns["coolant_temperature fresh"]) == 1, fresh)
    shown = numbers(tuner["coolant_temperature [°F]"])
    assert_allclose(shown[fresh], was[fresh] * 1.8 + 32, atol=1e-9)
    assert_allclose(numbers(si["coolant_temperature [K]"])[fresh], was[fresh] + 273.15, rtol=1e-12)
    # Nothing is drawn between two readings: what stands is the last one read.
    held = shown[fresh][np.cumsum(fresh) - 1]
    assert_array_equal(shown, held)


def test_time_runs_from_the_first_sample_and_by_the_wall_clock():
    columns = table("4-log/log-tuner.csv")
    assert_allclose(numbers(columns["time [s]"]), np.arange(ROWS) / RATE, atol=1e-6)
    assert columns["wall_clock"][:2] == ["2026-11-05T10:00:00.000", "2026-11-05T10:00:00.200"]
    parquet = pl.read_parquet(io.BytesIO(opened(broken()[1]).read("4-log/log-si.parquet")))
    assert (
        parquet["wall_clock"].dt.strftime("%Y-%m-%dT%H:%M:%S%.3f").to_list()
        == (columns["wall_clock"])
    )


def test_what_the_log_does_not_show_is_blank_in_both():
    # A pause of a minute in road speed: one reading of it stands for 3 s (vocabulary), no longer.
    lines = log_text().splitlines()
    cells = [line.split(",") for line in lines]
    for line in cells[400:700]:
        line[5] = ""
    packet = packet_of("\n".join(",".join(line) for line in cells) + "\n")
    data = light_bytes(packet)
    text = table("4-log/log-tuner.csv", data)["road_speed [mph]"]
    shown = pl.read_parquet(io.BytesIO(opened(data).read("4-log/log-tuner.parquet")))
    blank = np.array([cell == "" for cell in text])
    assert blank[450:699].all()
    assert not blank[:399].any()
    assert_array_equal(shown["road_speed [mph]"].is_null().to_numpy(), blank)


def test_the_clean_log_can_be_read_as_a_log_again():
    log = read_log_bytes(opened(broken()[1]).read("4-log/log-tuner.csv"), "again.csv")
    was = broken()[0].review.log
    for name in ("engine_speed", "manifold_pressure", "oil_pressure", "road_speed", "lambda"):
        assert_allclose(log[name], was[name], rtol=1e-8, err_msg=name)


def test_broken_moments_bear_the_verdicts_numbers_and_five_seconds_around():
    packed = opened(broken()[1])
    verdict = json.loads(packed.read("2-verdict.json"))
    events = [
        event for finding in verdict["findings"] if finding["answer"] == "broken"
        for event in finding["events"]
    ]  # fmt: skip
    files = sorted(
        (n for n in packed.namelist() if re.match(r"3-moments/\d+-.*csv$", n)),
        key=lambda n: int(re.search(r"/(\d+)-", n)[1]),
    )
    spans = []
    for number, name in enumerate(files, 1):
        assert name.startswith(f"3-moments/{number}-")
        columns = table(name)
        time, inside = numbers(columns["time [s]"]), numbers(columns["in the moment"]) == 1
        start, end = time[inside][0], time[inside][-1] + 1 / RATE
        spans.append((round(start, 3), round(end, 3)))
        assert time[0] == pytest.approx(max(start - 5, 0), abs=1 / RATE)
        assert time[-1] == pytest.approx(end + 5, abs=1.01 / RATE)
        assert packed.read(name.replace(".csv", ".svg")).startswith(b"<svg")
    kept = {(round(e["start"], 3), round(e["end"], 3)) for e in events}
    assert set(spans) <= kept
    page = " ".join(packed.read("1-first-page.txt").decode().split())
    assert "4,300 rpm, 300 rpm over" in page


def test_where_nothing_was_broken_the_nearest_moments_are_shown_and_called_so():
    packet, data = unbroken()
    assert not [f for f in packet.review.verdict.findings if f.answer == "broken"]
    packed = opened(data)
    page = packed.read("1-first-page.txt").decode()
    assert "NEAREST TO A LIMIT: NOTHING WAS BROKEN" in page
    names = " ".join(packed.namelist())
    for title in (
        "highest-load",
        "highest-coolant-temperature",
        "least-oil-pressure-over-its-floor",
    ):
        assert title in names
    # The hottest sample of the log as typed: its last coolant reading.
    hot = table(next(n for n in packed.namelist() if "coolant" in n and "csv" in n), data)
    inside = numbers(hot["in the moment"]) == 1
    most = max(row[3] for row in rows() if row[3] is not None)
    assert numbers(hot["coolant_temperature [°F]"])[inside][0] == pytest.approx(most * 1.8 + 32)


def test_both_first_pages_say_who_what_and_what_is_missing():
    packed = opened(broken()[1])
    text = packed.read("1-first-page.txt").decode()
    page = re.sub(r"<[^>]+>", " ", packed.read("1-first-page.html").decode()).replace("\xa0", " ")
    for words in (
        "Broken: engine speed ceiling", "Look at 4,300 rpm.", "heron v7", broken()[0].id,
        "Tarn Street Engines", hashlib.sha256(MAP).hexdigest(), "Oil temperature", "2-verdict.pdf",
    ):  # fmt: skip
        assert words in text, words
        assert words in page, words


def test_the_build_in_short_says_what_the_sheet_says_and_what_it_does_not():
    page = opened(broken()[1]).read("6-engine-and-plan.html").decode()
    for words in ("15W-40", "98 RON", "9.20", "7,000", "Injectors", "no place for it"):
        assert words in page, words
    bare = opened(unbroken()[1]).read("6-engine-and-plan.html").decode()
    assert "the build sheet was not given" in bare


def test_a_sheet_of_another_build_is_refused():
    with pytest.raises(UserError, match="not the one the plan was made from"):
        packet_of(log_text(), sheet=parse_build(LEAST, "x.toml"))


def test_names_and_words_of_a_hostile_log_stay_where_they_belong():
    evil = '<script>alert(1)</script>"'.replace(",", "")
    name = "../../etc/../=cmd|'/C calc'!A0\x1b[31m.csv"
    text = log_text(extra=f"=HYPERLINK({evil.strip(chr(34))})")
    packet = packet_of(
        text, name=name, map_name="..\\..\\boot.ini", map_data=MAP,
        note="<b>{{ 7 * 7 }}</b>\x1b[2J", sheet=engine(),
    )  # fmt: skip
    packed = opened(light_bytes(packet))
    for inside in packed.namelist():
        assert not inside.startswith(("/", "\\"))
        assert ".." not in inside.split("/")
        assert "\\" not in inside
        assert inside.isprintable()
    assert "8-map/boot.ini" in packed.namelist()
    for page in ("1-first-page.html", "6-engine-and-plan.html"):
        html = packed.read(page).decode()
        assert "<script" not in html
        assert "<b>{{" not in html
        assert "\x1b" not in html
    assert "\x1b" not in packed.read("1-first-page.txt").decode()
    cells = list(csv.reader(io.StringIO(packed.read("5-channels.csv").decode())))
    assert not [cell for row in cells for cell in row if cell.startswith("=")]


@pytest.mark.parametrize(
    ("name", "kept"),
    [
        ("drive.csv", "drive.csv"), ("../../x.csv", "x.csv"), ("C:\\logs\\x.csv", "x.csv"),
        ("...", "log"), ("", "log"), ("nul", "file-nul"), ("CON.csv", "file-CON.csv"),
        ("a\nb.csv", "a-b.csv"), ("log \u202egnp.csv", "log gnp.csv"),
    ],
)  # fmt: skip
def test_a_file_name_is_made_safe(name, kept):
    assert safe_name(name, "log") == kept


@given(st.text(max_size=300))
def test_any_file_name_is_made_safe(name):
    kept = safe_name(name, "log")
    assert re.fullmatch(r"[A-Za-z0-9._ ()+-]{1,100}", kept)
    assert not kept.startswith((".", " ", "-"))
    assert not kept.endswith((".", " "))
    assert re.fullmatch(r"[a-z0-9-]{1,40}", slug(name))


def test_a_cell_a_spreadsheet_would_work_out_is_only_shown():
    text = channel_csv([("=1+1", "-", "@x", "+4", "a\x07b", "", "", "", "", "", "")]).decode()
    assert "'=1+1,-,'@x,'+4,a\N{REPLACEMENT CHARACTER}b" in text


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("psi, F, mph, afr", ("psi", "°F", "mi", "AFR")), ("BAR,c,KM/H,lambda,rpm",
         ("bar", "°C", "km", "lambda")), ("", ("kPa", "°C", "km", "lambda")),
    ],
)  # fmt: skip
def test_units_as_people_type_them(text, wanted):
    found = read_units(text, Preferences(), "x")
    assert (found.pressure, found.temperature, found.distance, found.mixture) == wanted


@pytest.mark.parametrize("text", ["furlong", "psi,bar", "psi;F"])
def test_units_nobody_offers_are_refused(text):
    with pytest.raises(UserError, match="--tuner-units"):
        read_units(text, Preferences(), "--tuner-units")


def test_a_packet_reads_back_as_what_it_is_about():
    packet, data = broken()
    found = read_packet(io.BytesIO(data), "p.zip")
    assert (found.id, found.serial, found.plan_sha256) == (
        packet.id, packet.review.plan.serial, packet.plan_sha256,
    )  # fmt: skip
    assert found.log_sha256 == packet.review.log.source.sha256
    assert found.map == packet.map


def rewritten(change):
    """The unbroken packet with files changed: name -> bytes -> bytes, or None to leave it out."""
    out = io.BytesIO()
    with opened(unbroken()[1]) as was, zipfile.ZipFile(out, "w") as now:
        for name in was.namelist():
            data = change(name, was.read(name))
            if data is not None:
                now.writestr(name, data)
        extra = change("extra", b"")
        if extra:
            now.writestr("extra", extra)
    return out


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda n, d: d + b" " if n == "4-log/log-si.csv" else d or None, "was changed"),
        (lambda n, d: None if n == "2-verdict.pdf" else d or None, "verdict.pdf"),
        (lambda n, d: b"x" if n == "extra" else d, "not packed"),
        (lambda n, d: b"{}" if n == "manifest.json" else d or None, "manifest"),
        (lambda n, d: b"[" * 9999 if n == "manifest.json" else d or None, "packet"),
        (lambda n, d: None if n == "manifest.json" else d or None, "manifest.json"),
    ],
)  # fmt: skip
def test_a_packet_somebody_changed_is_refused(change, said):
    with pytest.raises(UserError, match=said):
        read_packet(rewritten(change), "p.zip")


def test_only_the_answer_may_be_filled_in():
    filled = rewritten(lambda n, d: d + b"# mine" if n == "answer.toml" else d or None)
    assert read_packet(filled, "p.zip").id == unbroken()[0].id


@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_a_damaged_packet_gives_one_error_or_is_whole(data):
    raw = bytearray(unbroken()[1])
    if data.draw(st.booleans()):
        raw = raw[: data.draw(st.integers(0, len(raw) - 1))]
    else:
        for _ in range(data.draw(st.integers(1, 8))):
            # Half of the damage goes where the directory of the zip is: there it hurts.
            low = 0 if data.draw(st.booleans()) else len(raw) - 3000
            raw[data.draw(st.integers(low, len(raw) - 1))] = data.draw(st.integers(0, 255))
    try:
        found = read_packet(io.BytesIO(bytes(raw)), "p.zip")
    except UserError as error:
        assert len(error.faults) == 1
        assert "p.zip" in str(error)
    else:
        assert found.id == unbroken()[0].id
