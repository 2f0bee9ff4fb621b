"""The oil a build sheet names: by its data sheet, or by its grade and what such oils are like."""

import math
from dataclasses import dataclass

from witnessmark.errors import UserError
from witnessmark.model.build import BuildSheet
from witnessmark.model.lubrication_book import (
    NINE_OF_TEN,
    LubricationBook,
    ends,
    log_sd,
    plain_sd,
    si,
)
from witnessmark.model.number import Number
from witnessmark.model.plan import Assumption
from witnessmark.model.said import Said
from witnessmark.physics.oil.grades import GradeLimits, limits
from witnessmark.physics.oil.index import kv40_of_index
from witnessmark.physics.oil.oil import Oil, oil_from_data
from witnessmark.physics.oil.viscosity import ZERO_CELSIUS
from witnessmark.units import Kind, Quantity

WARM = ZERO_CELSIUS + 90.0  # K; where the errors of index and thermometer are turned into one
_STEP = 0.5  # K; for the slope of viscosity there


@dataclass(frozen=True)
class OilOfBuild:
    """Nominal oil, standard deviation of the logarithm of its viscosity, what that is made of.

    `assumed` is what the sheet does not say and what stands in its place; `index` the number of
    the book the viscosity index was taken from, None where both viscosities are given.
    """

    oil: Oil
    viscosity_sd: float
    made_of: str
    assumed: tuple[Assumption, ...]
    index: Number | None


def oil_of_build(sheet: BuildSheet, book: LubricationBook) -> OilOfBuild:
    """The run-in oil of a build sheet.

    Parameters
    ----------
    sheet : Its [oil]: kv40, kv100, hths and density where given, else the grade.
    book : What such oils are like.

    Returns
    -------
    OilOfBuild.

    Raises UserError for an unknown grade, a single viscosity without a grade, a winter grade
    alone, or numbers no oil can have.
    """
    try:
        return _oil(sheet, book)
    except ValueError as error:
        raise UserError(
            "oil", str(error), "an oil that can exist is wanted",
            "Give kv40 and kv100 off its data sheet, or its grade alone",
        ) from None  # fmt: skip


def _oil(sheet: BuildSheet, book: LubricationBook) -> OilOfBuild:
    said = sheet.oil
    grade = limits(said.grade) if said.grade else None
    notes: list[Assumption] = []
    kv40, kv100, index = said.kv40, said.kv100, None
    of_data = log_sd(book.oil.data_sheet)
    hot_sd = of_data
    if kv100 is None:
        kv100, hot_sd = _middle_of(grade)
        why = f"the middle of what SAE J300 allows a {_named(grade)}"
        notes.append(_note("oil.kv100", kv100, Kind.KINEMATIC_VISCOSITY, why))
    if kv40 is None:
        winter, index = _index(grade, book)
        kv40 = float(kv40_of_index(kv100, si(index)))
        why = f"from a viscosity index of {index.value}, as oils of {winter} have ({index.source})"
        notes.append(_note("oil.kv40", kv40, Kind.KINEMATIC_VISCOSITY, why))
    density = said.density
    if density is None:
        density = si(book.oil.density)
        notes.append(_note("oil.density", density, Kind.DENSITY, book.oil.density.why))
    oil = oil_from_data(kv40, kv100, density)
    oil = oil_from_data(kv40, kv100, density, _thinned(said.hths, grade, oil, notes))
    parts = {
        "grade" if said.kv100 is None else "data sheet": hot_sd,
        "viscosity index": _of_index(kv100, index, density),
        "thermometer": _of_thermometer(oil, book),
    }
    largest = max(parts, key=lambda name: parts[name])
    known = f"oil by its {'grade' if said.kv100 is None else 'data sheet'}"
    made_of = f"{known}, thermometer; most of it {largest}"
    sd = math.sqrt(sum(part**2 for part in parts.values()))
    return OilOfBuild(oil, sd, made_of, tuple(notes), index)


def _middle_of(grade: GradeLimits | None) -> tuple[float, float]:
    """Viscosity at 100 °C in the middle of a grade, and the spread of its logarithm."""
    if grade is None:
        raise _no_grade()
    if grade.kv100_max is None:
        raise UserError(
            "oil.grade", f"'{grade.name}' says only how the oil is in the cold",
            "the grade with its hot half, or kv40 and kv100, is wanted",
            f"Write it as grade = \"{grade.name}-40\", with the number on the can",
        )  # fmt: skip
    least, most = grade.kv100_min, grade.kv100_max
    return math.sqrt(least * most), math.log(most / least) / NINE_OF_TEN


def _no_grade() -> UserError:
    return UserError(
        "oil", "a single viscosity and no grade",
        "the grade, or both kv40 and kv100, is wanted", 'Write it as grade = "15W-40", under [oil]',
    )  # fmt: skip


def _named(grade: GradeLimits | None) -> str:
    return grade.name if grade else "grade"


def _index(grade: GradeLimits | None, book: LubricationBook) -> tuple[str, Number]:
    if grade is None:
        raise _no_grade()
    winter = grade.name.partition("-")[0]
    if winter not in book.oil.index:
        return f"single grade {grade.name}", book.oil.index["none"]
    return grade.name, book.oil.index[winter]


def _thinned(
    given: float | None, grade: GradeLimits | None, oil: Oil, notes: list[Assumption]
) -> float | None:
    """HTHS of the sheet, else the least of the grade where the oil at rest is thicker."""
    if given is not None or grade is None or grade.hths_min is None:
        return given
    if float(oil.dynamic(ZERO_CELSIUS + 150.0)) <= grade.hths_min:
        return None
    why = f"the least that SAE J300 allows a {grade.name}"
    notes.append(_note("oil.hths", grade.hths_min, Kind.DYNAMIC_VISCOSITY, why))
    return grade.hths_min


def _of_index(kv100: float, index: Number | None, density: float) -> float:
    """Spread of the logarithm of warm viscosity that comes from not knowing the index."""
    if index is None:
        return 0.0
    low, high = ends(index)
    thin, thick = (
        float(oil_from_data(kv40_of_index(kv100, each), kv100, density).kinematic(WARM))
        for each in (high, low)
    )
    return math.log(thick / thin) / NINE_OF_TEN


def _of_thermometer(oil: Oil, book: LubricationBook) -> float:
    """Spread of the logarithm of warm viscosity that comes from where the oil is measured."""
    cool, warm = (float(oil.kinematic(WARM + step)) for step in (-_STEP, _STEP))
    return math.log(cool / warm) / (2 * _STEP) * plain_sd(book.oil.thermometer)


def _note(path: str, value: float, kind: Kind, why: str) -> Assumption:
    titles = {
        "oil.kv100": "viscosity at 100 °C", "oil.kv40": "viscosity at 40 °C",
        "oil.density": "density at 15 °C", "oil.hths": "HTHS viscosity",
    }  # fmt: skip
    text = f"{titles[path]}: not said; {{value}} assumed"
    return Assumption(path, Said(text, {"value": Quantity(value, kind)}), why)
