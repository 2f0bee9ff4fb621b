"""The grades of SAE J300 and what each promises."""

import re
from dataclasses import dataclass

from witnessmark.physics.oil.viscosity import ZERO_CELSIUS


@dataclass(frozen=True)
class ColdLimit:
    """No thicker than `viscosity` [Pa s] at `temperature` [K]."""

    viscosity: float
    temperature: float


@dataclass(frozen=True)
class GradeLimits:
    """What an oil of a grade keeps.

    Attributes
    ----------
    name : The grade as J300 writes it.
    kv100_min : Viscosity at 100 °C, at least this. [m²/s]
    kv100_max : Viscosity at 100 °C, under this; None where J300 sets none. [m²/s]
    hths_min : Viscosity at 150 °C and 1e6 1/s, at least this; None where J300 sets none. [Pa s]
    cranking : Limit of ASTM D5293, high shear; None for a grade without W.
    pumping : Limit of ASTM D4684, low shear, no yield stress; None for a grade without W.
    """

    name: str
    kv100_min: float
    kv100_max: float | None
    hths_min: float | None
    cranking: ColdLimit | None
    pumping: ColdLimit | None


def _winter(name: str, cranking: float, at: float, kv100: float) -> GradeLimits:
    # In every row the pumping limit is 60 000 mPa s, five kelvin under the cranking test.
    cold = ColdLimit(cranking / 1e3, ZERO_CELSIUS + at)
    pumped = ColdLimit(60.0, ZERO_CELSIUS + at - 5.0)
    return GradeLimits(name, kv100 / 1e6, None, None, cold, pumped)


def _summer(name: str, kv100: float, under: float, hths: float) -> GradeLimits:
    return GradeLimits(name, kv100 / 1e6, under / 1e6, hths / 1e3, None, None)


# SAE J300_201501; the grades read of J300_202405 (0W, 5W, 10W, 20, 30) have the same limits.
# mPa s and °C (D5293), mm²/s at 100 °C (D445), mPa s at 150 °C and 1e6 1/s (D4683).
GRADES: dict[str, GradeLimits] = {
    row.name: row
    for row in (
        _winter("0W", 6200, -35, 3.8),
        _winter("5W", 6600, -30, 3.8),
        _winter("10W", 7000, -25, 4.1),
        _winter("15W", 7000, -20, 5.6),
        _winter("20W", 9500, -15, 5.6),
        _winter("25W", 13000, -10, 9.3),
        _summer("8", 4.0, 6.1, 1.7),
        _summer("12", 5.0, 7.1, 2.0),
        _summer("16", 6.1, 8.2, 2.3),
        _summer("20", 6.9, 9.3, 2.6),
        _summer("30", 9.3, 12.5, 2.9),
        _summer("40", 12.5, 16.3, 3.7),
        _summer("50", 16.3, 21.9, 3.7),
        _summer("60", 21.9, 26.1, 3.7),
    )
}
# J300 gives 40 two rows: with these winter grades the HTHS limit is lower.
_LIGHT_40 = ("0W", "5W", "10W")
_LIGHT_40_HTHS = 3.5e-3  # Pa s
_WRITTEN = re.compile(
    r"(?:SAE\s*)?(?:(?P<winter>\d+)\s*W(?:\s*[-/]?\s*(?P<hot>\d+))?|(?P<alone>\d+))", re.IGNORECASE
)


def limits(grade: str) -> GradeLimits:
    """What J300 asks of a grade: of "15W-40" as of "30" or "5W".

    Parameters
    ----------
    grade : The grade as written on the can; "SAE", blanks and the dash may be there or not.

    Returns
    -------
    Limits; of a multigrade those of both its halves.

    Raises
    ------
    ValueError : no such grade, or no such half of one.

    Source: SAE J300_201501, table 1.
    """
    found = _WRITTEN.fullmatch(grade.strip())
    winter = f"{found['winter']}W" if found and found["winter"] else None
    summer = (found["hot"] or found["alone"]) if found else None
    halves = [half for half in (winter, summer) if half]
    if not halves or any(half not in GRADES for half in halves):
        raise ValueError(
            f"oil grade: found '{grade}'; wanted a grade of SAE J300, such as 15W-40, made of "
            f"{', '.join(GRADES)}; write it as it stands on the can"
        )
    if not (winter and summer):
        return GRADES[halves[0]]
    cold, hot = GRADES[winter], GRADES[summer]
    return GradeLimits(
        f"{winter}-{summer}",
        max(cold.kv100_min, hot.kv100_min),
        hot.kv100_max,
        _LIGHT_40_HTHS if summer == "40" and winter in _LIGHT_40 else hot.hths_min,
        cold.cranking,
        cold.pumping,
    )


def departures(grade: GradeLimits, kv100: float, hths: float | None = None) -> tuple[str, ...]:
    """Limits of its grade that a data sheet's oil does not keep.

    Parameters
    ----------
    grade : Limits of the grade on the can.
    kv100 : Viscosity at 100 °C. [m²/s]
    hths : Viscosity at 150 °C and 1e6 1/s; None is not looked at. [Pa s]

    Returns
    -------
    One sentence a limit; none when all looked at are kept.

    Limits: a new oil. The cold limits cannot be seen from these numbers.

    Source: SAE J300_201501, table 1.
    """
    said = []
    if kv100 < grade.kv100_min:
        said.append(
            f"{kv100 * 1e6:.4g} mm²/s at 100 °C is under the {grade.kv100_min * 1e6:.4g} mm²/s "
            f"of SAE {grade.name}"
        )
    if grade.kv100_max is not None and kv100 >= grade.kv100_max:
        said.append(
            f"{kv100 * 1e6:.4g} mm²/s at 100 °C is not under the {grade.kv100_max * 1e6:.4g} mm²/s "
            f"of SAE {grade.name}"
        )
    if hths is not None and grade.hths_min is not None and hths < grade.hths_min:
        said.append(
            f"HTHS {hths * 1e3:.4g} mPa s is under the {grade.hths_min * 1e3:.4g} mPa s "
            f"of SAE {grade.name}"
        )
    return tuple(said)
