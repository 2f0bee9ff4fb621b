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
