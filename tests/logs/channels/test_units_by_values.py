"""Units that values deny: asked or said, never guessed; and what the engine itself tells."""

import numpy as np
import pytest

from tests.logs.channels.made import ROWS, SWING, T, column, log_of
from witnessmark.model.channel import How, Sure

IDLE = 800 + 0 * T


def test_a_coolant_that_settles_at_190_is_no_celsius_and_neither_are_its_siblings():
    log = log_of({
        "Coolant [°C]": np.minimum(70 + T, 188 + 3 * SWING),
        "Oil temp [°C]": 70 + T, "Intake temp [°C]": 75 + 10 * SWING,
    })  # fmt: skip
    for name in ("Coolant [°C]", "Oil temp [°C]", "Intake temp [°C]"):
        found = column(log, name)
        assert (found.channel, found.sure) == (None, Sure.ASKED), name
        assert f"--channel '{name}=" in found.why and ":°F'" in found.why


def test_a_hot_engine_is_not_taken_for_fahrenheit():
    # 115 to 130 °C is an engine about to be lost: it has to be judged, not asked about.
    log = log_of({"Coolant [°C]": np.minimum(80 + T / 2, 130), "Oil temp [°C]": 90 + T / 3})
    assert np.nanmax(log["coolant_temperature"]) == pytest.approx(130 + 273.15)
    assert "oil_temperature" in log


def test_low_oil_pressure_is_used_as_written_and_doubted_aloud():
    # 20 to 60 kPa may be psi under the wrong name, or bearings that are going.
    log = log_of({"Oil pressure [kPa]": 20 + 40 * SWING})
    found = column(log, "Oil pressure [kPa]")
    assert np.nanmax(log["oil_pressure"]) == pytest.approx(60e3)
    assert found.sure is Sure.LIKELY
    assert any("oil_pressure:psi" in note.said for note in log.notes)


def test_a_share_under_a_percent_sign_is_asked_where_the_engine_was_revved():
    found = column(log_of({"TPS [%]": 0.03 + 0.9 * SWING}), "TPS [%]")
    assert (found.channel, found.sure) == (None, Sure.ASKED)
    assert "--channel 'TPS [%]=throttle_position:1'" in found.why
    # At idle a throttle is at 0.5 %, and nobody can say more.
    at_idle = log_of({"TPS [%]": 0.4 + 0.2 * SWING}, rpm=IDLE + 20 * SWING)
    assert at_idle["throttle_position"].max() == pytest.approx(0.006)


def test_a_throttle_that_stops_at_84_is_said():
    opened = np.minimum(15 + 100 * SWING, 84)
    log = log_of({"TPS [%]": opened})
    assert column(log, "TPS [%]").sure is Sure.LIKELY
    assert any("full throttle may read 84 %" in note.said for note in log.notes)
    assert log["throttle_position"].max() == pytest.approx(0.84)  # used as written all the same


@pytest.mark.parametrize(("divided", "unit"), [(1000, "rpm x1000"), (100, "rpm x100")])
def test_engine_speed_in_hundreds_and_thousands(divided, unit):
    speed = (900 + 2600 * SWING) / divided
    bare = log_of(
        {"Engine speed": speed, "Oil pressure [kPa]": 300 + 0 * T}, "Engine RPM [rpm]=ignore"
    )
    assert bare["engine_speed"].max() == pytest.approx(3500 / 60)
    assert (column(bare, "Engine speed").how, column(bare, "Engine speed").sure) == (
        How.ASSUMED_UNIT,
        Sure.LIKELY,
    )
    named = log_of(
        {"Engine Speed [rpm]": speed, "Oil pressure [kPa]": 300 + 0 * T}, "Engine RPM [rpm]=ignore"
    )
    found = column(named, "Engine Speed [rpm]")
    assert found.sure is Sure.ASKED
    assert f"engine_speed:{unit}'" in found.why


def test_boost_without_an_idle_is_asked_and_with_one_is_told():
    boost = {"Boost [kPa]": 20 + 60 * SWING}
    asked = column(log_of(boost, rpm=2500 + 1000 * SWING), "Boost [kPa]")
    assert asked.sure is Sure.ASKED
    assert "manifold_pressure:kPa gauge'" in asked.why and ":kPa abs'" in asked.why
    told = log_of(boost, "Boost [kPa]=manifold_pressure:kPa gauge", rpm=2500 + 1000 * SWING)
    assert told["manifold_pressure"].min() == pytest.approx(20e3 + 101_325)
    # No engine makes boost at idle: what reads 40 kPa there is absolute.
    idling = log_of({"Boost [kPa]": 40 + 60 * SWING})
    assert idling["manifold_pressure"].min() == pytest.approx(40e3)
    assert column(idling, "Boost [kPa]").sure is Sure.LIKELY


def test_an_idle_in_kpa_without_a_unit_is_not_taken_for_inches_of_mercury():
    # 30.5 to 36.5: an idle in kPa, or a pull in inHg.
    log = log_of({"MAP": 30.5 + 6 * SWING})
    assert "manifold_pressure" not in log
    assert column(log, "MAP").sure is Sure.ASKED


def test_a_flag_that_is_always_off_needs_no_unit():
    log = log_of({"Fan": 0 * T, "Brake": 0 * T, "DFCO": (np.arange(ROWS) % 200 < 9) * 1.0})
    assert log["fan"].max() == 0 and log["brake_switch"].max() == 0 and log["fuel_cut"].max() == 1


def test_a_brake_is_a_switch_or_a_pressure_by_its_unit():
    log = log_of({"Brake [bar]": 30 * SWING, "Brake switch": (SWING > 0.5) * 1.0})
    assert log["brake_pressure"].max() == pytest.approx(30e5)
    assert log["brake_switch"].max() == 1


def test_every_column_of_ours_says_how_sure_it_is_and_by_what():
    log = log_of({"Oil pressure": 200 + 200 * SWING, "MAP [kPa]": 30 + 60 * SWING, "Gizmo": T})
    assert column(log, "MAP [kPa]").sure is Sure.CERTAIN
    assert column(log, "Oil pressure").sure is Sure.LIKELY
    assert column(log, "Gizmo").sure is None
    said = column(log, "MAP [kPa]").reasons
    assert [text.split(":")[0] for text in said] == ["Words", "Unit", "Values"]
