"""The crank train a build sheet describes: cylinder, weights, burn, and every bearing's film."""

from dataclasses import dataclass

from witnessmark.errors import UserError, UserErrors
from witnessmark.lubrication.gas_of_build import GasOfBuild, gas_of_build
from witnessmark.lubrication.layout_of_build import layout_of_build
from witnessmark.lubrication.refuse import refuse_clearances
from witnessmark.model.build import BuildSheet
from witnessmark.model.build_sheet.sections import Bearings
from witnessmark.model.film_book import FilmBook, Weights
from witnessmark.model.lubrication_book import LubricationBook, si
from witnessmark.model.plan import Assumption
from witnessmark.model.said import Said
from witnessmark.physics.bearing.axes import LONGEST_MOBILE, SHORTEST
from witnessmark.physics.crank.layout import Layout
from witnessmark.physics.crank.loads import Masses
from witnessmark.physics.crank.motion import Cylinder
from witnessmark.units import Kind, Quantity

_TOLD = ("main_bearings.", "rod_bearings.", "layout.rod", "layout.idle")


@dataclass(frozen=True)
class Shell:
    """A bearing as its film sees it: diameter, length of one land, radial clearance. [m]

    `lands`: 2 where a full groove parts it, each then carrying half. `load`: which of the loads
    of its row it carries. `measured`: whether its clearance was.
    """

    row: str
    number: int
    diameter: float
    length: float
    clearance: float
    lands: int
    load: int
    measured: bool

    @property
    def name(self) -> str:
        """As a technician calls it: "rod bearing 3"."""
        return f"{self.row} {self.number}"


@dataclass(frozen=True)
class CrankTrain:
    """Everything the films are worked out from.

    rods : Every rod carries alike, so the tightest and the widest stand for all between them.
    mains : All of them; none where `mains_missing` says why.
    """

    cylinder: Cylinder
    masses: Masses
    gas: GasOfBuild
    layout: Layout | None
    rods: tuple[Shell, ...]
    mains: tuple[Shell, ...]
    mains_missing: str
    assumed: tuple[Assumption, ...]

    @property
    def shells(self) -> tuple[Shell, ...]:
        """Rods first, then mains: the order of every table of films."""
        return self.rods + self.mains


def crank_of_build(sheet: BuildSheet, book: FilmBook, circuit: LubricationBook) -> CrankTrain:
    """The crank train of a build sheet.

    Parameters
    ----------
    sheet : Sizes and clearances as measured, on the diameter.
    book, circuit : What the sheet does not say; of `circuit` the width of a groove.

    Returns
    -------
    CrankTrain. Mains are left out, and the reason said, where the sheet does not tell how their
    load comes about.

    Raises UserErrors for clearances of zero or less, bearings too short or too long for any film
    we have, and a cylinder that cannot turn over.

    Limits: weights go with a power of the bore; all cylinders alike; an upper-half groove is
    taken for a plain shell.
    """
    refuse_clearances(sheet, circuit)
    groove = si(circuit.bearings.groove_width)
    rows = ("rod_bearings", "main_bearings")
    faults = [fault for key in rows for fault in _misshapen(sheet, key, groove)]
    if faults:
        raise UserErrors(faults)
    notes: list[Assumption] = []
    layout = layout_of_build(sheet)
    known, missing = (None, layout) if isinstance(layout, str) else (layout, "")
    cylinder = _cylinder(sheet, book, notes)
    masses = _masses(sheet, book, notes)
    rods = _row(sheet, "rod_bearings", "rod bearing", groove)
    ends = {min(rods, key=_clearance): None, max(rods, key=_clearance): None}
    mains = () if missing else _row(sheet, "main_bearings", "main bearing", groove)
    if known and sheet.layout.arrangement != "inline":
        notes.append(_numbered(sheet))
    kept = tuple(a for a in sheet.assumptions if a.path.startswith(_TOLD))
    return CrankTrain(
        cylinder, masses, gas_of_build(sheet, book), known,
        tuple(ends), mains, missing, (*kept, *notes),
    )  # fmt: skip


def weights_of(sheet: BuildSheet, book: FilmBook) -> Weights:
    """The weights of the book that fit this engine's pistons."""
    if sheet.fuel.kind == "diesel":
        return book.masses.diesel
    return book.masses.forged if sheet.bores.pistons == "forged" else book.masses.cast


def scale_of(sheet: BuildSheet, book: FilmBook) -> float:
    """Weights of this engine over those of the book. [-]"""
    return float((sheet.layout.bore / si(book.masses.bore)) ** si(book.masses.power))


def _clearance(shell: Shell) -> float:
    return shell.clearance


def _row(sheet: BuildSheet, key: str, name: str, groove: float) -> tuple[Shell, ...]:
    row: Bearings = getattr(sheet, key)
    lands = 2 if row.groove == "full" else 1
    length = row.length * (1 - groove) / 2 if lands == 2 else row.length
    measured = not sheet.assumed(f"{key}.clearances")
    return tuple(
        Shell(name, i + 1, row.journal_diameter, length, clearance / 2, lands,
              i if key == "main_bearings" else 0, measured)
        for i, clearance in enumerate(row.clearances)
    )  # fmt: skip


def _misshapen(sheet: BuildSheet, key: str, groove: float) -> list[UserError]:
    row: Bearings = getattr(sheet, key)
    over = row.length / _row(sheet, key, "", groove)[0].length  # of the whole over one land
    ratio = row.length / row.journal_diameter
    if SHORTEST <= ratio / over <= LONGEST_MOBILE:
        return []
    return [
        UserError(
            f"{key}.length", f"it is {ratio:.2g} times the journal's diameter",
            f"{SHORTEST * over:.2g} to {LONGEST_MOBILE * over:.2g} times is wanted",
            "Look at length and journal_diameter, and at their units",
        )
    ]  # fmt: skip


def _cylinder(sheet: BuildSheet, book: FilmBook, notes: list[Assumption]) -> Cylinder:
    said = sheet.layout
    ratio = said.compression_ratio
    if ratio is None:
        gas = book.gas
        by = gas.compression_boosted if sheet.boosted else gas.compression_petrol
        by = gas.compression_diesel if sheet.fuel.kind == "diesel" else by
        ratio = si(by)
        text = Said("compression ratio: not said; {value} assumed",
                    {"value": Quantity(ratio, Kind.RATIO)})  # fmt: skip
        notes.append(Assumption("layout.compression_ratio", text, f"{by.why} ({by.source})"))
    try:
        return Cylinder(said.bore, said.stroke, said.rod_length, ratio)
    except ValueError as error:
        raise UserError(
            "layout", str(error), "a cylinder that can turn over is wanted",
            "Look at bore, stroke, rod_length and compression_ratio, and at their units",
        ) from None  # fmt: skip


def _masses(sheet: BuildSheet, book: FilmBook, notes: list[Assumption]) -> Masses:
    weights, size, parts = weights_of(sheet, book), scale_of(sheet, book), book.masses
    up_and_down, round_ = si(weights.reciprocating) * size, si(weights.rotating) * size
    text = Said(
        "weights of piston and rod: not on any sheet; {piston} goes up and down in each cylinder, "
        "{rod} goes round with the pin, {counter} of what turns is balanced",
        {
            "piston": f"{up_and_down:.2f} kg", "rod": f"{round_:.2f} kg",
            "counter": Quantity(si(parts.counterweight), Kind.FRACTION),
        },
    )  # fmt: skip
    why = f"{weights.reciprocating.why} ({weights.reciprocating.source})"
    notes.append(Assumption("weights", text, why))
    throw = si(parts.throw) * size * sheet.layout.stroke / 2
    return Masses(up_and_down, round_, throw, si(parts.counterweight))


def _numbered(sheet: BuildSheet) -> Assumption:
    said = sheet.layout
    vee = f"crank pins shared, V angle {720 / said.cylinders:g}°"
    text = f"cylinders numbered as firing order {'-'.join(map(str, said.firing_order))} asks"
    return Assumption(
        "layout.firing_order",
        Said(f"{text}; {vee}" if said.arrangement == "V" else text),
        "the way of numbering, and of the crank, that this firing order fits",
    )
