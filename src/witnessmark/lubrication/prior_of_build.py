"""From a build sheet to a nominal oil system and how far each of its parameters may be off."""

import math
from dataclasses import dataclass

import numpy as np

from witnessmark.lubrication.circuit_of_build import (
    ROWS,
    VALVE_GEAR,
    CircuitOfBuild,
    circuit_of_build,
    feed_flows,
    row_conductance,
)
from witnessmark.lubrication.oil_of_build import OilOfBuild, oil_of_build
from witnessmark.lubrication.prior import Prior, Spread
from witnessmark.lubrication.refuse import refuse_no_pressure
from witnessmark.lubrication.system import OilSystem
from witnessmark.model.authority import Authority, SourceKind
from witnessmark.model.build import BuildSheet
from witnessmark.model.lubrication_book import (
    NINE_OF_TEN,
    LubricationBook,
    ends,
    log_sd,
    odds_sd,
    plain_sd,
    si,
)
from witnessmark.model.number import Number
from witnessmark.model.plan import Assumption
from witnessmark.units import Kind, Quantity, show


@dataclass(frozen=True)
class PriorOfBuild:
    """Prior, and everything that was assumed because the sheet does not say."""

    prior: Prior
    assumed: tuple[Assumption, ...]


def prior_of_build(sheet: BuildSheet, book: LubricationBook) -> PriorOfBuild:
    """What a build sheet says of its oil system before any gauge was read.

    Parameters
    ----------
    sheet, book : As circuit_of_build.

    Returns
    -------
    PriorOfBuild.

    Raises UserError for an oil or a circuit that cannot be, clearances of zero or less, and
    clearances so wide that pressure never builds at hot idle.
    """
    oil = oil_of_build(sheet, book)
    built = circuit_of_build(sheet, oil.oil, book)
    system = OilSystem(built.circuit, oil.oil, si(book.film.rise), sheet.layout.redline)
    if built.leak_measured or built.feeds_measured:  # else no number of the sheet is to blame
        refuse_no_pressure(sheet, system, book)
    prior = Prior(system, _spreads(sheet, book, oil, built))
    own = tuple(a for a in sheet.assumptions if a.path.startswith(_OF_OIL))
    told = {note.path for note in (*oil.assumed, *built.assumed)}
    kept = tuple(note for note in own if note.path not in told)
    return PriorOfBuild(prior, (*kept, *oil.assumed, *built.assumed))


_OF_OIL = ("oil_pump.", "oil.", *(f"{row}." for row in ROWS), "feeds", "layout.idle")


def _spreads(
    sheet: BuildSheet, book: LubricationBook, oil: OilOfBuild, built: CircuitOfBuild
) -> dict[str, Spread]:
    by = _Book(book)
    on_sheet = Authority(sheet.identity.shop or "build sheet", SourceKind.BUILD_SHEET)
    relief_known = not sheet.assumed("oil_pump.relief_pressure")
    climb_known = sheet.oil_pump.relief_gradient is not None
    pump = book.pump
    return {
        "leak": _leak(sheet, book, built, on_sheet),
        "feeds": _feeds(book, oil, built, on_sheet),
        "relief_opening": by(book.relief.measured, "relief pressure from the sheet")
        if relief_known
        else by(book.relief.assumed, "relief pressure only assumed"),
        "relief_gradient": by(book.relief.climb_measured, "relief gradient from the sheet")
        if climb_known
        else by(book.relief.climb, "relief gradient not measured"),
        "relief_drag": by(book.relief.drag, "relief valve's own friction with thick oil"),
        "relief_curtain": Spread(
            odds_sd(book.relief.curtain), "the relief valve's shape, not measured",
            book.relief.curtain.authority(book.owner),
        ),
        "slip": by(pump.slip, "pump slip, not measured"),
        "losses": Spread(
            math.hypot(log_sd(book.ways.passage_loss), log_sd(book.ways.behind_relief)),
            "losses between relief valve and gallery, not measured",
            book.ways.behind_relief.authority(book.owner),
        ),
        "film_rise": by(book.film.rise, "heat in the films, not measured"),
        "viscosity": Spread(oil.viscosity_sd, oil.made_of, _derived(book)),
        "pump": by(pump.measured, "pump displacement from the sheet")
        if built.pump_measured
        else by(pump.displacement, "pump displacement only assumed"),
        "sender_offset": Spread(
            plain_sd(book.sender.error), "sender and gauge",
            book.sender.error.authority(book.owner),
        ),
    }  # fmt: skip


class _Book:
    """Spreads straight from a number's range."""

    def __init__(self, book: LubricationBook) -> None:
        self._owner = book.owner

    def __call__(self, number: Number, made_of: str) -> Spread:
        return Spread(log_sd(number), made_of, number.authority(self._owner))


def _derived(book: LubricationBook) -> Authority:
    return Authority(book.owner, SourceKind.DERIVED)


def _leak(
    sheet: BuildSheet, book: LubricationBook, built: CircuitOfBuild, on_sheet: Authority
) -> Spread:
    """Leakage grows with the cube of the clearance, so thrice its relative error."""
    if not built.leak_measured:
        number = book.unmeasured.leak
        return Spread(log_sd(number), "clearances or pump only assumed",
                      number.authority(book.owner))  # fmt: skip
    of = book.bearings
    one = si(of.clearance_error) * 2 / NINE_OF_TEN
    common = si(of.clearance_bias) * 2 / NINE_OF_TEN
    kappas = np.array([float(np.asarray(leak.conductance)) for leak in built.circuit.leaks])
    shares, rows = kappas / kappas.sum(), [getattr(sheet, key) for key in ROWS]
    mean = np.array([np.mean(row.clearances) for row in rows])
    count = np.array([len(row.clearances) for row in rows])
    low, high = ends(of.eccentricity)
    swing = [math.log(row_conductance(row, book, high) / row_conductance(row, book, low))
             for row in rows]  # fmt: skip
    parts = {
        "each clearance": math.sqrt(float(np.sum((shares * 3 * one / mean) ** 2 / count))),
        "all clearances": float(np.sum(shares * 3 * common / mean)),
        "eccentricity": float(shares @ np.array(swing)) / NINE_OF_TEN,
        "what leaks besides": log_sd(of.beyond),
    }
    error = show(Quantity(si(of.clearance_error), Kind.CLEARANCE), sheet.prefer)
    made_of = (
        f"clearances as measured (±{error} each), how the journals run in them, and what leaks "
        f"besides; most of it {max(parts, key=lambda name: parts[name])}"
    )
    return Spread(math.sqrt(sum(part**2 for part in parts.values())), made_of, on_sheet)


def _feeds(
    book: LubricationBook, oil: OilOfBuild, built: CircuitOfBuild, on_sheet: Authority
) -> Spread:
    """Holes from the sheet are known well, what the valve gear takes hardly."""
    if not built.feeds_measured:
        number = book.unmeasured.feeds
        return Spread(log_sd(number), "feeds or pump not on the sheet",
                      number.authority(book.owner))  # fmt: skip
    holes = built.circuit.orifices
    flows = np.array(feed_flows(holes, oil.oil, book))
    shares = flows / flows.sum()
    gear = np.array([hole.name == VALVE_GEAR for hole in holes])
    guessed = float(shares[gear].sum()) * 2 * log_sd(book.feeds.valve_gear)  # area: square
    drilled = float(shares[~gear].sum()) * log_sd(book.feeds.drilled)
    return Spread(math.hypot(guessed, drilled), "feeds from the sheet, and what the valve gear "
                  "takes besides", on_sheet)  # fmt: skip
