"""The pressure this engine should show, and whether a reading is it."""

from dataclasses import dataclass

from witnessmark.errors import UserError
from witnessmark.jobs.book import open_book
from witnessmark.jobs.film_book import film_book
from witnessmark.jobs.lubrication_book import lubrication_book, lubrication_hash
from witnessmark.lubrication.band import (
    NO_SCATTER,
    SAMPLES,
    Scatter,
    Shown,
    Told,
    drawn_builds,
    grid_of_build,
    pressure_band,
    pressure_table,
)
from witnessmark.lubrication.prior import Prior
from witnessmark.lubrication.prior_of_build import prior_of_build
from witnessmark.model.authority import Authority, SourceKind
from witnessmark.model.build import BuildSheet
from witnessmark.model.expected_pressure import PressureTable
from witnessmark.model.log import Floats
from witnessmark.model.lubrication_book import si
from witnessmark.model.plan import Limit
from witnessmark.model.pressure_band import Judged, PressureBand
from witnessmark.units import Kind, Preferences, parse, pressure_reference

FROM_SHEET = "from the build sheet alone"


@dataclass(frozen=True)
class Known:
    """An engine whose logs are known: its prior, the builds that fit them, and in words what
    they rest on ("calibrated on 2 logs of this engine").

    `builds`: standard normals of the prior's spreads, (m, parameters). `scatter`: what its
    readings miss the fit by.
    """

    prior: Prior
    builds: Floats
    basis: str
    scatter: Scatter = NO_SCATTER


@dataclass(frozen=True)
class EngineBand:
    """A band with the engine it belongs to; `rule` the rule of thumb shown beside it."""

    serial: str
    engine: str
    oil: str
    build_sha256: str
    prefer: Preferences
    idle: float  # rev/s
    band: PressureBand
    rule: Limit  # pressure for each 1,000 rpm
    spreads: tuple[tuple[str, str, Authority], ...]  # parameter, what its spread is made of, who


@dataclass(frozen=True)
class Reading:
    """One look at the gauge, SI."""

    pressure: float
    speed: float
    temperature: float


def make_band(sheet: BuildSheet, known: Known | None = None) -> EngineBand:
    """The pressure band of an engine.

    Parameters
    ----------
    sheet : What was built.
    known : What its own logs have taught; the build sheet alone if None.

    Returns
    -------
    EngineBand.

    Raises UserError for an oil, a pump or clearances that no pressure can be foretold from.
    """
    work = _work(sheet, known)
    band = pressure_band(
        work.prior, work.builds, grid_of_build(sheet, lubrication_book()), work.told, work.scatter
    )
    oil = sheet.slot("oil.grade")
    return EngineBand(
        sheet.identity.serial, sheet.describe(), oil if isinstance(oil, str) else "",
        sheet.sha256, sheet.prefer, sheet.layout.idle_speed, band, _rule(),
        tuple((name, one.made_of, one.authority) for name, one in work.prior.spreads.items()),
    )  # fmt: skip


def make_table(sheet: BuildSheet, known: Known | None = None) -> PressureTable:
    """The same as `make_band`, as light as a plan can carry it. Raises UserError as it does."""
    work = _work(sheet, known)
    oils = film_book().map
    shown = Shown(sheet.layout.idle_speed, (si(oils.cold), si(oils.warm), si(oils.hot)))
    every = max(1, len(work.builds) // SAMPLES)  # a cloud has thousands, and they walk in step
    return pressure_table(
        work.prior, work.builds[::every], grid_of_build(sheet, lubrication_book(), coarse=True),
        work.told, shown, lubrication_hash(), work.scatter,
    )  # fmt: skip


@dataclass(frozen=True)
class _Work:
    """What a band is worked out from."""

    prior: Prior
    builds: Floats
    told: Told
    scatter: Scatter


def _work(sheet: BuildSheet, known: Known | None) -> _Work:
    book = lubrication_book()
    built = prior_of_build(sheet, book)
    of = f" of {sheet.identity.shop}" if sheet.identity.shop else ""
    cite = f"build sheet{of}, book/lubrication.toml"
    if known is None:
        told = Told(FROM_SHEET, Authority(book.owner, SourceKind.DERIVED, cite), built.assumed)
        return _Work(built.prior, drawn_builds(), told, NO_SCATTER)
    who = Authority(book.owner, SourceKind.DERIVED, f"{known.basis}, {cite}")
    told = Told(known.basis, who, built.assumed, "readings of this engine as it was then")
    return _Work(known.prior, known.builds, told, known.scatter)


def judge_reading(made: EngineBand, reading: Reading) -> Judged:
    """What one look at the gauge says; see PressureBand.judge."""
    return made.band.judge(reading.pressure, reading.speed, reading.temperature)


def read_reading(
    pressure: str | None, speed: str | None, temperature: str | None,
    names: tuple[str, str, str] = ("--reading", "--rpm", "--oil-temp"),
) -> Reading | None:  # fmt: skip
    """A reading as people type it: "80psi", "900", "95C"; None if nothing was typed at all.

    `names`: what the face calls the three. Raises UserError for one that is missing or unreadable.
    """
    typed = [text.strip() if text else "" for text in (pressure, speed, temperature)]
    if not any(typed):
        return None
    missing = [name for name, text in zip(names, typed, strict=True) if not text]
    if missing:
        raise UserError(
            " and ".join(missing), "nothing is given",
            f"{names[0]}, {names[1]} and {names[2]} belong together",
            "Give all three: pressure, engine speed and oil temperature of the same moment",
        )  # fmt: skip
    if pressure_reference(typed[0]) is Kind.ABSOLUTE_PRESSURE:
        raise UserError(
            names[0], f"'{typed[0]}' is an absolute pressure", "what the gauge shows is wanted",
            "Take the air pressure off it and give it as '80 psi'",
        )  # fmt: skip
    bare = typed[1].replace(".", "", 1).isdecimal()
    return Reading(
        parse(typed[0], Kind.PRESSURE, names[0]).value,
        parse(f"{typed[1]} rpm" if bare else typed[1], Kind.ROTATIONAL_SPEED, names[1]).value,
        parse(typed[2], Kind.TEMPERATURE, names[2]).value,
    )


def _rule() -> Limit:
    judging = open_book().shared.judging
    number = judging.judging["floor_per_1000rpm"]
    value, low, high = number.quantities()
    return Limit(value, low, high, number.why, number.authority(judging.owner))
