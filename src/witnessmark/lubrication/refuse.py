"""Build sheets that describe no engine whose oil pressure could be foretold."""

from collections.abc import Iterator

import numpy as np

from witnessmark.errors import UserError, UserErrors
from witnessmark.lubrication.system import OilSystem
from witnessmark.model.build import BuildSheet
from witnessmark.model.lubrication_book import LubricationBook, si
from witnessmark.units import Kind, Quantity, show

_ROWS = ("main_bearings", "rod_bearings", "cam_bearings")
_WEIGHED_AT = 1e5  # Pa; where flows are compared to name the thirstiest


def refuse_clearances(sheet: BuildSheet, book: LubricationBook) -> None:
    """Refuse a sheet with a clearance of zero or less. Raises UserErrors, one a journal."""
    faults = list(_impossible(sheet, book))
    if faults:
        raise UserErrors(faults)


def _impossible(sheet: BuildSheet, book: LubricationBook) -> Iterator[UserError]:
    for key in _ROWS:
        row = getattr(sheet, key)
        for i, clearance in enumerate(row.clearances, 1):
            if clearance <= 0:
                shown = show(Quantity(clearance, Kind.CLEARANCE), sheet.prefer)
                usual = _usual(row.journal_diameter, sheet, book)
                yield UserError(
                    f"{key}.clearances[{i}]", f"{shown}: no oil fits in it",
                    "a clearance above zero, on the diameter, is wanted",
                    f"Measure again; {usual} is the trade's nominal for this journal",
                )  # fmt: skip


def _usual(journal: float, sheet: BuildSheet, book: LubricationBook) -> str:
    return show(Quantity(si(book.bearings.usual) * journal, Kind.CLEARANCE), sheet.prefer)


def refuse_no_pressure(sheet: BuildSheet, system: OilSystem, book: LubricationBook) -> None:
    """Refuse a sheet by which pressure never builds at hot idle, and name what takes the oil.

    Raises UserError.
    """
    idle, hot = sheet.layout.idle_speed, si(book.band.hot_oil)
    pressure, least = float(system.gauge(idle, hot)), si(book.band.least_hot_idle)
    if pressure >= least:
        return
    prefer = sheet.prefer
    found, built, at, on = (
        show(quantity, prefer)
        for quantity in (
            Quantity(pressure, Kind.PRESSURE), Quantity(least, Kind.PRESSURE),
            Quantity(idle, Kind.ROTATIONAL_SPEED), Quantity(hot, Kind.TEMPERATURE),
        )
    )  # fmt: skip
    where, what, remedy = _thirstiest(sheet, system, book)
    raise UserError(
        where, f"{what}: oil pressure never builds, {found} at {at} on oil of {on}",
        f"at least {built} there is wanted", remedy,
    )  # fmt: skip


def _thirstiest(
    sheet: BuildSheet, system: OilSystem, book: LubricationBook
) -> tuple[str, str, str]:
    """Place in the sheet, what stands there, what to do about it."""
    idle, hot = sheet.layout.idle_speed, si(book.band.hot_oil)
    flows: dict[str, float] = {}
    for leak, key in zip(system.circuit.leaks, _ROWS, strict=True):
        flows[key] = float(leak.conductance) * _WEIGHED_AT / float(system.oil.dynamic(hot))
    velocity = float(np.sqrt(2 * _WEIGHED_AT / system.oil.density(hot)))
    for hole in system.circuit.orifices:
        flows[hole.name] = float(hole.area * hole.count) * velocity if hole.opening == 0 else 0.0
    most = max(flows, key=lambda name: flows[name])
    made = float(system.circuit.pump_displacement * system.circuit.drive_ratio) * idle
    prefer = sheet.prefer
    if flows[most] < 0.3 * made:
        pump = Quantity(float(system.circuit.pump_displacement), Kind.DISPLACEMENT)
        return ("oil_pump.displacement", show(pump, prefer),
                "Look at displacement and drive_ratio, and at their units")  # fmt: skip
    if most not in _ROWS:
        return "feeds", most, "Look at the diameters of the feeds, and at their units"
    row = getattr(sheet, most)
    largest = int(np.argmax(row.clearances))
    shown = show(Quantity(row.clearances[largest], Kind.CLEARANCE), prefer)
    usual = _usual(row.journal_diameter, sheet, book)
    return (
        f"{most}.clearances[{largest + 1}]", f"{shown} on the diameter",
        f"Measure again and look at the unit; {usual} is the trade's nominal for this journal",
    )  # fmt: skip
