"""What an engine's own logs taught about its oil system, and how surely."""

from dataclasses import dataclass

from witnessmark.model.log import Source
from witnessmark.units import Quantity


@dataclass(frozen=True)
class Estimate:
    """One parameter: best fit and where nine of ten nearly-as-good fits lie.

    `factor` and the like are over what the build gives; `value` and the like are the parameter
    itself as a person measures it. `told` is how much of the build's own doubt the logs took
    away, 0 for none and 1 for all. [-]
    """

    name: str
    title: str
    factor: float
    value: Quantity
    low: Quantity
    high: Quantity
    told: float


@dataclass(frozen=True)
class Learned:
    """What one log gave: how much of it, over which speeds [rev/s] and oil temperatures [K]."""

    source: Source
    seconds: float
    slowest: float
    fastest: float
    coldest: float
    hottest: float


@dataclass(frozen=True)
class Foretold:
    """Root mean square miss on readings kept back from the fit. [Pa]

    circuit: the fitted oil circuit; constant: the mean of what was seen; linear: a plane in
    speed, temperature and their product; power: a power law under a soft ceiling.
    inside: share of the readings kept back within the circuit's own 5 to 95 % band. [-]
    """

    circuit: float
    constant: float
    linear: float
    power: float
    inside: float
    seen: int  # readings
    unseen: int


@dataclass(frozen=True)
class Calibration:
    """An engine's oil system as its logs show it, on one fill of oil.

    `best` and `cloud` are standard normals of the build's spreads, so they mean something only
    with the build sheet and the book they were made with; `build_sha256` and `book_sha256` say
    which. `lag` of the sender and `soak`, how far
    the engine warms behind its thermometer [s]; `miss`: root mean square misfit of the fit [Pa].
    """

    serial: str
    build_sha256: str
    book_sha256: str
    logs: tuple[Learned, ...]
    estimates: tuple[Estimate, ...]
    lag: float
    soak: float
    miss: float
    best: tuple[float, ...]
    cloud: tuple[tuple[float, ...], ...]
    foretold: Foretold | None
    notes: tuple[str, ...]
    # Blocks of the readings: speed [rev/s], oil [K], pressure [Pa], swing of the speed [rev/s].
    # With them, what the circuit misses alike in this log and in a later one cancels.
    readings: tuple[tuple[float, float, float, float], ...] = ()

    @property
    def span(self) -> tuple[float, float, float, float]:
        """Slowest and fastest engine speed [rev/s], coldest and hottest oil [K] learned from."""
        logs = self.logs
        return (
            min(log.slowest for log in logs), max(log.fastest for log in logs),
            min(log.coldest for log in logs), max(log.hottest for log in logs),
        )  # fmt: skip
