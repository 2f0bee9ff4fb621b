"""What cannot be true is refused or set aside; what is only damaged is mended and counted."""

import numpy as np
import pytest

from tests.logs.written import column, read, said
from witnessmark.errors import UserError
from witnessmark.model.channel import How

ROWS = 400
I = np.arange(ROWS)  # noqa: E741 - the row's number
SOUND = {
    "Time [s]": I / 10,
    "RPM [rpm]": 1500 + 500 * np.sin(I / 20),
    "Coolant [°C]": 60 + I / 40,
    "MAP [kPa]": 50 + 15 * np.sin(I / 15),
    "Oil pressure [kPa]": 300 + 50 * np.sin(I / 20),
}
NOISE = np.random.default_rng(3)


def log_of(**changed: np.ndarray):
    sheet = {name: changed.get(name.split(" ")[0], values) for name, values in SOUND.items()}
    lines = [",".join(sheet)]
    lines += [
        ",".join("" if np.isnan(x) else f"{x:.8g}" for x in row)
        for row in zip(*sheet.values(), strict=True)
    ]
    return read("\n".join(lines))


def but(name: str, where, value: float) -> dict[str, np.ndarray]:
    found = next(v for k, v in SOUND.items() if k.startswith(name)).astype(float).copy()
    found[where] = value
    return {name: found}


def test_a_sound_log_has_nothing_said_of_it():
    assert log_of().notes == ()


def test_engine_speed_that_leaves_its_range_refuses_the_log():
    with pytest.raises(UserError) as caught:
        log_of(RPM=np.linspace(0, 16_368, ROWS))
    message = str(caught.value)
    for part in ("cannot be true", "'RPM [rpm]'", "16,368 rpm", "0 rpm and 13,000 rpm"):
        assert part in message


def test_engine_speed_that_jumps_refuses_the_log():
    # Inside its range at every reading, but from idle to 11,000 rpm and back within 0.1 s.
    with pytest.raises(UserError, match="jumps no engine can make"):
        log_of(RPM=np.where(I % 2, 11_000.0, 800.0) * np.where(I % 4 < 2, 1, 0.05))


def test_most_channels_false_refuse_the_log():
    with pytest.raises(UserError, match="cannot be true"):
        log_of(
            Coolant=NOISE.uniform(-40, 215, ROWS), MAP=NOISE.uniform(0, 2550, ROWS),
            Oil=NOISE.uniform(0, 5000, ROWS),
        )  # fmt: skip


def test_one_false_channel_is_set_aside_with_the_reason():
    log = log_of(Coolant=NOISE.uniform(-40, 215, ROWS))
    found = column(log, "Coolant [°C]")
    assert (found.channel, found.how) == (None, How.SET_ASIDE)
    assert "readings outside" in found.why and "jumps no engine can make" in found.why
    assert {"engine_speed", "manifold_pressure", "oil_pressure"} <= set(log.channels)


def test_a_marker_for_no_reading_is_taken_out_and_counted():
    log = log_of(**but("Coolant", slice(0, 30), 215))
    assert np.isnan(log["coolant_temperature"][:30]).all()
    assert log["coolant_temperature"][30] == pytest.approx(60 + 30 / 40 + 273.15)
    assert "30 readings of 215 °C stand for no reading" in said(log)


def test_a_marker_in_the_engine_speed_does_not_refuse_the_log():
    # 16,383.75 rpm is 0xFFFF in the OBD scaling of a quarter rpm (SAE J1979, PID 0C).
    log = log_of(**but("RPM", slice(0, 20), 16_383.75))
    assert np.nanmax(log["engine_speed"]) < 2100 / 60
    assert "stand for no reading" in said(log)


def test_a_lone_spike_is_taken_out_and_counted():
    log = log_of(**but("Coolant", 200, 120))
    assert np.nanmax(log["coolant_temperature"]) < 75 + 273.15
    assert "1 lone spike" in said(log)


def test_a_step_is_no_spike():
    values = np.where(I < 200, 50.0, 95.0)
    log = log_of(MAP=values)
    assert log["manifold_pressure"][[199, 200]] == pytest.approx([50e3, 95e3])
    assert log.notes == ()


def test_an_absent_sensor_is_set_aside_and_does_not_speak_against_the_log():
    # -40 °C is what an unconnected sensor reads in the OBD scaling (raw 0).
    minus_forty = np.full(ROWS, -40.0)
    log = log_of(Coolant=minus_forty, Oil=np.full(ROWS, 6553.5), MAP=np.full(ROWS, 2550.0))
    assert set(log.channels) == {"engine_speed"}
    assert "no sensor is connected" in column(log, "Coolant [°C]").why


def test_a_wrong_unit_of_the_engine_speed_is_named():
    # 15 to 33 as "krpm" would be 33,000 rpm; what else it may be the user has to say.
    with pytest.raises(UserError, match="cannot be true"):
        read(
            "Time [s];Engine speed [krpm]\n"
            + "\n".join(f"{i / 10};{20 + i % 3}" for i in range(99))
        )


def test_blanks_are_held_to_the_next_reading_but_not_for_ever():
    speed = SOUND["RPM [rpm]"].copy()
    speed[101:110] = np.nan  # 0.9 s without a reading
    speed[200:300] = np.nan  # 10 s: longer than an engine speed may be held
    log = log_of(RPM=speed)
    assert log["engine_speed"][101:110] == pytest.approx(speed[100] / 60)
    assert np.isfinite(log["engine_speed"][200:229]).all()
    assert np.isnan(log["engine_speed"][232:300]).all()
    assert column(log, "RPM [rpm]").shown == pytest.approx((ROWS - 109) / ROWS)


def test_a_pause_in_recording_counts_for_nothing():
    time = I / 10 + np.where(I >= 200, 600.0, 0.0)
    log = log_of(Time=time)
    # 400 readings of 0.1 s: the ten minutes between them were not recorded.
    assert log.held.sum() == pytest.approx(40.0)
    assert log.held.max() == pytest.approx(0.1)
    assert "1 pause in recording, 600 s in all" in said(log)


def test_a_slow_logger_is_no_row_of_pauses():
    log = log_of(Time=I * 4.0)
    assert log.held.sum() == pytest.approx(ROWS * 4.0)
    assert "pause" not in said(log)
