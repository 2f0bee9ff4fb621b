"""The oil circuit a build sheet describes: pump, relief, filter, every bearing, every feed."""

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from witnessmark.errors import UserError
from witnessmark.lubrication.refuse import refuse_clearances
from witnessmark.model.build import BuildSheet
from witnessmark.model.build_sheet.sections import Bearings
from witnessmark.model.lubrication_book import LubricationBook, si
from witnessmark.model.plan import Assumption
from witnessmark.model.said import Said
from witnessmark.physics.bearing.feed import leak_conductance
from witnessmark.physics.circuit.circuit import Circuit
from witnessmark.physics.circuit.leak import Leak, feed_head
from witnessmark.physics.circuit.orifice import Orifice, orifice_flow
from witnessmark.physics.oil.oil import Oil
from witnessmark.units import Kind, Quantity

ROWS = {
    "main_bearings": "main bearings",
    "rod_bearings": "rod bearings",
    "cam_bearings": "cam bearings",
}
VALVE_GEAR = "valve gear"
_ARCS = {"none": 0.0, "upper half": math.pi, "full": 2 * math.pi}
_AREA = math.pi / 4


@dataclass(frozen=True)
class CircuitOfBuild:
    """Nominal circuit, and what of it rests on measurement.

    `leak_measured`, `feeds_measured`: False where the flow was set as a share of the rated pump
    flow. `rated_flow`: what the pump displaces at the redline [m³/s]. `assumed`: said to the user.
    """

    circuit: Circuit
    rated_flow: float
    pump_measured: bool
    leak_measured: bool
    feeds_measured: bool
    assumed: tuple[Assumption, ...]


def circuit_of_build(sheet: BuildSheet, oil: Oil, book: LubricationBook) -> CircuitOfBuild:
    """The circuit of a build sheet with nominal values.

    Parameters
    ----------
    sheet : Every journal's own clearance counts, halved: the sheet gives it on the diameter.
    oil : The oil in it, for the losses that go with density.
    book : What the sheet does not say.

    Returns
    -------
    CircuitOfBuild.

    Raises UserErrors for every clearance that is zero or less.

    Limits: one gallery for all; no drain-back; the restrictor before a cylinder head is left out,
    its bearings let through far less; of an engine's clearances only the cold ones are known.
    """
    refuse_clearances(sheet, book)
    notes: list[Assumption] = []
    pump, measured = _pump(sheet, book, notes)
    rated = pump * sheet.oil_pump.drive_ratio * sheet.layout.redline
    leaks = tuple(_leak(sheet, key, book) for key in ROWS)
    leak_measured = measured and not any(
        sheet.assumed(f"{key}.clearances") for key in ("main_bearings", "rod_bearings")
    )
    if not leak_measured:
        leaks = _leaks_by_share(leaks, rated, book)
        notes.append(_share_note("main_bearings.clearances", book.unmeasured.leak, "bearings leak"))
    orifices, named = _feeds(sheet, book, notes)
    feeds_measured = measured and named
    if not feeds_measured:
        orifices = _feeds_by_share(orifices, rated, oil, book)
        notes.append(_share_note("feeds", book.unmeasured.feeds, "jets and feed holes take"))
    circuit = Circuit(
        pump_displacement=pump, drive_ratio=sheet.oil_pump.drive_ratio,
        slip=_slip(pump, book),
        relief_opening=sheet.oil_pump.relief_pressure,
        relief_gradient=_gradient(sheet, rated, book, notes),
        relief_drag=si(book.relief.drag), relief_curtain=si(book.relief.curtain),
        leaks=leaks, orifices=orifices, **_losses(oil, rated, book),
    )  # fmt: skip
    return CircuitOfBuild(circuit, rated, measured, leak_measured, feeds_measured, tuple(notes))


def row_conductance(row: Bearings, book: LubricationBook, eccentricity: float) -> float:
    """Conductance of all bearings of a row at one running eccentricity. [m³]

    Raises ValueError for sizes no bearing has.
    """
    clearances = np.array(row.clearances) / 2
    each = leak_conductance(
        clearances, eccentricity, diameter=row.journal_diameter, length=row.length,
        groove=si(book.bearings.groove_width) * row.length, groove_arc=_ARCS[row.groove],
        hole=si(book.bearings.hole) * row.journal_diameter,
    )  # fmt: skip
    return float(np.sum(each))


def _pump(sheet: BuildSheet, book: LubricationBook, notes: list[Assumption]) -> tuple[float, bool]:
    """Displacement a turn of the pump, and whether it was measured."""
    given = sheet.oil_pump.displacement
    if given is not None:
        return given, True
    number = book.pump.displacement
    taken = si(number) * sheet.displacement / sheet.oil_pump.drive_ratio
    said = Said(
        "oil pump displacement: not said; {value} assumed, so pressure is known only roughly",
        {"value": Quantity(taken, Kind.DISPLACEMENT)},
    )
    notes.append(Assumption("oil_pump.displacement", said, f"{number.why} ({number.source})"))
    return taken, False


def _leak(sheet: BuildSheet, key: str, book: LubricationBook) -> Leak:
    row: Bearings = getattr(sheet, key)
    try:
        kappa = row_conductance(row, book, si(book.bearings.eccentricity))
    except ValueError as error:
        raise UserError(
            key, str(error), "sizes a bearing can have are wanted",
            "Look at journal_diameter and length, and at their units",
        ) from None  # fmt: skip
    head = 0.0
    if key == "rod_bearings":  # fed through the crank, from the mains out to the pins
        head = float(feed_head(sheet.layout.stroke / 2, sheet.main_bearings.journal_diameter / 2))
    return Leak(kappa * si(book.bearings.beyond), head, ROWS[key])


def _leaks_by_share(
    leaks: tuple[Leak, ...], rated: float, book: LubricationBook
) -> tuple[Leak, ...]:
    terms = book.unmeasured
    wanted = si(terms.leak) * rated * si(terms.viscosity) / si(terms.pressure)
    factor = wanted / sum(float(leak.conductance) for leak in leaks)
    return tuple(replace(leak, conductance=leak.conductance * factor) for leak in leaks)


def _feeds(
    sheet: BuildSheet, book: LubricationBook, notes: list[Assumption]
) -> tuple[tuple[Orifice, ...], bool]:
    """Every hole and jet, and whether the sheet names any."""
    given, ratio = sheet.feeds, si(book.feeds.bore_length)
    holes: list[Orifice] = []
    if given.piston_jets is not None:
        jets = given.piston_jets
        opening = jets.opening_pressure
        if opening is None:
            opening = si(book.feeds.jet_opening)
            said = Said("jet opening pressure: not said; {value} assumed",
                        {"value": Quantity(opening, Kind.PRESSURE)})  # fmt: skip
            path = "feeds.piston_jets.opening_pressure"
            notes.append(Assumption(path, said, book.feeds.jet_opening.why))
        area = _AREA * jets.diameter**2
        holes.append(Orifice(area, ratio, float(jets.count), opening, "piston jets"))
    if given.turbo is not None:
        holes.append(Orifice(_AREA * given.turbo**2, ratio, name="turbo"))
    holes += [Orifice(_AREA * one.diameter**2, ratio, name=one.name) for one in given.other]
    named = bool(holes)
    if given.turbo is None and sheet.induction.kind == "turbocharged":
        taken = si(book.feeds.turbo)
        holes.append(Orifice(_AREA * taken**2, ratio, name="turbo"))
        said = Said("turbo feed restrictor: not said; {value} assumed",
                    {"value": Quantity(taken, Kind.LENGTH)})  # fmt: skip
        notes.append(Assumption("feeds.turbo", said, book.feeds.turbo.why))
    heads = 1.0 if sheet.layout.arrangement == "inline" else 2.0
    gear = _AREA * si(book.feeds.valve_gear) ** 2
    holes.append(Orifice(gear, ratio, heads, name=VALVE_GEAR))
    return tuple(holes), named


def _feeds_by_share(
    holes: tuple[Orifice, ...], rated: float, oil: Oil, book: LubricationBook
) -> tuple[Orifice, ...]:
    terms = book.unmeasured
    wanted = si(terms.feeds) * rated
    for _ in range(20):  # flow goes with area but for Reynolds' number: settles in a few turns
        taken = sum(float(f) for f in feed_flows(holes, oil, book))
        factor = wanted / taken
        holes = tuple(replace(hole, area=hole.area * factor) for hole in holes)
    return holes


def feed_flows(holes: tuple[Orifice, ...], oil: Oil, book: LubricationBook) -> tuple[float, ...]:
    """Flow of each kind of feed at the pressure and viscosity feeds are weighed at. [m³/s]"""
    p, mu = si(book.unmeasured.pressure), si(book.unmeasured.viscosity)
    density = float(np.asarray(oil.density_15))
    return tuple(float(orifice_flow(hole, p, mu, density)) for hole in holes)


def _slip(pump: float, book: LubricationBook) -> float:
    of = book.pump
    gone = si(of.slip) * pump * si(of.slip_speed)
    return gone * si(of.slip_viscosity) / si(of.slip_pressure)


def _gradient(
    sheet: BuildSheet, rated: float, book: LubricationBook, notes: list[Assumption]
) -> float:
    given = sheet.oil_pump.relief_gradient
    if given is not None:
        return given
    number = book.relief.climb
    taken = si(number) * sheet.oil_pump.relief_pressure / rated
    said = Said("relief gradient: not measured; {value} taken as nominal",
                {"value": Quantity(taken, Kind.PRESSURE_PER_FLOW)})  # fmt: skip
    notes.append(Assumption("oil_pump.relief_gradient", said, f"{number.why} ({number.source})"))
    return taken


def _losses(oil: Oil, rated: float, book: LubricationBook) -> dict[str, Any]:
    """a and b of filter and passages, Δp = a µ Q + b ρ Q², and the bypass: what of them counts.

    Pressure lost before the relief valve's own place costs the gallery nothing.
    """
    ways, density = book.ways, float(np.asarray(oil.density_15))
    viscosity, behind = si(ways.filter_viscosity), si(ways.behind_relief)
    losses: dict[str, Any] = {
        "bypass_opening": behind * si(ways.bypass_opening),
        "bypass_gradient": behind * si(ways.bypass_climb) / rated,
    }
    for name, loss, flow, share in (
        ("filter", ways.filter_loss, si(ways.filter_flow) * rated, ways.filter_laminar),
        ("passage", ways.passage_loss, rated, ways.passage_laminar),
    ):
        lost = behind * si(loss)
        losses[f"{name}_laminar"] = si(share) * lost / (viscosity * flow)
        losses[f"{name}_turbulent"] = (1 - si(share)) * lost / (density * flow**2)
    return losses


def _share_note(path: str, number: Any, what: str) -> Assumption:
    said = Said(f"{what}: not known; {{value}} of the rated pump flow assumed",
                {"value": Quantity(si(number), Kind.FRACTION)})  # fmt: skip
    return Assumption(path, said, f"{number.why} ({number.source})")
