"""What a calibration taught, in the reader's words and units."""

from dataclasses import dataclass

from witnessmark.model.build import BuildSheet
from witnessmark.model.calibration import Calibration, Estimate, Foretold
from witnessmark.report.plan.view import Fact
from witnessmark.report.words import counted, printable, short
from witnessmark.units import Kind, Preferences, Quantity, show

_TOLD = 0.5  # of the build's own doubt taken away: from here on the log speaks louder
LIMITS = (
    "Where the log says little, the build sheet's number and its range stay. Two parameters that "
    "do the same to the gauge share what the log says: look at the fit as a whole, not at one "
    "number alone.",
    "It holds for this engine, this sender and this fill of oil. After a repair, another sender "
    "or another grade, calibrate again.",
    "It tells what this engine does, not that it is sound: an engine with worn bearings "
    "calibrates just as well.",
)


@dataclass(frozen=True)
class EstimateView:
    """One parameter: the build's number, the fitted one, its range, who said it."""

    title: str
    build: str
    fitted: str
    span: str  # where nine in ten of the fits nearly as good lie
    told: str
    by_log: bool


@dataclass(frozen=True)
class RuleView:
    """How far one rule missed the readings kept back; `ours` marks the fitted circuit."""

    name: str
    miss: str
    ours: bool


@dataclass(frozen=True)
class CalibrationView:
    """The whole page."""

    serial: str
    engine: str
    headline: str
    told: tuple[str, ...]  # what the log told, a sentence each
    facts: tuple[Fact, ...]
    estimates: tuple[EstimateView, ...]
    rules: tuple[RuleView, ...]
    held_out: str  # "" if nothing was kept back
    notes: tuple[str, ...]
    limits: tuple[str, ...]
    footer: str


def calibration_view(
    learned: Calibration, sheet: BuildSheet, prefer: Preferences | None = None
) -> CalibrationView:
    """The calibration in words. `prefer` : the reader's units; the build sheet's own if None."""
    chosen = prefer or sheet.prefer
    foretold = learned.foretold
    parts = tuple(_estimate(each, chosen) for each in learned.estimates)
    return printable(
        CalibrationView(
            serial=learned.serial, engine=sheet.describe(), headline=_headline(parts),
            told=(*_told(parts), _miss(learned, chosen)), facts=tuple(_facts(learned, chosen)),
            estimates=parts,
            rules=_rules(foretold, chosen) if foretold else (),
            held_out=_held_out(foretold) if foretold else "",
            notes=learned.notes, limits=LIMITS,
            footer=f"Calibration of {learned.serial}, build {short(learned.build_sha256)}",
        )
    )  # fmt: skip


def _headline(parts: tuple[EstimateView, ...]) -> str:
    told = sum(each.by_log for each in parts)
    if not told:
        return "The log told little: the build sheet's numbers stay"
    return f"The log told {told} of {len(parts)} numbers; the rest are mostly the build sheet's"


def _told(parts: tuple[EstimateView, ...]) -> list[str]:
    return [
        f"{each.title}: {each.fitted} ({each.span}). By the build sheet: {each.build}."
        for each in parts
        if each.by_log
    ]


def _miss(learned: Calibration, prefer: Preferences) -> str:
    return f"The fit misses the gauge by {_in(learned.miss, Kind.PRESSURE, prefer)}."


def _facts(learned: Calibration, prefer: Preferences) -> list[Fact]:
    slowest, fastest, coldest, hottest = learned.span
    speeds = f"{_in(slowest, Kind.ROTATIONAL_SPEED, prefer)} to " + _in(
        fastest, Kind.ROTATIONAL_SPEED, prefer
    )
    oils = f"{_in(coldest, Kind.TEMPERATURE, prefer)} to {_in(hottest, Kind.TEMPERATURE, prefer)}"
    logs = [f"{log.source.name}: {_in(log.seconds, Kind.DURATION, prefer)}" for log in learned.logs]
    return [
        Fact("Learned from", "; ".join(logs)),
        Fact("Speeds and oil", f"{speeds}, oil of {oils}. Outside of that everything is "
             "extrapolated with the circuit of the build sheet."),
        Fact("Fit", f"misses the gauge by {_in(learned.miss, Kind.PRESSURE, prefer)} (root mean "
             "square)"),
        Fact("Sender", f"follows with a lag of {_in(learned.lag, Kind.DURATION, prefer)}"
             if learned.lag else "follows at once"),
        Fact("Engine", f"warms {_in(learned.soak, Kind.DURATION, prefer)} behind its thermometer"
             if learned.soak else "as warm as its thermometer says"),
        Fact("Build sheet", short(learned.build_sha256)),
    ]  # fmt: skip


def _estimate(each: Estimate, prefer: Preferences) -> EstimateView:
    by_log = each.told >= _TOLD
    return EstimateView(
        title=each.title[:1].upper() + each.title[1:],
        build=_shown(_of_build(each), prefer), fitted=_shown(each.value, prefer),
        span=span(each.low, each.high, prefer),
        told="told by the log" if by_log else "mostly the build sheet", by_log=by_log,
    )  # fmt: skip


def _of_build(each: Estimate) -> Quantity:
    """What the build gave: an offset of nothing, else the fitted value without its factor."""
    if each.value.kind is Kind.PRESSURE and each.factor == each.value.value:
        return Quantity(0.0, each.value.kind)
    return Quantity(each.value.value / each.factor, each.value.kind)


def _rules(foretold: Foretold, prefer: Preferences) -> tuple[RuleView, ...]:
    of = (
        ("the fitted circuit", foretold.circuit, True),
        ("one constant pressure", foretold.constant, False),
        ("straight lines in speed and oil temperature", foretold.linear, False),
        ("a power law under a ceiling", foretold.power, False),
    )
    return tuple(RuleView(name, _in(miss, Kind.PRESSURE, prefer), ours) for name, miss, ours in of)


def _held_out(foretold: Foretold) -> str:
    seen, unseen = counted(foretold.seen, "reading"), counted(foretold.unseen, "reading")
    inside = f"{foretold.inside:.0%}".replace("%", " %")
    return (
        f"Fitted to the first {seen} of the last log, then held against the {unseen} after them. "
        f"{inside} of those lie inside the fit's own 5 to 95 % range."
    )


def span(low: Quantity, high: Quantity, prefer: Preferences) -> str:
    """ "1.6 to 3.7 L/min": the unit stands once."""
    first, last = _shown(low, prefer), _shown(high, prefer)
    number, _, unit = first.partition(" ")
    same = unit and last.endswith(f" {unit}")
    return f"{number if same else first} to {last}"


def _shown(value: Quantity, prefer: Preferences) -> str:
    text = show(value, prefer)
    return f"{text} ×" if value.kind is Kind.RATIO else text


def _in(value: float, kind: Kind, prefer: Preferences) -> str:
    return show(Quantity(value, kind), prefer)
