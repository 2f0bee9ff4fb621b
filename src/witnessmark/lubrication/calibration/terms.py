"""The numbers a calibration is judged by; their owners stand in book/lubrication.toml."""

from dataclasses import dataclass, fields

from witnessmark.model.lubrication_book import Fit, si


@dataclass(frozen=True)
class FitTerms:
    """What counts as a reading to learn from, and how closely the circuit is believed. SI."""

    running_speed: float  # the engine runs by itself above this [rev/s]
    start_settle: float  # set aside after each start [s]
    coldest: float  # oil temperatures the viscosity is known for [K]
    hottest: float
    least_time: float  # less than this teaches nothing [s]
    least_change: float  # a gauge that moves less than this is stuck [Pa]
    block: float  # samples within this say nearly the same [s]
    most_blocks: float
    sender_noise: float  # of one block [Pa]
    model_error: float  # share of the pressure the circuit may be wrong by [-]
    alike: float  # neighbouring errors go together: noise is taken this much larger [-]
    longest_soak: float  # that the engine may warm behind its thermometer [s]
    slowest_sender: float  # lag tried [s]
    starts: float  # fits from this many starting points


def fit_terms(book: Fit) -> FitTerms:
    """The numbers of the book in SI."""
    return FitTerms(**{f.name: si(getattr(book, f.name)) for f in fields(FitTerms)})
