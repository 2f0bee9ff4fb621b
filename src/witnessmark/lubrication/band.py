"""The pressure band of one engine: many builds sampled, every one solved in every state."""

from collections.abc import Mapping
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from witnessmark.lubrication.prior import Prior
from witnessmark.lubrication.system import PARAMETERS, OilSystem
from witnessmark.model.authority import Authority
from witnessmark.model.build import BuildSheet
from witnessmark.model.expected_pressure import QUANTILES, PressureTable, rows
from witnessmark.model.log import Floats
from witnessmark.model.lubrication_book import LubricationBook, si
from witnessmark.model.plan import Assumption
from witnessmark.model.pressure_band import REST, PressureBand

SAMPLES = 500  # builds; the 0.5 % ends then rest on the two or three most extreme of them
SPEEDS, TEMPERATURES = 60, 30  # states; finer changes no reading by a tenth of the band's width
PLAN_SPEEDS, PLAN_TEMPERATURES = 26, 18  # a plan's own
_CLOSER = 1.6  # grid points crowd where pressure bends: at idle and in cold oil
_ROUND = 100.0  # Pa, a thirtieth of what senders are read to
_NO_LOG = 1e4  # Pa; under it a logarithm would see only the bottom of the gauge


@dataclass(frozen=True)
class Grid:
    """Engine speeds [rev/s] and oil temperatures [K], both rising."""

    speed: Floats
    temperature: Floats


@dataclass(frozen=True)
class Shown:
    """What a table of a band for people shows: idle [rev/s], oil temperatures [K]."""

    idle: float
    oils: tuple[float, ...]


@dataclass(frozen=True)
class Scatter:
    """How far a reading lies off what the circuit gives, beyond the builds themselves.

    plain [Pa] and share [-] of the pressure, standard deviations; none where the builds' own
    spread holds all there is. lag of the sender and soak of the engine behind its thermometer [s].
    """

    plain: float = 0.0
    share: float = 0.0
    lag: float = 0.0
    soak: float = 0.0


NO_SCATTER = Scatter()


@dataclass(frozen=True)
class Told:
    """What a band says of itself: its basis, who vouches for it, what was assumed, and whom its
    quantiles count."""

    basis: str
    authority: Authority
    assumed: tuple[Assumption, ...] = ()
    among: str = "sound builds like this one"


def grid_of_build(sheet: BuildSheet, book: LubricationBook, coarse: bool = False) -> Grid:
    """Every speed and oil temperature a band is foretold at: slowest running speed to redline.

    `coarse`: for a plan, which carries every number.
    """
    speeds, temperatures = (PLAN_SPEEDS, PLAN_TEMPERATURES) if coarse else (SPEEDS, TEMPERATURES)
    closer = _CLOSER if coarse else 1.0
    return Grid(
        _steps(si(book.band.slowest), sheet.layout.redline, speeds, closer),
        _steps(si(book.band.coldest), si(book.band.hottest), temperatures, closer),
    )


def _steps(low: float, high: float, count: int, closer: float) -> Floats:
    return np.asarray(low + (high - low) * np.linspace(0, 1, count) ** closer)


def drawn_builds(samples: int = SAMPLES, seed: int = 0) -> Floats:
    """Sampled builds as standard normals, the same for the same seed.

    Parameters
    ----------
    samples : How many, at least 2.
    seed : Of the shuffling.

    Returns
    -------
    (samples, parameters). [-] Each parameter takes the middle of every one of `samples` equally
    likely slices once, in an order of its own.

    Source: Latin hypercube sampling, McKay, Beckman and Conover, Technometrics 21 (1979) 239.
    """
    bell = NormalDist()
    slices = np.array([bell.inv_cdf((i + 0.5) / samples) for i in range(samples)])
    random = np.random.default_rng(seed)
    return np.stack([random.permutation(slices) for _ in PARAMETERS], axis=1)


def pressure_band(
    prior: Prior, builds: Floats, grid: Grid, told: Told, scatter: Scatter = NO_SCATTER
) -> PressureBand:
    """Solve every build in every state and take the quantiles.

    Parameters
    ----------
    prior : Nominal system and spreads.
    builds : Standard normals of the prior's spreads (n, parameters): `drawn_builds` for the build
        sheet alone, the cloud of a calibration for an engine whose logs are known.
    grid : States.
    told : What the band says of itself.
    scatter : What a reading misses beyond the builds' spread.

    Returns
    -------
    PressureBand.

    Limits: the 0.5 and 99.5 % ends are as sure as the few builds beyond them; steady running,
    oil of one temperature from sump to gallery.
    """
    system, shown = _solved(prior, builds, grid)
    return PressureBand(
        grid.speed, grid.temperature, _quantiles(shown, scatter), shares_of_spread(builds, shown),
        told.basis, told.authority,
        float(np.median(np.asarray(system.circuit.relief_opening))), told.assumed,
    )  # fmt: skip


def pressure_table(
    prior: Prior, builds: Floats, grid: Grid, told: Told, shown_at: Shown, book_sha256: str,
    scatter: Scatter = NO_SCATTER,
) -> PressureTable:  # fmt: skip
    """As `pressure_band`, as light as a plan can carry it: rounded, no shares."""
    five = _quantiles(_solved(prior, builds, grid)[1], scatter)
    return PressureTable(
        tuple(grid.speed.tolist()), tuple(grid.temperature.tolist()),
        tuple(rows(table, _ROUND) for table in five), shown_at.idle, shown_at.oils, scatter.lag,
        scatter.soak, told.basis, told.among, told.authority, book_sha256,
    )  # fmt: skip


def _solved(prior: Prior, builds: Floats, grid: Grid) -> tuple[OilSystem, Floats]:
    """Every build's system, and what its gauge shows: (builds, speeds, temperatures). [Pa]"""
    system = prior.system.vary(prior.by(builds[:, None, None, :]))
    return system, np.maximum(system.gauge(grid.speed[:, None], grid.temperature), 0.0)


def _quantiles(shown: Floats, scatter: Scatter) -> Floats:
    """Of readings (n, s, t); scatter widens each quantile as it would widen a bell."""
    middle = np.quantile(shown, 0.5, axis=0)
    five = np.quantile(shown, QUANTILES, axis=0)
    miss = np.hypot(scatter.plain, scatter.share * middle)
    bell = np.array([NormalDist().inv_cdf(q) for q in QUANTILES])[:, None, None]
    reach = np.sign(bell) * np.hypot(five - middle, bell * miss)
    return np.asarray(np.maximum(middle + reach, 0.0))


def shares_of_spread(builds: Floats, pressure: Floats) -> Mapping[str, Floats]:
    """How much of the spread of log pressure each parameter makes by itself.

    Parameters
    ----------
    builds : Standard normals (n, parameters). [-]
    pressure : Gauge pressure of each build (n, ...). [Pa]

    Returns
    -------
    Parameter -> share (...), 0 to 1, and REST: what only several together make, or what is
    steeper than a curve of second degree. [-]

    Limits: where parameters go together, as in a calibrated cloud, the shares of one are partly
    the other's; they are then brought down to add up to 1. A share of 1 % is not told from 0.

    Source: first-order variance shares by regression on Hermite polynomials of degree 1 and 2;
    Sudret, Reliability Engineering and System Safety 93 (2008) 964, from memory.
    """
    logs = np.log(np.maximum(pressure.reshape(len(builds), -1), _NO_LOG))
    logs = logs - logs.mean(axis=0)
    scale = builds.std(axis=0)
    z = (builds - builds.mean(axis=0)) / np.where(scale > 0, scale, 1.0)
    terms = np.concatenate([z, (z**2 - 1) / np.sqrt(2)], axis=1)
    weights = np.linalg.pinv(terms - terms.mean(axis=0)) @ logs  # a column a state: no lstsq
    whole = np.maximum(np.mean(logs**2, axis=0), 1e-12)
    first, second = weights[: len(PARAMETERS)], weights[len(PARAMETERS) :]
    alone = (first**2 + second**2) / whole
    alone = alone / np.maximum(alone.sum(axis=0), 1.0)
    shape = pressure.shape[1:]
    shares = {name: alone[i].reshape(shape) for i, name in enumerate(PARAMETERS)}
    return {**shares, REST: (1 - alone.sum(axis=0)).reshape(shape)}
