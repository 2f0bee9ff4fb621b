"""One log held against one phase: what every check looks at, worked out once."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from witnessmark.checks.driving import load as measure
from witnessmark.checks.driving.coverage import Coverage, cover
from witnessmark.checks.driving.gears import Gears, tell_gears
from witnessmark.checks.driving.load_map import LoadMap, load_map
from witnessmark.checks.driving.stretches import Stretch, good_pulls
from witnessmark.checks.first_heat.find import find_heat
from witnessmark.checks.pressure.own_pressure import OwnPressure
from witnessmark.checks.signals.truth import truth_of
from witnessmark.checks.terms import Terms, running
from witnessmark.model.finding import Answer, Finding
from witnessmark.model.first_heat import Found
from witnessmark.model.log import Floats, Log, Mask, Span
from witnessmark.model.said import Said
from witnessmark.model.signal import Signal


@dataclass(frozen=True)
class Case:
    """A log and the terms it is judged by, with the masks and measures that checks share.

    `given`: the truth of its channels, where it was told before stuck stretches were taken out.
    """

    log: Log
    terms: Terms
    given: Mapping[str, Signal] | None = None

    @cached_property
    def truth(self) -> Mapping[str, Signal]:
        """What each channel can be trusted with: rate, step, faults, lag."""
        return truth_of(self.log) if self.given is None else self.given

    @cached_property
    def running(self) -> Mask:
        """Where the engine turns by itself."""
        return running(self.log, self.terms)

    @cached_property
    def starts(self) -> tuple[Span, ...]:
        """Stretches of running that the log shows beginning from a stopped engine."""
        speed, least = self.log["engine_speed"], self.terms["running_speed"]
        return tuple(
            span
            for span in self.log.spans(self.running)
            if (first := self.log.at(span).start) > 0 and speed[first - 1] <= least
        )

    def settled(self, after: str) -> Mask:
        """Where the engine has run longer than a judging number since its last start."""
        settled = self.running.copy()
        for span in self.starts:
            late = Span(span.start, span.start + self.terms[after])
            settled[self.log.at(late)] = False
        return settled

    @cached_property
    def moving(self) -> Mask:
        """Where the car moves; without a road speed, where the engine is above idle."""
        if "road_speed" in self.log:
            return self.running & (self.log["road_speed"] > self.terms["moving_speed"])
        return self.running & (self.log["engine_speed"] > self.terms["idle_top"])

    @cached_property
    def air(self) -> measure.Atmosphere:
        """The atmosphere the engine breathed."""
        return measure.atmosphere(self.log, self.terms)

    @cached_property
    def throttled(self) -> bool:
        """Whether the log shows manifold vacuum."""
        return "manifold_pressure" in self.log and measure.throttled(self.log, self.terms)

    @cached_property
    def load(self) -> measure.Load | None:
        """The measure of load chosen for this log."""
        return measure.choose_load(self.log, self.terms)

    @cached_property
    def loaded(self) -> Mask | None:
        """Where the engine is loaded; None when the log shows no load."""
        return (
            None if self.load is None else self.running & measure.is_loaded(self.load, self.terms)
        )

    @cached_property
    def worked(self) -> Mask | None:
        """Where the engine does the work that seats rings; None when the log shows no load."""
        return (
            None if self.load is None else self.running & measure.is_worked(self.load, self.terms)
        )

    @cached_property
    def pulls(self) -> list[Stretch]:
        """Warm pulls under load; none where the log shows no load."""
        return [] if self.worked is None else good_pulls(self, self.worked)

    @cached_property
    def load_map(self) -> LoadMap | None:
        """Where on speed and load the driving was done; None when the log shows no load."""
        if self.load is None:
            return None
        return load_map(self.log, self.terms, self.load, self.moving)

    @cached_property
    def heat(self) -> Found:
        """Starts, stops, and the holds and sweeps the phase asks for."""
        return find_heat(self.log, self.terms)

    @cached_property
    def coverage(self) -> Coverage | None:
        """What the phase should cover of speed and load, and what was; None without a load map."""
        if self.load is None or self.load_map is None:
            return None
        return cover(self.load_map, self.terms, self.load, self.air)

    @cached_property
    def gears(self) -> Gears:
        """The gear of each sample, as far as it can be told."""
        return tell_gears(self.log, self.terms, self.running, self.closed and self.closed[0])

    @cached_property
    def closed(self) -> tuple[Mask, str] | None:
        """Where the driver asks for nothing, and the channel that says so."""
        return measure.is_closed(self.log, self.terms)

    @cached_property
    def warm(self) -> Mask | None:
        """Where the coolant is warm, or failing that the oil; None when neither is shown."""
        for channel, limit in (
            ("coolant_temperature", "warm_coolant"),
            ("oil_temperature", "warm_oil"),
        ):
            if channel in self.log:
                return self.log[channel] >= self.terms[limit]
        return None

    @cached_property
    def own_pressure(self) -> OwnPressure | None:
        """The oil pressure this engine should show; None if the plan has no band."""
        band = self.terms.band
        settled = self.settled("floor_delay")
        if band is None:
            return None
        return OwnPressure(self.log, self.terms, band, self.running, settled)

    def share_shown(self, *channels: Floats) -> float:
        """Share of the running time for which all of these have a value. [-]

        Where engine speed is not shown the engine may have run: that time counts as well.
        """
        shown = self.running
        for values in channels:
            shown = shown & ~np.isnan(values)
        whole = self._time_it_may_have_run
        return self.log.total(shown) / whole if whole > 0 else 0.0

    @cached_property
    def _time_it_may_have_run(self) -> float:
        return self.log.total(self.running | np.isnan(self.log["engine_speed"]))

    def shows(self, *channels: Floats) -> bool:
        """Whether these are shown for enough of the running time to say that a limit was kept."""
        return self.share_shown(*channels) >= self.terms["shown_share"]

    def missing(self, check: str, title: str, what: str, needs: str, fit: str) -> Finding:
        """The answer for a channel the log does not have: never a pass.

        Where a column was set aside that may be it, saying so comes before fitting anything.
        """
        wanted = measure.TITLES if needs == "load" else (needs,)
        near = [c for c in self.log.columns if c.may_be in wanted]
        do_next = f"'{near[0].name}': {near[0].why}" if near else fit
        return Finding(
            check, title, Answer.NOT_SHOWN, Said(f"This log does not show {what}."),
            required=needs in self.terms.phase.needs, do_next=Said(do_next),
        )  # fmt: skip
