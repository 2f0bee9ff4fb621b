"""Drives of an engine: each counted once, however often it comes; what is not shown is not zero."""

from dataclasses import replace

import numpy as np
import pytest

from witnessmark.errors import UserError
from witnessmark.logs.twins import Trace
from witnessmark.model.kept_drive import KeptDrive, totals
from witnessmark.records.drives import drives_of, keep_drive, kept_elsewhere, serials
from witnessmark.records.shop import open_shop

RNG = np.random.default_rng(11)
ONE = Trace(np.interp(np.arange(600), np.arange(0, 600, 7), RNG.uniform(14, 70, 86)))
TWO = Trace(np.interp(np.arange(500), np.arange(0, 500, 7), RNG.uniform(14, 70, 72)))
IDLE = Trace(14 + 0.1 * RNG.normal(size=300))


@pytest.fixture
def shop(tmp_path):
    return open_shop(tmp_path / "shop")


def drive(letter: str, **other) -> KeptDrive:
    made = KeptDrive(
        sha256=letter * 64, name=f"{letter}.csv", kept_on="2026-11-25", started="",
        seconds=600, running=590, revolutions=20_000.0, distance=8_000.0,
        distance_from="road_speed", starts=1, began_running=False, phase="first", answer="kept",
    )  # fmt: skip
    return replace(made, **other)


def test_drives_add_up(shop):
    keep_drive(shop, "E1", drive("a"), ONE)
    keep_drive(shop, "E1", drive("b", distance=None, distance_from="", starts=0,
                                 began_running=True), TWO)  # fmt: skip
    found = totals(drives_of(shop, "E1"))
    assert (found.drives, found.running, found.revolutions) == (2, 1180, 40_000)
    assert (found.distance, found.without_distance) == (8_000, 1)
    assert (found.starts, found.without_start, found.twins) == (1, 1, 0)


def test_nothing_shown_is_not_nothing_driven(shop):
    keep_drive(shop, "E1", drive("a", distance=None, revolutions=None), ONE)
    found = totals(drives_of(shop, "E1"))
    assert found.distance is None and found.revolutions is None


def test_the_same_bytes_count_once_and_the_last_verdict_holds(shop):
    keep_drive(shop, "E1", drive("a"), ONE)
    kept = keep_drive(shop, "E1", drive("a", phase="second", answer="broken"), ONE)
    assert (kept.phase, kept.answer) == ("second", "broken")
    assert drives_of(shop, "E1") == [kept]
    again = keep_drive(shop, "E1", drive("a"), ONE)
    assert (again.phase, len(drives_of(shop, "E1"))) == ("first", 1)


def test_a_twin_counts_once_and_is_told(shop):
    keep_drive(shop, "E1", drive("a"), ONE)
    twin = keep_drive(shop, "E1", drive("b", running=500), Trace(ONE.speed[90:]))
    assert (twin.twin_of, twin.lag) == ("a" * 64, pytest.approx(90, abs=0.2))
    third = keep_drive(shop, "E1", drive("c"), Trace(ONE.speed[:-60]))
    assert third.twin_of == "a" * 64
    found = totals(drives_of(shop, "E1"))
    assert (found.drives, found.running, found.twins) == (1, 590, 2)


def test_another_drive_is_no_twin_and_an_idle_is_said_to_be_unclear(shop):
    keep_drive(shop, "E1", drive("a"), ONE)
    assert keep_drive(shop, "E1", drive("b"), TWO).told_apart
    unclear = keep_drive(shop, "E1", drive("c"), IDLE)
    assert (unclear.twin_of, unclear.told_apart) == ("", False)


def test_engines_are_kept_apart_whatever_their_serials(shop):
    odd = ["E 1", "E-1", "../E1", "Ä/1", "e 1", "//"]
    for n, serial in enumerate(odd):
        keep_drive(shop, serial, drive(chr(ord("a") + n)), ONE)
    assert sorted(serials(shop)) == sorted(odd)
    for n, serial in enumerate(odd):
        assert [d.sha256[0] for d in drives_of(shop, serial)] == [chr(ord("a") + n)]
    folders = {p.parent for p in (shop.path / "engines").glob("*/drives.jsonl")}
    assert len(folders) == len(odd)


def test_the_wrong_engine_is_noticed(shop):
    keep_drive(shop, "E1", drive("a"), ONE)
    assert kept_elsewhere(shop, "E2", "a" * 64) == "E1"
    assert kept_elsewhere(shop, "E1", "a" * 64) == ""


def test_an_engine_nobody_knows_names_the_known(shop):
    keep_drive(shop, "E1", drive("a"), ONE)
    with pytest.raises(UserError, match=r"one of the engines kept \(E1\)"):
        drives_of(shop, "E2")


def test_a_damaged_trace_or_line_is_said(shop):
    keep_drive(shop, "E1", drive("a"), ONE)
    path = next((shop.path / "engines").glob("*/traces/*.parquet"))
    path.write_bytes(b"nothing")
    with pytest.raises(UserError, match="engine speed cannot be read"):
        keep_drive(shop, "E1", drive("b"), TWO)
    assert len(drives_of(shop, "E1")) == 1
    record = next((shop.path / "engines").glob("*/drives.jsonl"))
    record.write_text(record.read_text().replace('"running"', '"ran"'))
    with pytest.raises(UserError, match=r"line 2.*it has no running"):
        drives_of(shop, "E1")
