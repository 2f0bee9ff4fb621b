"""When a log is said to show a change; the numbers' owners stand in book/lubrication.toml."""

import math
from dataclasses import dataclass
from statistics import NormalDist

from witnessmark.model.lubrication_book import Drift, log_sd, plain_sd, si

# What is followed from log to log, in this order everywhere.
FOLLOWED = ("leak", "relief_opening", "relief_gradient")


@dataclass(frozen=True)
class DriftTerms:
    """What a change must be to be said, and what may differ between two logs of a sound engine.

    worth: change worth knowing for each of FOLLOWED, as a share; the rest standard deviations of
    logarithms unless a unit stands there.
    """

    false_alarms: float  # share of sound logs in which any line says 'changed' [-]
    leak_share: float  # share of them the leakage's line may make [-]
    power: float  # 'not changed' needs a change worth knowing to be seen this surely [-]
    worth: tuple[float, ...]
    open: float  # of a followed change, before the log has said a word
    same_fill: float  # viscosity, one fill
    new_fill: float  # viscosity, another can of the same oil
    film_rise: float
    sender_offset: float  # [Pa]
    between_logs: float  # share of the pressure [-]
    sender_noise: float  # of one block at steady speed [Pa]
    unsteady: float  # share of the pressure's swing within a block [-]
    alike_speed: float  # step of ln speed [-]
    alike_oil: float  # [K]
    apart: float  # odds [-]

    @property
    def limits(self) -> tuple[float, ...]:
        """Standard errors beyond which each of FOLLOWED says 'changed', either way."""
        others = (1 - self.leak_share) / (len(FOLLOWED) - 1)
        shares = (self.leak_share, *(others for _ in FOLLOWED[1:]))
        return tuple(NormalDist().inv_cdf(1 - self.false_alarms * each / 2) for each in shares)


def drift_terms(book: Drift) -> DriftTerms:
    """The numbers of the book in SI."""
    return DriftTerms(
        false_alarms=si(book.false_alarms), leak_share=si(book.leak_share), power=si(book.power),
        worth=tuple(si(getattr(book, name)) for name in FOLLOWED),
        open=log_sd(book.open), same_fill=log_sd(book.same_fill), new_fill=log_sd(book.new_fill),
        film_rise=log_sd(book.film_rise), sender_offset=plain_sd(book.sender_offset),
        between_logs=si(book.between_logs),
        sender_noise=si(book.sender_noise), unsteady=si(book.unsteady),
        alike_speed=math.log1p(si(book.alike_speed)), alike_oil=si(book.alike_oil),
        apart=si(book.apart),
    )  # fmt: skip
