"""Logs and terms made by hand: every number stands in the test that uses it."""

from collections.abc import Mapping

import numpy as np

from witnessmark.checks.case import Case
from witnessmark.checks.terms import Terms
from witnessmark.model.authority import Authority, SourceKind
from witnessmark.model.expected_pressure import PressureTable
from witnessmark.model.log import Log, Source
from witnessmark.model.plan import Doing, Limit, Line, Phase, Step
from witnessmark.model.said import Said
from witnessmark.units import Kind, parse

WHO = Authority("test", SourceKind.COMMON_PRACTICE)
RPM = 1 / 60
KPA = 1e3


def pressure_at(rpm, oil):
    """Floor of the test's band: twice the pressure at twice the speed over idle. kPa, °C."""
    return (100 + rpm / 20) * (1 - oil / 300)


def make_table(
    lag: float = 0.0, soak: float = 0.0, basis: str = "from the build sheet alone"
) -> PressureTable:
    """A band whose floor is `pressure_at`; 5, 50, 95 and 99.5 % are 1.2, 1.5, 2 and 2.5 of it."""
    speeds, oils = (500, 1000, 3000, 6000), (0, 75, 150)
    return PressureTable(
        tuple(n * RPM for n in speeds), tuple(float(celsius(t)) for t in oils),
        tuple(
            tuple(tuple(pressure_at(n, t) * of * KPA for t in oils) for n in speeds)
            for of in (1, 1.2, 1.5, 2, 2.5)
        ),
        800 * RPM, tuple(float(celsius(t)) for t in (40, 90, 120)), lag, soak, basis,
        "sound builds like this one", WHO, "0" * 64,
    )  # fmt: skip


def celsius(value):
    return np.asarray(value, dtype=float) + 273.15


def limit(text: str, kind: Kind) -> Limit:
    return Limit(parse(text, kind, "test"), None, None, "because the test says so", WHO)


JUDGING = {
    "running_speed": ("300 rpm", Kind.ROTATIONAL_SPEED),
    "still_speed": ("20 rpm", Kind.ROTATIONAL_SPEED),
    "moving_speed": ("3 km/h", Kind.ROAD_SPEED),
    "idle_top": ("1200 rpm", Kind.ROTATIONAL_SPEED),
    "shown_share": ("90 %", Kind.FRACTION),
    "unthrottled_ratio": ("85 %", Kind.FRACTION),
    "pedal_spread": ("5 %", Kind.FRACTION),
    "warm_coolant": ("75 °C", Kind.TEMPERATURE),
    "warm_oil": ("60 °C", Kind.TEMPERATURE),
    "load_pressure": ("80 kPa", Kind.ABSOLUTE_PRESSURE),
    "work_pressure": ("70 kPa", Kind.ABSOLUTE_PRESSURE),
    "hold_band": ("150 rpm", Kind.ROTATIONAL_SPEED),
    "load_fraction": ("60 %", Kind.FRACTION),
    "load_pedal": ("30 %", Kind.FRACTION),
    "load_speed": ("3000 rpm", Kind.ROTATIONAL_SPEED),
    "start_settle": ("5 s", Kind.DURATION),
    "load_spell": ("2 s", Kind.DURATION),
    "over_speed_grace": ("0.2 s", Kind.DURATION),
    "boost_grace": ("0.3 s", Kind.DURATION),
    "boost_tolerance": ("3 kPa", Kind.PRESSURE),
    "cruise_speed_band": ("100 rpm", Kind.ROTATIONAL_SPEED),
    "cruise_pressure_band": ("5 kPa", Kind.ABSOLUTE_PRESSURE),
    "cruise_load_band": ("5 %", Kind.FRACTION),
    "steady_window": ("1 s", Kind.DURATION),
    "cell_speed": ("500 rpm", Kind.ROTATIONAL_SPEED),
    "cell_pressure": ("15 kPa", Kind.ABSOLUTE_PRESSURE),
    "cell_load": ("15 %", Kind.FRACTION),
    "cell_time": ("2 s", Kind.DURATION),
    "variety_window": ("60 s", Kind.DURATION),
    "pull_rise": ("800 rpm", Kind.ROTATIONAL_SPEED),
    "pull_time": ("2 s", Kind.DURATION),
    "overrun_fall": ("500 rpm", Kind.ROTATIONAL_SPEED),
    "overrun_from": ("1500 rpm", Kind.ROTATIONAL_SPEED),
    "overrun_time": ("2 s", Kind.DURATION),
    "overrun_pressure": ("40 kPa", Kind.ABSOLUTE_PRESSURE),
    "closed_pedal": ("3 %", Kind.FRACTION),
    "gear_slip": ("10 %", Kind.FRACTION),
    "clutch_fall": ("900 rpm", Kind.ROTATIONAL_SPEED),
    "clutch_window": ("0.5 s", Kind.DURATION),
    "lug_speed": ("1800 rpm", Kind.ROTATIONAL_SPEED),
    "lug_pressure": ("85 kPa", Kind.ABSOLUTE_PRESSURE),
    "lug_load": ("70 %", Kind.FRACTION),
    "floor_idle": ("100 kPa", Kind.PRESSURE),
    "floor_per_1000rpm": ("70 kPa", Kind.PRESSURE),
    "floor_cap": ("350 kPa", Kind.PRESSURE),
    "floor_delay": ("5 s", Kind.DURATION),
    "floor_grace": ("0.5 s", Kind.DURATION),
    "pressure_lag": ("1 s", Kind.DURATION),
    "lags_to_settle": ("3", Kind.RATIO),
    "low_pressure_time": ("10 s", Kind.DURATION),
    "log_rate_for_dips": ("0.05 s", Kind.DURATION),
    "crank_from": ("100 rpm", Kind.ROTATIONAL_SPEED),
    "crank_least": ("0.5 s", Kind.DURATION),
    "fire_least": ("1 s", Kind.DURATION),
    "stall_least": ("2 s", Kind.DURATION),
    "stall_restart": ("20 s", Kind.DURATION),
    "stop_cause": ("10 s", Kind.DURATION),
    "hold_blip": ("3 s", Kind.DURATION),
    "hold_least": ("10 s", Kind.DURATION),
    "step_share": ("50 %", Kind.FRACTION),
    "step_tolerance": ("30 %", Kind.FRACTION),
    "sweep_stays": ("4", Kind.COUNT),
    "time_share": ("95 %", Kind.FRACTION),
    "heat_longest": ("2 h", Kind.DURATION),
    "gear_speed": ("10 km/h", Kind.ROAD_SPEED),
    "gear_time": ("10 s", Kind.DURATION),
    "gear_step": ("1.12", Kind.RATIO),
    "gear_told": ("60 %", Kind.FRACTION),
    "gear_change": ("2 s", Kind.DURATION),
    "gear_sheet": ("8 %", Kind.FRACTION),
    "gear_named_at": ("50 km/h", Kind.ROAD_SPEED),
    "suggest_road": ("90 km/h", Kind.ROAD_SPEED),
    "cover_low_load": ("15 %", Kind.FRACTION),
    "cover_blind_load": ("75 %", Kind.FRACTION),
    "overrun_full": ("1000 rpm", Kind.ROTATIONAL_SPEED),
    "overrun_ratio": ("0.7", Kind.RATIO),
    "spell_listed": ("20 s", Kind.DURATION),
    "cell_oil": ("20 °C", Kind.TEMPERATURE_DIFFERENCE),
    "dip_depth": ("20 %", Kind.FRACTION),
    "dip_length": ("0.3 s", Kind.DURATION),
    "dip_force": ("3 m/s²", Kind.ACCELERATION),
    "dip_events": ("3", Kind.COUNT),
    "dip_chance": ("0.001", Kind.RATIO),
    "lambda_warm": ("45 s", Kind.DURATION),
    "lambda_lag": ("0.3 s", Kind.DURATION),
    "lambda_settle": ("1.5 s", Kind.DURATION),
    "lambda_excess": ("0.05", Kind.MIXTURE),
    "lean_time": ("0.5 s", Kind.DURATION),
    "lambda_cruise_low": ("0.97", Kind.MIXTURE),
    "lambda_cruise_high": ("1.03", Kind.MIXTURE),
    "lambda_part_load": ("0.92", Kind.MIXTURE),
    "lambda_unboosted": ("1.00", Kind.MIXTURE),
    "lambda_boost_petrol": ("0.85", Kind.MIXTURE),
    "lambda_boost_ethanol": ("0.82", Kind.MIXTURE),
    "ethanol_full": ("85 %", Kind.FRACTION),
    "lambda_diesel": ("1.2", Kind.MIXTURE),
    "lambda_rich": ("0.75", Kind.MIXTURE),
    "rich_time": ("10 s", Kind.DURATION),
    "lambda_swing": ("0.2", Kind.MIXTURE),
    "swing_time": ("2 s", Kind.DURATION),
    "trim_good": ("5 %", Kind.FRACTION),
    "trim_fine": ("10 %", Kind.FRACTION),
    "trim_stop": ("15 %", Kind.FRACTION),
    "trim_cell_time": ("5 s", Kind.DURATION),
    "knock_ask": ("1 °", Kind.ANGLE),
    "knock_stop": ("3 °", Kind.ANGLE),
    "knock_apart": ("1 s", Kind.DURATION),
    "log_rate_for_knock": ("0.04 s", Kind.DURATION),
    "misfire_ask": ("1 %", Kind.FRACTION),
    "misfire_stop": ("5 %", Kind.FRACTION),
    "duty_ask": ("40 %", Kind.FRACTION),
    "duty_stop": ("85 %", Kind.FRACTION),
    "supply_time": ("0.5 s", Kind.DURATION),
    "fuel_pressure_spread": ("5 %", Kind.FRACTION),
    "fuel_pressure_droop": ("7 %", Kind.FRACTION),
    "crankcase_most": ("1.5 kPa", Kind.PRESSURE),
    "charge_rise": ("25 °C", Kind.TEMPERATURE_DIFFERENCE),
    "charge_most": ("60 °C", Kind.TEMPERATURE),
    "charge_time": ("15 s", Kind.DURATION),
    "charge_settle": ("2 min", Kind.DURATION),
    "coolant_window_top": ("100 °C", Kind.TEMPERATURE),
    "coolant_jump": ("5 °C", Kind.TEMPERATURE_DIFFERENCE),
    "jump_time": ("2 s", Kind.DURATION),
    "warming_time": ("60 s", Kind.DURATION),
    "thermostat_time": ("15 min", Kind.DURATION),
    "fan_drop": ("5 °C", Kind.TEMPERATURE_DIFFERENCE),
    "fan_share": ("60 %", Kind.FRACTION),
    "fan_wait": ("30 s", Kind.DURATION),
    "fan_saw": ("3 °C", Kind.TEMPERATURE_DIFFERENCE),
    "charging_low": ("13.2 V", Kind.VOLTAGE),
    "charging_high": ("14.8 V", Kind.VOLTAGE),
    "charging_none": ("12.8 V", Kind.VOLTAGE),
    "voltage_most": ("15.0 V", Kind.VOLTAGE),
    "voltage_time": ("10 s", Kind.DURATION),
    "voltage_dip": ("11.5 V", Kind.VOLTAGE),
    "charging_shown": ("60 s", Kind.DURATION),
    "voltage_of_24": ("18 V", Kind.VOLTAGE),
    "key_on_time": ("1 s", Kind.DURATION),
    "key_on_pressure": ("3 kPa", Kind.PRESSURE),
    "key_on_weather": ("5 kPa", Kind.PRESSURE),
    "manifold_rest_low": ("60 kPa", Kind.ABSOLUTE_PRESSURE),
    "manifold_rest_high": ("110 kPa", Kind.ABSOLUTE_PRESSURE),
    "key_on_temperature": ("3 °C", Kind.TEMPERATURE_DIFFERENCE),
    "key_on_temperature_flag": ("5 °C", Kind.TEMPERATURE_DIFFERENCE),
    "key_on_oil_pressure": ("14 kPa", Kind.PRESSURE),
    "key_on_crankcase": ("0.3 kPa", Kind.PRESSURE),
    "key_on_pedal": ("5 %", Kind.FRACTION),
    "free_air": ("1.3", Kind.MIXTURE),
    "rest_voltage_low": ("12.4 V", Kind.VOLTAGE),
    "rest_voltage_high": ("12.8 V", Kind.VOLTAGE),
    "cranking_voltage": ("9.6 V", Kind.VOLTAGE),
}


def make_log(
    channels: Mapping[str, object], step: float = 0.1, *, gaps: Mapping[int, float] | None = None
) -> Log:
    """A log of equal steps; `gaps` adds seconds of pause before a sample."""
    n = max(np.size(v) for v in channels.values())
    filled = {k: np.broadcast_to(np.asarray(v, float), n).copy() for k, v in channels.items()}
    time, held = np.arange(n) * step, np.full(n, step)
    for sample, pause in (gaps or {}).items():
        time[sample:] += pause
    return Log(Source("made.csv", "0" * 64, 0, n), time, held, filled)


def make_case(
    log: Log, ceilings=(), evidence=(), needs=("engine_speed",), hold: str | None = None,
    band=None, no_band: str = "",
) -> Case:  # fmt: skip
    """A case from a log, with ceilings and evidence as (name, text, kind)."""
    steps = ()
    if hold is not None:
        line = Line(Said("Hold it."), "because", WHO)
        steps = (Step(Doing.HOLD, line, {"speed": limit(hold, Kind.ROTATIONAL_SPEED)}),)
    phase = Phase(
        "road-1", "First miles", "on the road", (), steps,
        {k: limit(t, kind) for k, t, kind in ceilings},
        {k: limit(t, kind) for k, t, kind in evidence},
        tuple(needs), (), (), True,
    )  # fmt: skip
    judging = {k: limit(t, kind) for k, (t, kind) in JUDGING.items()}
    return Case(log, Terms(phase, judging, band, no_band))
