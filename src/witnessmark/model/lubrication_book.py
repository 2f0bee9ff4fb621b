"""What an oil circuit needs beyond the build sheet: book/lubrication.toml, as read."""

import math

from witnessmark.model import number as n
from witnessmark.model.recipe import Part

NINE_OF_TEN = 2 * 1.6449  # standard deviations between the 5 % and the 95 % point of a bell curve


class Pump(Part):
    """Displacement over that of the engine; slip over displaced flow at one state."""

    displacement: n.Share
    measured: n.Share
    slip: n.Share
    slip_speed: n.Speed
    slip_pressure: n.Gauge
    slip_viscosity: n.Viscosity


class Relief(Part):
    """Opening pressure, how it climbs, and how thick oil holds it back."""

    measured: n.Share
    assumed: n.Share
    climb: n.Share
    climb_measured: n.Share
    drag: n.PerLength
    curtain: n.Share


class Ways(Part):
    """Losses between pump and gallery."""

    filter_loss: n.Gauge
    filter_flow: n.Share
    filter_viscosity: n.Viscosity
    filter_laminar: n.Share
    bypass_opening: n.Gauge
    bypass_climb: n.Gauge
    passage_loss: n.Gauge
    passage_laminar: n.Share
    behind_relief: n.Share


class Bearings(Part):
    """How bearings are fed, how well a clearance is known, what leaks besides."""

    eccentricity: n.Share
    groove_width: n.Share
    hole: n.Share
    clearance_error: n.Clearance
    clearance_bias: n.Clearance
    usual: n.Share
    beyond: n.Share


class Unmeasured(Part):
    """Leakage and feeds as shares of the rated pump flow, where the sheet cannot tell."""

    leak: n.Share
    feeds: n.Share
    pressure: n.Gauge
    viscosity: n.Viscosity


class Feeds(Part):
    """Holes and jets."""

    bore_length: n.Ratio
    drilled: n.Share
    valve_gear: n.Length
    jet_opening: n.Gauge
    turbo: n.Length


class Film(Part):
    """Heat in the films."""

    rise: n.Warming


class Oil(Part):
    """What a sheet does not say of its oil; index by winter grade."""

    density: n.Density
    data_sheet: n.Share
    thermometer: n.Warming
    index: dict[str, n.Ratio]


class Sender(Part):
    """How far the gauge may be off."""

    error: n.Gauge


class Band(Part):
    """Where a band is foretold at all."""

    slowest: n.Speed
    coldest: n.Temperature
    hottest: n.Temperature
    hot_oil: n.Temperature
    least_hot_idle: n.Gauge


class Fit(Part):
    """What a log may teach, and how closely the circuit is believed when it does."""

    running_speed: n.Speed
    start_settle: n.Time
    coldest: n.Temperature
    hottest: n.Temperature
    least_time: n.Time
    least_change: n.Gauge
    block: n.Time
    most_blocks: n.Ratio
    sender_noise: n.Gauge
    model_error: n.Share
    alike: n.Ratio
    longest_soak: n.Time
    slowest_sender: n.Time
    starts: n.Ratio


class FuelInOil(Part):
    """What stays of a fuel in a warm sump."""

    kv40: n.KinematicViscosity
    kv100: n.KinematicViscosity
    density: n.Density


class Drift(Part):
    """When a log is said to show a change; fuel by its kind."""

    false_alarms: n.Share
    leak_share: n.Share
    power: n.Share
    leak: n.Share
    relief_opening: n.Share
    relief_gradient: n.Share
    open: n.Share
    same_fill: n.Share
    new_fill: n.Share
    film_rise: n.Share
    sender_offset: n.Gauge
    between_logs: n.Share
    sender_noise: n.Gauge
    unsteady: n.Share
    alike_speed: n.Share
    alike_oil: n.Warming
    apart: n.Ratio
    fuel: dict[str, FuelInOil]


class LubricationBook(Part):
    """The whole file."""

    owner: n.Words
    pump: Pump
    relief: Relief
    ways: Ways
    bearings: Bearings
    unmeasured: Unmeasured
    feeds: Feeds
    film: Film
    oil: Oil
    sender: Sender
    band: Band
    fit: Fit
    drift: Drift


def si(number: n.Number) -> float:
    """Value of a number of the book. [SI unit of its kind]"""
    return number.quantities()[0].value


def ends(number: n.Number) -> tuple[float, float]:
    """Low and high end of its range. [SI unit of its kind]"""
    _, low, high = number.quantities()
    return low.value, high.value


def log_sd(number: n.Number) -> float:
    """Standard deviation of the logarithm, nine of ten lying in the range. [-]"""
    low, high = ends(number)
    return math.log(high / low) / NINE_OF_TEN


def odds_sd(number: n.Number) -> float:
    """Standard deviation of the logarithm of a share's odds, nine of ten lying in the range. [-]"""
    low, high = ends(number)
    return math.log(high / (1 - high) * (1 - low) / low) / NINE_OF_TEN


def plain_sd(number: n.Number) -> float:
    """Standard deviation, nine of ten lying in the range. [SI unit of its kind]"""
    low, high = ends(number)
    return (high - low) / NINE_OF_TEN
