"""A fit in numbers a person can measure: litres a minute, opening pressure, kelvin."""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from witnessmark.lubrication.calibration.fit import Fit
from witnessmark.lubrication.system import PARAMETERS, OilSystem
from witnessmark.model.calibration import Estimate
from witnessmark.model.log import Floats
from witnessmark.units import Kind, Quantity

_ENDS = (0.05, 0.95)


class Reference(NamedTuple):
    """Where leakage and feeds are quoted. [Pa], [Pa·s]"""

    pressure: float
    viscosity: float


class _Shown(NamedTuple):
    title: str
    kind: Kind
    of: Callable[[OilSystem, Reference], float | Floats]


def _leakage(system: OilSystem, at: Reference) -> float | Floats:
    return sum(leak.conductance for leak in system.circuit.leaks) * at.pressure / at.viscosity


def _fed(system: OilSystem, at: Reference) -> float | Floats:
    area = sum(o.area * o.count for o in system.circuit.orifices)
    return area * np.sqrt(2 * at.pressure / system.oil.density(_WARM))


_WARM = 363.15  # K; only the density is taken there
_SHOWN: dict[str, _Shown] = {
    "leak": _Shown("bearing leakage", Kind.VOLUME_FLOW, _leakage),
    "feeds": _Shown("jets and feeds, wide open", Kind.VOLUME_FLOW, _fed),
    "relief_opening": _Shown(
        "relief opens at", Kind.PRESSURE, lambda s, at: s.circuit.relief_opening
    ),
    "relief_gradient": _Shown(
        "relief gradient", Kind.PRESSURE_PER_FLOW, lambda s, at: s.circuit.relief_gradient
    ),
    "relief_curtain": _Shown(
        "relief spills as a plain valve (0 %: straight line)",
        Kind.FRACTION,
        lambda s, at: s.circuit.relief_curtain,
    ),
    "film_rise": _Shown(
        "films over gallery at the redline", Kind.TEMPERATURE_DIFFERENCE, lambda s, at: s.film_rise
    ),
    "pump": _Shown(
        "pump displacement", Kind.DISPLACEMENT, lambda s, at: s.circuit.pump_displacement
    ),
    "sender_offset": _Shown(
        "gauge shows too much by", Kind.PRESSURE, lambda s, at: s.sender_offset
    ),
}
_FACTORS = {
    "slip": "pump slip, over the build's",
    "losses": "losses from relief valve to gauge, over the build's",
    "viscosity": "viscosity, over the oil's data",
    "relief_drag": "drag of thick oil in the relief valve, over the build's",
}


def estimates(found: Fit, at: Reference) -> tuple[Estimate, ...]:
    """Every parameter of a fit, with the range of the fits nearly as good."""
    return tuple(_estimate(found, name, i, at) for i, name in enumerate(PARAMETERS))


def _estimate(found: Fit, name: str, i: int, at: Reference) -> Estimate:
    factors = found.prior.by(found.cloud)[name]
    best = float(np.asarray(found.prior.by(found.best)[name]))
    if name in _SHOWN:
        title, kind, of = _SHOWN[name]
        value = of(found.system, at)
        low, high = np.quantile(np.asarray(of(found.systems, at)), _ENDS)
    else:
        title, kind, value = _FACTORS[name], Kind.RATIO, best
        low, high = np.quantile(factors, _ENDS)
    told = 1.0 - float(found.cloud[:, i].std())  # the prior's own spread is 1
    return Estimate(
        name, title, best, Quantity(float(np.asarray(value).flat[0]), kind),
        Quantity(float(low), kind), Quantity(float(high), kind), min(max(told, 0.0), 1.0),
    )  # fmt: skip
