"""Oil pressure by engine speed and oil temperature, in words and as a table."""

from dataclasses import dataclass

import numpy as np

from witnessmark.checks.pressure.pressure_map import PressureMap
from witnessmark.model.log import Floats
from witnessmark.units import Kind, Preferences, Quantity, show, shown_value

_SENTENCES = 3  # the worst cells; more hide them


@dataclass(frozen=True)
class PressureCellView:
    """One cell: what is usual in it, how low and high it went, its lines; all "" if not read."""

    median: str
    range: str
    line: str
    beyond: str  # "12 % under", "" if nothing
    broken: bool


@dataclass(frozen=True)
class PressureRowView:
    """The cells of one step of engine speed, cold to hot."""

    speed: str
    cells: tuple[PressureCellView, ...]


@dataclass(frozen=True)
class PressureMapView:
    """`heads` : the oil temperatures of the columns. `unit` : of every pressure in the table."""

    unit: str
    heads: tuple[str, ...]
    rows: tuple[PressureRowView, ...]
    basis: str
    missing: str  # what would make it sharper, "" if nothing
    worst: tuple[str, ...]


def pressure_map_view(found: PressureMap | None, prefer: Preferences) -> PressureMapView | None:
    """The map in the reader's units; None where the log shows no oil pressure."""
    if found is None:
        return None
    return PressureMapView(
        unit=shown_value(Quantity(0.0, Kind.PRESSURE), prefer)[1],
        heads=tuple(oil_words(found, j, prefer) for j in range(found.seconds.shape[1])),
        rows=tuple(
            PressureRowView(
                speed_words(found, i, prefer),
                tuple(_cell(found, i, j, prefer) for j in range(found.seconds.shape[1])),
            )
            for i in range(len(found.seconds))
            if (found.seconds[i] >= found.counted).any()
        ),
        basis=basis_words(found),
        missing=_missing(found),
        worst=tuple(_worst(found, prefer)),
    )


def basis_words(found: PressureMap) -> str:
    """What the lines rest on."""
    if found.basis:
        return f"Held against this engine's own band, {found.basis}."
    why = f" No pressure could be foretold for this build: {found.why}" if found.why else ""
    return f"Held against the rule of thumb only, which is not this engine's.{why}"


def speed_words(found: PressureMap, i: int, prefer: Preferences) -> str:
    """ "1,000 to 1,500 rpm"."""
    return _between(found.speed_edges, i, Kind.ROTATIONAL_SPEED, prefer)


def oil_words(found: PressureMap, j: int, prefer: Preferences) -> str:
    """ "oil 60 to 80 °C", or that it is not shown."""
    if found.oil_edges is None:
        return "oil temperature not shown"
    return "oil " + _between(found.oil_edges, j, Kind.TEMPERATURE, prefer)


def _between(edges: Floats, at: int, kind: Kind, prefer: Preferences) -> str:
    first, second = (show(Quantity(float(edges[k]), kind), prefer) for k in (at, at + 1))
    return f"{first.split()[0]} to {second}"


def _pressure(value: float, prefer: Preferences) -> str:
    return show(Quantity(float(value), Kind.PRESSURE), prefer)


def _cell(found: PressureMap, i: int, j: int, prefer: Preferences) -> PressureCellView:
    seconds = float(found.seconds[i, j])
    if seconds < found.counted:
        return PressureCellView("", "", "", "", broken=False)

    def bare(value: float) -> str:
        return _pressure(value, prefer).split()[0]

    read = not np.isnan(found.median[i, j])
    floor, top = found.floor[i, j], found.top[i, j]
    line = f"floor {bare(floor)}" + ("" if np.isnan(top) else f", top {bare(top)}")
    beyond = [
        f"{_share(amount / seconds)} {way}"
        for amount, way in ((found.below[i, j], "under"), (found.above[i, j], "over"))
        if amount > 0
    ]
    return PressureCellView(
        bare(found.median[i, j]) if read else "not steady",
        f"{bare(found.lowest[i, j])} to {bare(found.highest[i, j])}" if read else "",
        line, ", ".join(beyond), broken=bool(beyond),
    )  # fmt: skip


def _share(share: float) -> str:
    return "under 1 %" if share < 0.01 else f"{share:.0%}".replace("%", " %")


def _missing(found: PressureMap) -> str:
    said = []
    if found.oil_edges is None:
        said.append(
            "The log shows no oil temperature, so cold and hot oil stand in one column: log it."
        )
    if not found.basis:
        said.append(
            "With a band of this engine (clearances, pump, relief valve, oil) it would tell."
        )
    return " ".join(said)


def _worst(found: PressureMap, prefer: Preferences) -> list[str]:
    """The cells with most time outside their lines, or the one nearest to its floor."""
    outside = np.where(found.seconds >= found.counted, found.below + found.above, 0.0)
    order = np.argsort(-outside, axis=None, kind="stable")[:_SENTENCES]
    cells = [divmod(int(k), outside.shape[1]) for k in order]
    said = [_outside(found, i, j, prefer) for i, j in cells if outside[i, j] > 0]
    if said:
        return said
    read = (found.seconds >= found.counted) & ~np.isnan(found.lowest)
    if not read.any():
        return ["Speed never stayed long enough anywhere for pressure to settle."]
    margin = np.where(read, found.lowest - found.floor, np.inf)
    i, j = divmod(int(margin.argmin()), margin.shape[1])
    return [
        f"Nowhere outside its lines. Nearest to its floor: {_pressure(found.lowest[i, j], prefer)} "
        f"at {_where(found, i, j, prefer)}, floor {_pressure(found.floor[i, j], prefer)}."
    ]


def _where(found: PressureMap, i: int, j: int, prefer: Preferences) -> str:
    oil = "" if found.oil_edges is None else f" on {oil_words(found, j, prefer)}"
    return speed_words(found, i, prefer) + oil.replace("on oil", "on oil of")


def _outside(found: PressureMap, i: int, j: int, prefer: Preferences) -> str:
    seconds = show(Quantity(float(found.seconds[i, j]), Kind.DURATION), prefer)
    parts = []
    for amount, way, line, read in (
        (found.below, "under its floor", found.floor, found.lowest),
        (found.above, "over its top line", found.top, found.highest),
    ):
        if amount[i, j] > 0:
            share = _share(float(amount[i, j] / found.seconds[i, j]))
            shown = "" if np.isnan(read[i, j]) else f": {_pressure(read[i, j], prefer)}"
            parts.append(
                f"{share} of {seconds} {way}{shown} against {_pressure(line[i, j], prefer)}"
            )
    return f"At {_where(found, i, j, prefer)}: {'; '.join(parts)}."
