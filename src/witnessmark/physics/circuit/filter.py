"""The oil filter and its bypass, and whatever else oil is pushed through on its way."""

import numpy as np

from witnessmark.physics.checked import Array
from witnessmark.physics.numbers import Floats


def pressure_loss(
    flow: Floats,
    viscosity: Floats,
    density: Floats,
    laminar: Floats,
    turbulent: Floats,
) -> Array:
    """Pressure lost in an element, cooler or passage.

    Parameters
    ----------
    flow : Flow through it. [m³/s]
    viscosity : Dynamic viscosity. [Pa·s]
    density : Oil density. [kg/m³]
    laminar : a of Δp = a µ Q + b ρ Q². [1/m³]
    turbulent : b of the same. [1/m⁴]

    Returns
    -------
    Δp. [Pa] Inputs broadcast.

    Source: Darcy plus Forchheimer term; ISO 4548-1 is how a and b of a filter are measured.
    """
    q = np.asarray(flow, dtype=np.float64)
    return np.asarray(q * (laminar * np.asarray(viscosity) + turbulent * np.asarray(density) * q))


def element_flow(
    flow: Floats,
    viscosity: Floats,
    density: Floats,
    laminar: Floats,
    turbulent: Floats,
    bypass_opening: Floats,
    bypass_gradient: Floats,
) -> Array:
    """Share of a flow that goes through the filter element, the rest past it unfiltered.

    Parameters
    ----------
    flow, viscosity, density, laminar, turbulent : As pressure_loss.
    bypass_opening : Loss at which the bypass begins to open; infinite: no bypass. [Pa]
    bypass_gradient : Rise of loss for each unit of flow bypassed, above 0. [Pa/(m³/s)]

    Returns
    -------
    Flow through the element, never more than flow. [m³/s] Inputs broadcast.

    Limits: bypass without friction; a standpipe or anti-drain valve counts into a and b.

    Source: element and bypass share one loss, a µ Qe + b ρ Qe² = opening + gradient (Q - Qe),
    a quadratic in Qe with one root above 0.
    """
    q = np.asarray(flow, dtype=np.float64)
    straight = laminar * np.asarray(viscosity) + bypass_gradient
    square = turbulent * np.asarray(density)
    reach = bypass_opening + bypass_gradient * q
    # An endless opening has an endless share: the smaller of the two is then all of the flow.
    share = np.where(
        np.isinf(reach), np.inf,
        2 * np.where(np.isinf(reach), 0.0, reach)
        / (straight + np.sqrt(straight**2 + 4 * square * np.where(np.isinf(reach), 0.0, reach))),
    )  # fmt: skip
    return np.minimum(q, share)


def filter_loss(
    flow: Floats,
    viscosity: Floats,
    density: Floats,
    laminar: Floats,
    turbulent: Floats,
    bypass_opening: Floats = np.inf,
    bypass_gradient: Floats = 1.0,
) -> Array:
    """Pressure lost in a filter whose bypass opens when the loss grows too great.

    Parameters
    ----------
    As element_flow.

    Returns
    -------
    Loss from inlet to outlet, growing with flow. [Pa] Inputs broadcast.

    Source: pressure_loss of element_flow.
    """
    through = element_flow(
        flow, viscosity, density, laminar, turbulent, bypass_opening, bypass_gradient
    )
    return pressure_loss(through, viscosity, density, laminar, turbulent)
