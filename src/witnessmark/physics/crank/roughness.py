"""How much of a load rough surfaces carry once the film is no thicker than they are rough.

The Gaussian integrals F_n of Greenwood and Tripp are taken in closed form. The power law that is
often fitted to F_5/2 reads 11 % low at a film ratio of 0 and 98 % low at 3.5, and is not used.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import gamma, pbdv

from witnessmark.physics.checked import checked

Floats = NDArray[np.float64]

# The textbook division by film ratio (Hamrock, Schmid and Jacobson, Fundamentals of Fluid Film
# Lubrication, 2004; from memory). It names a state; it clears no engine.
TEXTBOOK_FULL_FILM_FROM = 3.0
TEXTBOOK_BOUNDARY_BELOW = 1.0

_READING = "check the roughness reading"
_PEAKS = "check the numbers that describe the peaks"


def gaussian_overlap(film_ratio: ArrayLike, power: ArrayLike) -> Floats:
    """F_n of Greenwood and Tripp: mean of (s - film ratio)^n over all heights s above it.

    Parameters
    ----------
    film_ratio : Film over composite roughness, -10 to 37; below 0 the mean planes overlap. [-]
    power : n > -1: 1 for gap, 2 for area of contact, 3/2 or 5/2 for load. [-]

    Returns
    -------
    F_n = 1/sqrt(2 pi) times the integral from film_ratio of (s - film_ratio)^n exp(-s²/2). [-]
    Inputs broadcast.

    Raises ValueError for values outside these limits.

    Limits: Gaussian heights; a run-in surface has lost its highest peaks and carries less.
    Source: Greenwood and Tripp, Proc. IMechE 185 (1970) 625 for the integral; closed form
    Gamma(n + 1) exp(-x²/4) D_(-n-1)(x) / sqrt(2 pi), DLMF 12.5.1.
    """
    x = checked("film ratio", _floats(film_ratio), _READING, at_least=-10, at_most=37)
    n = checked("power of the overlap", _floats(power), "use 3/2, 2 or 5/2", above=-1)
    cylinder, _ = pbdv(-n - 1, x)
    return np.asarray(gamma(n + 1) * np.exp(-(x**2) / 4) * cylinder / np.sqrt(2 * np.pi))


def composite_roughness(journal: ArrayLike, shell: ArrayLike) -> Floats:
    """Roughness of two surfaces as if one were smooth.

    Parameters
    ----------
    journal, shell : Root-mean-square roughness Rq of each, not Ra. [m]

    Returns
    -------
    sqrt(journal² + shell²). [m] Inputs broadcast.

    Raises ValueError for a roughness below 0.

    Limits: heights of the two surfaces independent of each other. For a Gaussian surface
    Rq = sqrt(pi/2) Ra, 1.25 Ra; a ground or worn one differs.
    Source: variance of a sum; Rq and Ra as ISO 21920-2.
    """
    first = checked("journal roughness", _floats(journal), _READING, at_least=0)
    second = checked("shell roughness", _floats(shell), _READING, at_least=0)
    return np.asarray(np.hypot(first, second))


def film_ratio(film: ArrayLike, roughness: ArrayLike) -> Floats:
    """Film thickness over composite roughness, the lambda of the textbooks.

    Parameters
    ----------
    film : Film thickness between the mean planes, >= 0. [m]
    roughness : Composite root-mean-square roughness, above 0. [m]

    Returns
    -------
    lambda. [-] Inputs broadcast. Textbooks call 3 and more a full film, below 1 boundary
    lubrication, between them mixed (`TEXTBOOK_FULL_FILM_FROM`, `TEXTBOOK_BOUNDARY_BELOW`).

    Raises ValueError for a film below 0 or a roughness not above 0.

    Source: definition; thresholds from memory.
    """
    h = checked("film thickness", _floats(film), "check the film calculation", at_least=0)
    sigma = checked("composite roughness", _floats(roughness), _READING, above=0)
    return np.asarray(h / sigma)


def contact_modulus(
    first: ArrayLike, first_poisson: ArrayLike, second: ArrayLike, second_poisson: ArrayLike
) -> Floats:
    """E' of two touching bodies: 1/E' = (1 - v1²)/E1 + (1 - v2²)/E2.

    Parameters
    ----------
    first, second : Young's modulus of each. [Pa]
    first_poisson, second_poisson : Poisson's ratio of each, 0 to 0.5. [-]

    Returns
    -------
    E'. [Pa] Inputs broadcast. Some books print twice this number under the same letter.

    Raises ValueError for a modulus not above 0 or a ratio outside 0 to 0.5.

    Source: Johnson, Contact Mechanics (1985), eq. 4.20 (E*).
    """
    advice = "check the material's data"
    e1 = checked("first modulus", _floats(first), advice, above=0)
    e2 = checked("second modulus", _floats(second), advice, above=0)
    v1 = checked("first Poisson's ratio", _floats(first_poisson), advice, at_least=0, at_most=0.5)
    v2 = checked("second Poisson's ratio", _floats(second_poisson), advice, at_least=0, at_most=0.5)
    return np.asarray(1 / ((1 - v1**2) / e1 + (1 - v2**2) / e2))


def asperity_pressure(
    film_ratio: ArrayLike,
    roughness: ArrayLike,
    peak_density: ArrayLike,
    peak_radius: ArrayLike,
    modulus: ArrayLike,
) -> Floats:
    """Mean pressure that touching peaks carry.

    Parameters
    ----------
    film_ratio : Film over composite roughness. [-]
    roughness : Composite root-mean-square roughness. [m]
    peak_density : Peaks per area on each surface. [1/m²]
    peak_radius : Radius of the peaks' tips. [m]
    modulus : E' of `contact_modulus`. [Pa]

    Returns
    -------
    p = 16 sqrt(2) pi / 15 · (eta beta sigma)² sqrt(sigma/beta) E' F_5/2. [Pa] Broadcasts.

    Raises ValueError for a number not above 0.

    Limits: elastic peaks of one radius, few of them touching. Needs peaks measured on the parts;
    the build sheet has none, so it ranks films and predicts no wear.
    Source: Greenwood and Tripp (1970), formula from memory, derived again in the tests.
    """
    sigma, eta, beta = _peaks(roughness, peak_density, peak_radius)
    elastic = checked("contact modulus", _floats(modulus), _PEAKS, above=0)
    scale = 16 * np.sqrt(2) * np.pi / 15 * (eta * beta * sigma) ** 2 * np.sqrt(sigma / beta)
    return np.asarray(scale * elastic * gaussian_overlap(film_ratio, 2.5))


def contact_share(
    film_ratio: ArrayLike, roughness: ArrayLike, peak_density: ArrayLike, peak_radius: ArrayLike
) -> Floats:
    """Share of the surface where peaks touch.

    Parameters
    ----------
    film_ratio, roughness, peak_density, peak_radius : As `asperity_pressure`.

    Returns
    -------
    pi² (eta beta sigma)² F_2. [-] Inputs broadcast.

    Raises ValueError for a number not above 0.

    Limits and source: as `asperity_pressure`.
    """
    sigma, eta, beta = _peaks(roughness, peak_density, peak_radius)
    return np.asarray((np.pi * eta * beta * sigma) ** 2 * gaussian_overlap(film_ratio, 2.0))


def _floats(value: ArrayLike) -> Floats:
    return np.asarray(value, dtype=np.float64)


def _peaks(
    roughness: ArrayLike, density: ArrayLike, radius: ArrayLike
) -> tuple[Floats, Floats, Floats]:
    return (
        checked("composite roughness", _floats(roughness), _READING, above=0),
        checked("peak density", _floats(density), _PEAKS, above=0),
        checked("peak radius", _floats(radius), _PEAKS, above=0),
    )
