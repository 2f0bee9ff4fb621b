"""How hard the engine worked: one measure of load, chosen once for a log and stated.

Manifold pressure is the best measure on a throttled engine and no measure at all on an engine
that breathes freely at idle (a diesel): there the calculated load or the pedal serves.
"""

from dataclasses import dataclass

import numpy as np

from witnessmark.checks.terms import Terms, running
from witnessmark.model.log import Floats, Log, Mask
from witnessmark.physics.atmosphere import STANDARD_ATMOSPHERE
from witnessmark.units import Kind

TITLES = {
    "manifold_pressure": "manifold pressure",
    "engine_load": "calculated engine load",
    "pedal_position": "accelerator pedal",
    "throttle_position": "throttle position",
}


@dataclass(frozen=True)
class Load:
    """The load of each sample, its channel, and what was assumed in choosing it.

    `values` : absolute pressure [Pa], or a fraction above the rest position [-]. Shape (n,).
    """

    channel: str
    kind: Kind
    values: Floats
    why: str

    @property
    def title(self) -> str:
        """The channel in plain words."""
        return TITLES[self.channel]


@dataclass(frozen=True)
class Atmosphere:
    """Barometric pressure for each sample [Pa] and where it came from."""

    values: Floats
    why: str
    assumed: bool


def atmosphere(log: Log, terms: Terms) -> Atmosphere:
    """The atmosphere the engine breathed: measured, read at key-on, or assumed and said so."""
    if "barometric_pressure" in log:
        shown = log["barometric_pressure"]
        filled = np.where(np.isnan(shown), np.nanmedian(shown), shown)
        return Atmosphere(filled, "from the barometric channel", assumed=False)
    n = len(log.time)
    if "manifold_pressure" in log:
        still = log["engine_speed"] <= terms["still_speed"]
        at_rest = log["manifold_pressure"][still & ~np.isnan(log["manifold_pressure"])]
        if len(at_rest):
            return Atmosphere(
                np.full(n, float(np.median(at_rest))),
                "from manifold pressure with the engine stopped", assumed=False,
            )  # fmt: skip
    return Atmosphere(
        np.full(n, STANDARD_ATMOSPHERE),
        "assumed: standard atmosphere at sea level; at altitude the true boost is higher",
        assumed=True,
    )


def throttled(log: Log, terms: Terms) -> bool:
    """Whether manifold pressure falls well below the atmosphere when nothing is asked."""
    pressure = log["manifold_pressure"] / atmosphere(log, terms).values
    shown = pressure[running(log, terms) & ~np.isnan(pressure)]
    return len(shown) > 0 and _quantile_under(shown, 0.05, terms["unthrottled_ratio"])


def _quantile_under(values: Floats, share: float, limit: float) -> bool:
    """Whether a quantile lies under a limit; counting tells without sorting a long log."""
    place = int(share * (len(values) - 1))  # the quantile lies between this value and the next
    under = int(np.count_nonzero(values < limit))
    if under != place + 1:
        return under > place
    return bool(np.quantile(values, share) < limit)


def above_rest(log: Log, channel: str, terms: Terms) -> Floats | None:
    """Pedal or throttle above its rest position as a share of full travel; None if it is stuck.

    Rest is the lowest position held for a time worth the name: its 1 % quantile in running.
    """
    values = log[channel]
    shown = values[running(log, terms) & ~np.isnan(values)]
    if not len(shown):
        return None
    rest, low, high = (float(q) for q in np.quantile(shown, (0.01, 0.05, 0.95)))
    if high - low < terms["pedal_spread"]:
        return None
    return values - rest


def driver_demand(log: Log, terms: Terms) -> tuple[str, Floats] | None:
    """The channel that shows what the right foot asked, above rest, if the log has one."""
    for channel in ("pedal_position", "throttle_position"):
        if channel in log:
            values = above_rest(log, channel, terms)
            if values is not None:
                return channel, values
    return None


def choose_load(log: Log, terms: Terms) -> Load | None:
    """The best measure of load this log has, or None."""
    note = ""
    if "manifold_pressure" in log:
        if throttled(log, terms):
            values = log["manifold_pressure"]
            return Load("manifold_pressure", Kind.ABSOLUTE_PRESSURE, values, "")
        note = (
            "manifold pressure stays near the atmosphere at light load, as on a diesel, "
            "so it does not show load; "
        )
    if "engine_load" in log:
        return Load("engine_load", Kind.FRACTION, log["engine_load"], note + "calculated load used")
    demand = driver_demand(log, terms)
    if demand is None:
        return None
    channel, values = demand
    return Load(channel, Kind.FRACTION, values, note + f"{TITLES[channel]} above rest used")


def is_loaded(load: Load, terms: Terms) -> Mask:
    """Where the engine is loaded: what a cold one must not be."""
    return load.values > terms[_limit(load, "load_pressure")]


def is_worked(load: Load, terms: Terms) -> Mask:
    """Where the engine is worked: what seats rings."""
    return load.values > terms[_limit(load, "work_pressure")]


def _limit(load: Load, pressure: str) -> str:
    named = {"manifold_pressure": pressure, "engine_load": "load_fraction"}
    return named.get(load.channel, "load_pedal")


def is_lugged(load: Load, terms: Terms) -> Mask:
    """Where the load is too high for a low engine speed."""
    limit = "lug_pressure" if load.channel == "manifold_pressure" else "lug_load"
    return load.values > terms[limit]


def is_closed(log: Log, terms: Terms) -> tuple[Mask, str] | None:
    """Where the driver asks for nothing, and by which channel; None when that is not shown."""
    demand = driver_demand(log, terms)
    if demand is not None:
        channel, values = demand
        return values <= terms["closed_pedal"], TITLES[channel]
    if "manifold_pressure" in log and throttled(log, terms):
        return log["manifold_pressure"] < terms["overrun_pressure"], TITLES["manifold_pressure"]
    return None
