"""What the judges of steps look at: the log, what was found in it, the plan's phases."""

from dataclasses import dataclass
from functools import cached_property

from witnessmark.checks.terms import Terms
from witnessmark.model.first_heat import Burst, Found, Run
from witnessmark.model.log import Log, Span
from witnessmark.model.plan import Limit, Phase


@dataclass(frozen=True)
class Sheet:
    """A recording beside the phases it is held against.

    `phases` : prime, first fire and first heat, as far as the plan has them; `terms` is of the
               last. `proof` : oil pressure that proves a prime, None if the plan names none.
    """

    log: Log
    terms: Terms
    found: Found
    phases: tuple[Phase, ...]
    proof: Limit | None

    @cached_property
    def work(self) -> tuple[Span, ...]:
        """Stretches of holds and sweeps, in the order of time."""
        holds = [span for hold in self.found.holds.values() for span in hold.spans]
        sweeps = [s for each in self.found.sweeps.values() for one in each for s in one.spans]
        return tuple(sorted((*holds, *sweeps), key=lambda span: span.start))

    @cached_property
    def first_run(self) -> Run | None:
        """The first run, if the log shows it begin."""
        runs = self.found.runs
        return runs[0] if runs and runs[0].start_shown else None

    @cached_property
    def work_run(self) -> Run | None:
        """The run in which the holds and sweeps begin; after a short first fire that is later."""
        starts = [span.start for span in self.work]
        fire_only = self._fire_alone
        for run in self.found.runs[1 if fire_only else 0 :]:
            if any(run.span.start - 1e-6 <= start < run.span.end for start in starts):
                return run
        return None

    @cached_property
    def _fire_alone(self) -> bool:
        """Whether the first run was the first fire: planned apart, shut off, and followed."""
        apart = any(phase.id == "first-fire" for phase in self.phases)
        if not apart or self.first_run is None or len(self.found.runs) < 2:
            return False
        fire = next(p for p in self.phases if p.id == "first-fire").steps
        times = [s.numbers["time"] for s in fire if "time" in s.numbers]
        # Twice the planned time is a long first fire; longer, and it went on to the first heat.
        return not times or self.first_run.span.length <= 2 * max(
            (t.high or t.value).value for t in times
        )

    @cached_property
    def primes(self) -> tuple[Burst, ...]:
        """Cranking without fire before the first run."""
        first = self.found.runs[0].span.start if self.found.runs else float("inf")
        return tuple(b for b in self.found.bursts if not b.fired and b.span.start < first)

    def last_work_run(self) -> Run | None:
        """The run in which the last hold or sweep ends."""
        if not self.work:
            return None
        end = max(span.end for span in self.work)
        return next((r for r in self.found.runs if r.span.end >= end - 1e-6), None)
