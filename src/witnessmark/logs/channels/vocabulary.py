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
    highest: bool  # several sensors (one a cylinder) are shown as the hottest of them
    unit_words: Mapping[str, str]  # a unit's word -> what it means here ("inch": of mercury)


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
    return Vocabulary(entries, synonyms, known=known, **names)


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
        item.get("many") == "highest", item.get("unit_words", {}),
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
