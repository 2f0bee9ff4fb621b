"""A pressure band as its reader sees it: words and numbers in his units."""

from collections.abc import Sequence
from dataclasses import dataclass

from witnessmark.jobs.band import EngineBand
from witnessmark.model.pressure_band import REST, SPOKEN, Judged, Shown
from witnessmark.report.plan.pressure import bare_pressure, round_speeds, speed_named
from witnessmark.report.plan.view import AssumptionView, Fact
from witnessmark.report.words import printable, short
from witnessmark.units import Kind, Preferences, Quantity, parse, show

# Columns and rows a technician reads; the band itself is finer.
_OILS = ("40 °C", "60 °C", "80 °C", "100 °C", "120 °C")
_STEP = "1000 rpm"
_NAMED = 0.05  # share of the spread from which a parameter is worth a line


@dataclass(frozen=True)
class Cell:
    """Pressures that 5, 50 and 95 of 100 such builds stay under, numbers without their unit."""

    low: str
    middle: str
    high: str


@dataclass(frozen=True)
class Row:
    """One engine speed; `rule` is what the rule of thumb would ask."""

    speed: str
    cells: tuple[Cell, ...]
    rule: str


@dataclass(frozen=True)
class Part:
    """One cause of the spread: its share, what it is, what it rests on, who says so."""

    share: str
    name: str
    made_of: str
    who: str


@dataclass(frozen=True)
class AnswerView:
    """A reading's answer; `key` for its style, `sign` how grave."""

    answer: str
    said: str
    key: str


@dataclass(frozen=True)
class BandView:
    """The whole page."""

    serial: str
    engine: str
    unit: str
    oils: tuple[str, ...]
    rows: tuple[Row, ...]
    facts: tuple[Fact, ...]
    parts: tuple[Part, ...]
    assumptions: tuple[AssumptionView, ...]
    rule: str
    limits: tuple[str, ...]
    footer: str


LIMITS = (
    "A band for steady running with the oil as warm in the sump as in the gallery; let speed and "
    "oil temperature settle before you compare.",
    "90 of 100 builds with this sheet, measured as well as such sheets are, lie between the outer "
    "numbers. It tells whether a reading fits, not whether a bearing is sound.",
    "Below 0 °C and above 150 °C nothing is foretold.",
)
_KEYS = {
    Shown.RIGHT: "kept", Shown.LOW: "too-little-shown", Shown.HIGH: "too-little-shown",
    Shown.FAR_TOO_LOW: "broken", Shown.FAR_TOO_HIGH: "broken", Shown.CANNOT_TELL: "not-shown",
}  # fmt: skip


def band_view(made: EngineBand, prefer: Preferences | None = None) -> BandView:
    """The band in words. `prefer` : the reader's units; the build sheet's own if None."""
    chosen = prefer or made.prefer
    band = made.band
    return printable(
        BandView(
            serial=made.serial, engine=made.engine, unit=chosen.unit(Kind.PRESSURE),
            oils=tuple(show(parse(text, Kind.TEMPERATURE, ""), chosen) for text in _OILS),
            rows=tuple(
                _row(made, speed, chosen)
                for speed in round_speeds(made.idle, float(made.band.speed[-1]))
            ),
            facts=(
                Fact("Rests on", _capital(band.basis)),
                Fact("Worked out by", str(band.authority)),
                Fact("Oil", made.oil),
                Fact("Relief valve opens at", show(Quantity(band.relief, Kind.PRESSURE), chosen)),
                Fact("Build sheet", short(made.build_sha256)),
            ),
            parts=tuple(_parts(made)),
            assumptions=tuple(
                AssumptionView(a.path, a.said.read(chosen), a.why) for a in band.assumed
            ),
            rule=f"Rule of thumb, not this engine's: {show(made.rule.value, chosen)} for each "
            f"1,000 rpm ({made.rule.authority}).",
            limits=LIMITS,
            footer=f"Pressure band of {made.serial}, {band.basis}, "
            f"build {short(made.build_sha256)}",
        )
    )  # fmt: skip


def answer_view(judged: Judged, prefer: Preferences) -> AnswerView:
    """One reading's answer in words."""
    said = judged.said.read(prefer)
    return printable(AnswerView(_capital(judged.answer.value), said, _KEYS[judged.answer]))


def parts_of(pairs: Sequence[tuple[str, float]]) -> list[tuple[str, float]]:
    """The causes of a spread worth naming, largest first; what is left over comes last."""
    named = [(n, share) for n, share in pairs if n != REST and share >= _NAMED]
    return [*named, (REST, max(0.0, 1 - sum(share for _, share in named)))]


def _parts(made: EngineBand) -> list[Part]:
    made_of = {name: (words, str(who)) for name, words, who in made.spreads}
    parts = []
    for name, share in parts_of(made.band.overall()):
        words, who = made_of.get(name, ("what is left, several at once", ""))
        called = "all the rest" if name == REST else SPOKEN[name]
        parts.append(Part(f"{share:.0%}".replace("%", " %"), _capital(called), words, who))
    return parts


def _row(made: EngineBand, speed: float, prefer: Preferences) -> Row:
    cells = []
    for text in _OILS:
        found = made.band.at(speed, parse(text, Kind.TEMPERATURE, "").value)
        three = (bare_pressure(float(p), prefer) for p in (found.low, found.middle, found.high))
        cells.append(Cell(*three))
    per_turn = made.rule.value.value / parse(_STEP, Kind.ROTATIONAL_SPEED, "").value
    return Row(
        speed_named(speed, made.idle, prefer), tuple(cells), bare_pressure(per_turn * speed, prefer)
    )


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
