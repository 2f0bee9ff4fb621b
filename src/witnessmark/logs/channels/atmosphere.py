"""The pressure outside while the log was taken, for columns that count from it."""

from collections.abc import Mapping, Sequence
from threading import Lock

import numpy as np

from witnessmark.logs.channels.measure import measure
from witnessmark.logs.channels.recognise import Claim
from witnessmark.model.log import Floats
from witnessmark.physics.atmosphere import STANDARD_ATMOSPHERE
from witnessmark.units import pressure_reference

_STANDING = 0.5  # turns/s; below, the engine stands and its manifold shows the air outside
_ASKED = ("barometric_pressure", "engine_speed", "manifold_pressure")
_IDLE = 20.0  # turns/s; a warm or a cold idle is slower. Common practice
_ALONE = 5.0  # turns/s; slower, an engine does not run by itself. Common practice
_ENOUGH = 20_000  # readings for an average
_FEW = 3  # readings with the engine standing that are worth an average


class Atmosphere:
    """What the log itself tells of the air: asked for once, (Pa, where it is from)."""

    def __init__(self, claims: Sequence[Claim], numbers: Mapping[str, Floats]) -> None:
        """Take the claims that have numbers, and keep a thin copy of those that may answer."""
        self._claims = [c for c in claims if c.entry and c.entry.channel.name in _ASKED]
        self._numbers = {
            c.column.name: numbers[c.column.name][
                :: max(1, len(numbers[c.column.name]) // _ENOUGH)
            ].copy()
            for c in self._claims
        }
        self._answer: tuple[float, str] | None = None
        self._lock = Lock()

    def __call__(self) -> tuple[float, str]:
        """From the barometric channel, the manifold with the engine off, or the standard."""
        with self._lock:
            if self._answer is None:
                self._answer = self._barometer() or self._engine_off() or (
                    STANDARD_ATMOSPHERE, "standard atmosphere, ISO 2533; no barometer in the log",
                )  # fmt: skip
            return self._answer

    def at_idle(self, claim: Claim) -> Floats | None:
        """A column's readings at idle as written, thinned; None if no engine speed is shown."""
        found = self._numbers.get(claim.column.name)
        for _, speed in self._si("engine_speed")[:1]:
            if found is not None and len(found) == len(speed):
                turning = _held(speed)
                return found[(turning > _ALONE) & (turning < _IDLE) & np.isfinite(found)]
        return None

    def _si(self, channel: str) -> list[tuple[Claim, Floats]]:
        found = []
        for claim in self._claims:
            if claim.entry is not None and claim.entry.channel.name == channel:
                if channel == "manifold_pressure" and (
                    claim.gauge or pressure_reference(claim.unit) is not None
                ):
                    continue
                measured = measure(claim, self._numbers[claim.column.name].copy(), _nowhere)
                if measured.claim.entry is not None and "added" not in measured.claim.why:
                    found.append((measured.claim, measured.values))
        return found

    def _barometer(self) -> tuple[float, str] | None:
        for claim, values in self._si("barometric_pressure"):
            assert claim.entry is not None
            known = values[
                (values >= claim.entry.channel.low) & (values <= claim.entry.channel.high)
            ]
            if known.size:
                return float(np.median(known)), f"from '{claim.column.name}'"
        return None

    def _engine_off(self) -> tuple[float, str] | None:
        for _, speed in self._si("engine_speed")[:1]:
            for claim, values in self._si("manifold_pressure"):
                off = values[(_held(speed) < _STANDING) & np.isfinite(values)]
                if off.size >= _FEW:
                    return float(np.median(off)), f"'{claim.column.name}' with the engine off"
        return None


def _held(values: Floats) -> Floats:
    """Each blank filled with the reading before it: channels of a log may be read in turn."""
    last = np.maximum.accumulate(np.where(np.isfinite(values), np.arange(len(values)), 0))
    held: Floats = values[last]
    return held


def _nowhere() -> tuple[float, str]:
    return 0.0, ""
