"""One engine's oil system: pump to bearings, the oil in it, and the sender that reads it."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from witnessmark.model.log import Floats
from witnessmark.physics.circuit.circuit import Circuit
from witnessmark.physics.circuit.network import solve
from witnessmark.physics.oil.oil import Oil

# What a build leaves open and a log can tell; all but the last multiply what the build gives.
PARAMETERS = (
    "leak",  # every bearing's leakage
    "feeds",  # area of every jet and feed hole
    "relief_opening",
    "relief_gradient",
    "relief_drag",  # how much thick oil holds the relief valve's flow back
    "relief_curtain",  # the odds of a plain valve against a straight line
    "slip",  # inside the pump
    "losses",  # pressure lost between pump and gallery, filter and its bypass with it
    "film_rise",  # film over gallery temperature
    "viscosity",
    "pump",  # displacement
    "sender_offset",  # added to what the gauge shows [Pa]
)

_LOSSES = (
    "filter_laminar", "filter_turbulent", "bypass_opening", "bypass_gradient",
    "passage_laminar", "passage_turbulent", "cooler_laminar", "cooler_turbulent",
)  # fmt: skip


@dataclass(frozen=True)
class OilSystem:
    """Circuit, oil and sender of one engine; every number may be an array of samples.

    film_rise [K] is how much hotter the films are than the gallery at the speed `rated`
    [rev/s], in proportion to speed; sender_offset [Pa] is what the gauge shows too much.
    """

    circuit: Circuit
    oil: Oil
    film_rise: float | Floats
    rated: float
    viscosity_factor: float | Floats = 1.0
    sender_offset: float | Floats = 0.0

    def gauge(self, speed: float | Floats, temperature: float | Floats) -> Floats:
        """Gauge pressure.

        Parameters
        ----------
        speed : Engine speed. [rev/s]
        temperature : Oil temperature in the gallery. [K]

        Returns
        -------
        What the sender shows. [Pa] Inputs and samples broadcast; NaN below 0 °C.
        """
        film = temperature + self.film_rise * np.asarray(speed) / self.rated
        solved = solve(
            self.circuit, speed,
            self.viscosity_factor * self.oil.dynamic(temperature), self.oil.density(temperature),
            self.viscosity_factor * self.oil.dynamic(film),
        )  # fmt: skip
        return solved.gallery + self.sender_offset

    def vary(self, by: Mapping[str, float | Floats]) -> "OilSystem":
        """The same system with parameters changed; those not named stay.

        Parameters
        ----------
        by : Parameter -> factor (an addition in Pa for sender_offset), numbers or samples.

        Raises KeyError for a name that is not one of PARAMETERS.
        """
        unknown = set(by) - set(PARAMETERS)
        if unknown:
            raise KeyError(f"no parameter {', '.join(sorted(unknown))}; known: {PARAMETERS}")
        f = {name: by.get(name, 1.0) for name in PARAMETERS}
        c = self.circuit
        circuit = replace(
            c,
            pump_displacement=c.pump_displacement * f["pump"],
            slip=c.slip * f["slip"],
            relief_opening=c.relief_opening * f["relief_opening"],
            relief_gradient=c.relief_gradient * f["relief_gradient"],
            relief_drag=c.relief_drag * f["relief_drag"],
            relief_curtain=_odds(c.relief_curtain, f["relief_curtain"]),
            **{name: getattr(c, name) * f["losses"] for name in _LOSSES},
            leaks=tuple(replace(k, conductance=k.conductance * f["leak"]) for k in c.leaks),
            orifices=tuple(replace(o, area=o.area * f["feeds"]) for o in c.orifices),
        )
        return replace(
            self, circuit=circuit, film_rise=self.film_rise * f["film_rise"],
            viscosity_factor=self.viscosity_factor * f["viscosity"],
            sender_offset=self.sender_offset + by.get("sender_offset", 0.0),
        )  # fmt: skip


def _odds(share: float | Floats, factor: float | Floats) -> float | Floats:
    """A share whose odds are multiplied: never under 0, never over 1."""
    return factor * share / (1 - share + factor * share)
