"""The words of the trade for what a log shows, read from vocabulary.toml."""

import tomllib
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from witnessmark.model.channel import Channel
from witnessmark.units import Kind, parse, scale

Words = frozenset[str]


@dataclass(frozen=True)
class Phrase:
    """Words that must all stand in a name; `unit`: only beside a unit that fits."""

    words: Words
    unit: bool
    gauge: bool = False  # names a pressure that may be counted from the atmosphere

    @property
    def weak(self) -> bool:
        """A single common word: with a word beside it that we do not know, it proves nothing."""
        return len(self.words) == 1


@dataclass(frozen=True)
class Entry:
    """A channel with the words for it. SI throughout.

    `hold`: seconds one reading may stand for. `usual_low`/`usual_high`: bounds of the 5 % and
    95 % points of a real drive, for telling units apart; None if they cannot tell.
    """

    channel: Channel
    hold: float
    units: tuple[str, ...]
    phrases: tuple[Phrase, ...]
    also: Words
    usual_low: tuple[float, float] | None
    usual_high: tuple[float, float] | None
    many: str  # several sensors of it: "highest" or "leanest" counts; "" if one only is used
    unit_words: Mapping[str, str]  # a unit's word -> what it means here ("inch": of mercury)
    banks: Words = frozenset()  # words for another bank of the engine
    flag: bool = False  # on or off: readings that are all 0 are the same in any unit
    kept_up: float | None = None  # most it can change over a window of `Moves` for long, SI

    @property
    def highest(self) -> bool:
        """Whether there is one sensor a cylinder, and the highest of them counts."""
        return self.many == "highest"


@dataclass(frozen=True)
class Fuel:
    """What an air-fuel ratio may be counted by. `afr`: air per fuel by mass at lambda 1. [kg/kg]

    `ethanol`: its share by volume, None if the fuel is none of petrol and ethanol.
    """

    name: str
    afr: float
    ethanol: float | None
    words: Words


@dataclass(frozen=True)
class Mixtures:
    """How the scale of an air-fuel ratio is told from its readings; told in vocabulary.toml."""

    lowest_ratio: float
    centre_width: float
    centre_share: float
    richest: float
    leanest: float
    lean_rail: float
    petrol_density: float
    ethanol_density: float


@dataclass(frozen=True)
class Moves:
    """How an engine and a car can move. SI.

    `window`, `share`, `shortest`: over how long a change is looked at [s], how much of a log may
    move too fast [-], and how long a log must be [s]. `ratio`: most the ratio of engine to road
    speed moves in the middle [-] over `ratio_window` [s] above both speeds [m/s, rev/s], said of
    no less than `ratio_time` [s]. `revved`: an idle with the throttle shut is slower. [rev/s]
    `full_low` to `full_high`: where a throttle may be open all the way if its highest reading makes
    up `full_share` of all. [-]
    """

    window: float
    share: float
    shortest: float
    ratio: float
    ratio_window: float
    ratio_speed: float
    ratio_engine: float
    ratio_time: float
    revved: float
    full_low: float
    full_high: float
    full_share: float


@dataclass(frozen=True)
class Vocabulary:
    """All entries by channel name, and the words beside them."""

    entries: Mapping[str, Entry]
    synonyms: Mapping[str, tuple[str, ...]]
    plain: Words
    other: Words
    second: Words
    time: Words
    time_plain: Words
    long_name: Words
    long_value: Words
    long_unit: Words
    known: Words  # every word that means something to us
    fuels: Mapping[str, Fuel]
    mixture: Mixtures
    moves: Moves


@cache
def vocabulary() -> Vocabulary:
    """The vocabulary, read once."""
    data = tomllib.loads(files(__package__).joinpath("vocabulary.toml").read_text("utf-8"))
    entries = {item["name"]: _entry(item) for item in data["channel"]}
    synonyms = {fold(word): tuple(meant.split()) for word, meant in data["words"].items()}
    names = {key: frozenset(map(fold, words)) for key, words in data["names"].items()}
    known = frozenset().union(
        *(phrase.words for entry in entries.values() for phrase in entry.phrases),
        *(entry.also for entry in entries.values()),
        synonyms,
        names["plain"], names["other"], names["time"],
    )  # fmt: skip
    fuels = {item["name"]: _fuel(item) for item in data["fuel"]}
    return Vocabulary(
        entries, synonyms, known=known, fuels=fuels, mixture=Mixtures(**data["mixture"]),
        moves=_moves(data["moves"]), **names,
    )  # fmt: skip


def _fuel(item: Mapping[str, Any]) -> Fuel:
    words = frozenset(map(fold, item["words"]))
    return Fuel(item["name"], item["afr"], item.get("ethanol"), words)


def _moves(data: Mapping[str, Any]) -> Moves:
    kinds = {
        "window": Kind.DURATION, "share": Kind.FRACTION, "shortest": Kind.DURATION,
        "ratio_window": Kind.DURATION, "ratio_time": Kind.DURATION,
        "ratio_speed": Kind.ROAD_SPEED, "ratio_engine": Kind.ROTATIONAL_SPEED,
        "revved": Kind.ROTATIONAL_SPEED,
        "full_low": Kind.FRACTION,
        "full_high": Kind.FRACTION,
        "full_share": Kind.FRACTION,
    }  # fmt: skip
    read = {key: parse(data[key], kind, f"[moves] {key}").value for key, kind in kinds.items()}
    return Moves(ratio=data["ratio"], **read)


# Letters that are no letter with an accent, so that taking accents off leaves them.
_NOT_ACCENTS = str.maketrans(
    {"ß": "ss", "ł": "l", "ø": "o", "đ": "d", "æ": "ae", "œ": "oe", "ı": "i"}
)


def fold(text: str) -> str:
    """Lower case without accents: "Kühlmittel" and "KUHLMITTEL" are one word."""
    spread = unicodedata.normalize("NFKD", text.lower().translate(_NOT_ACCENTS))
    return "".join(c for c in spread if not unicodedata.combining(c))


def _entry(item: Mapping[str, Any]) -> Entry:
    name, kind = str(item["name"]), Kind(item["kind"])

    def si(text: str) -> float:
        return parse(text, kind, f"vocabulary.toml, {name}").value

    def pair(key: str) -> tuple[float, float] | None:
        return (si(item[key][0]), si(item[key][1])) if key in item else None

    channel = Channel(
        name, kind, item["title"], si(item["low"]), si(item["high"]), _step(item["rate"], kind)
    )
    phrases = [_phrase(text, False) for text in item["phrases"]]
    phrases += [_phrase(text, True) for text in item.get("gauge_phrases", ())]
    return Entry(
        channel, parse(item["hold"], Kind.DURATION, name).value, tuple(item["units"]),
        tuple(phrases), frozenset(map(fold, item["also"])), pair("usual_low"), pair("usual_high"),
        item.get("many", ""), item.get("unit_words", {}),
        frozenset(map(fold, item.get("banks", ()))), item.get("flag", False),
        _step(item["kept_up"], kind) if "kept_up" in item else None,
    )  # fmt: skip


def _phrase(text: str, gauge: bool) -> Phrase:
    words, _, unit = text.partition("+")
    return Phrase(frozenset(map(fold, words.split())), unit.strip() == "unit", gauge)


def _step(text: str, kind: Kind) -> float:
    """A change, so without the unit's zero: 10 °C is 10 K, not 283 K."""
    number, _, unit = text.partition(" ")
    found = scale(unit, kind)
    assert found is not None, text
    return float(number) * found.factor
