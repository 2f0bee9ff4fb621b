"""A reviewed drive is kept with what the log shows of the engine, and nothing it does not show."""

from dataclasses import replace

import numpy as np
import pytest

from tests.faces.shop import SHEET, made_log
from tests.made import make_log
from witnessmark.errors import UserError
from witnessmark.jobs.keep import keep, keep_or_say, ran
from witnessmark.jobs.plan import make_plan
from witnessmark.jobs.review import review
from witnessmark.logs.read import read_log_bytes
from witnessmark.model.build import parse_build
from witnessmark.records.shop import open_shop
from witnessmark.units import Kind, Preferences

PHASE = "first-50-miles"


@pytest.fixture(scope="module")
def judged():
    """A review whose log a test replaces by its own."""
    plan = make_plan(parse_build(SHEET, "heron.toml"), films=False)
    return review(plan, PHASE, read_log_bytes(made_log(), "drive.csv"))


def kept(judged, tmp_path, channels, step=1.0, gaps=None, data=b"x"):
    import hashlib  # noqa: PLC0415 - a hash to go with the bytes, in this one place

    log = make_log(channels, step, gaps=gaps)
    log = replace(log, source=replace(log.source, sha256=hashlib.sha256(data).hexdigest()))
    return keep(open_shop(tmp_path / "shop"), replace(judged, log=log), data)


def test_running_turns_distance_and_starts_are_those_of_the_log(judged, tmp_path):
    # 60 s standing, 540 s at 1,200 rpm (20 rev/s), of which 300 s at 10 m/s.
    seconds = np.arange(600)
    drive = kept(judged, tmp_path, {
        "engine_speed": np.where(seconds < 60, 0.0, 20.0),
        "road_speed": np.where(seconds < 300, 0.0, 10.0),
    }).drive  # fmt: skip
    assert (drive.running, drive.revolutions, drive.distance) == (540, 540 * 20, 3000)
    assert (drive.starts, drive.began_running, drive.distance_from) == (1, False, "road_speed")


def test_a_pause_in_recording_counts_for_nothing(judged, tmp_path):
    drive = kept(judged, tmp_path, {"engine_speed": np.full(300, 20.0)}, gaps={100: 3600}).drive
    assert (drive.running, drive.revolutions) == (300, 6000)
    assert (drive.starts, drive.began_running, drive.distance) == (0, True, None)


def test_a_counter_stands_in_for_road_speed_even_if_it_is_set_back(judged, tmp_path):
    counter = np.concatenate([np.linspace(5000, 6000, 150), np.linspace(0, 500, 150)])
    drive = kept(judged, tmp_path, {"engine_speed": np.full(300, 20.0), "distance": counter}).drive
    assert (drive.distance, drive.distance_from) == (pytest.approx(1500), "distance")


def test_the_sentence_names_what_is_not_shown(judged, tmp_path):
    said = kept(judged, tmp_path, {"engine_speed": np.full(300, 20.0)}).said[-1]
    assert said.read(Preferences()) == (
        "Kept. Engine TS-0417 has run 5 min in 1 drive; no distance was shown."
    )


def test_a_file_that_changed_since_is_not_kept(judged, tmp_path):
    shop = open_shop(tmp_path / "shop")
    with pytest.raises(UserError, match="changed while it was judged"):
        keep(shop, judged, b"something else")
    assert "NOT KEPT" in keep_or_say(shop, judged, b"something else")[0].read(Preferences())
    assert not (shop.path / "originals").exists()


def test_minutes_for_what_is_short():
    assert ran(592.4).kind is Kind.DURATION and ran(4000).kind is Kind.RUNNING_TIME
