"""A column's name taken apart: the words in it and the unit it states."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from witnessmark.logs.channels.vocabulary import Entry, Phrase, Vocabulary, Words, fold, vocabulary
from witnessmark.logs.delimited.text import undo_double_decoding
from witnessmark.units import Kind, known_unit, scale

_BRACKETS = re.compile(r"[\[({<]([^\[\](){}<>]*(?:\([^()]*\))?)[\])}>]")
_CAMEL = re.compile(
    r"(?<=[a-zäöüéèà])(?=[A-Z])(?<!k(?=Pa$))(?<!h(?=Pa$))|(?<=[A-Z])(?=[A-Z][a-zäöü]{2})|"
    r"(?<=[A-Za-z])(?=[kh]Pa$)|(?<=\d)(?=[A-Z][a-z])"
)
# "EEC1.EngineSpeed", "Engine/Speed": what stands before the last sign is where it comes from.
_PATH = re.compile(r"^(.*(?:(?<=\w)[./\\](?=[^\W\d])|::))")
# Numbers that tell how a value was sent, not what it is.
_SENT_AS = re.compile(r"(?i)(?<![a-z])(?:(?:spn|pgn)[ _-]?\d+|\d+[ -]?(?:bit|byte)s?)(?![a-z\d])")
_PARTS = re.compile(r"[^\W_]+|%")
_SHORTEST = 3  # letters of a word inside a compound
_AFR = ("afr", ":1", "a/f", "kg/kg", "lb/lb")


@dataclass(frozen=True)
class Named:
    """A name taken apart. `sure`: the unit stands in brackets, after a comma or in a unit row;
    else it is a trailing word ("coolant_C") and may be no unit at all. `tail`: those words.
    `beside`: words in brackets or of the path before the name, that may be mere remarks.
    """

    text: str
    words: tuple[str, ...]
    unit: str = ""
    sure: bool = True
    tail: Words = frozenset()
    beside: Words = frozenset()


@dataclass(frozen=True)
class Match:
    """A channel that a name may mean. `left`: words of the name nobody asked for."""

    entry: Entry
    phrase: Phrase
    rank: int  # place of the phrase in the vocabulary, 0 the best
    left: tuple[str, ...]
    unit: str  # as written, "" if none
    fits: bool  # whether the unit is one of this kind


@lru_cache(maxsize=4096)
def take_apart(name: str, unit: str = "") -> Named:
    """The words and the unit of a column's name. `unit`: from a unit row, if there is one."""
    named = _apart(_SENT_AS.sub(" ", undo_double_decoding(name)).strip(), unit)
    path = _PATH.match(_BRACKETS.sub(" ", named.text))
    remarks = [path[1]] if path else []
    remarks += [found[1] for found in _BRACKETS.finditer(named.text)]
    return replace(named, beside=frozenset(w for text in remarks for w in _words(text)))


def _apart(text: str, unit: str) -> Named:
    barred = _barred(text)
    if barred:
        return Named(text, _words(barred[0]), barred[1])
    if unit:
        return Named(text, _words(_BRACKETS.sub(_keep_words, text)), unit)
    for found in reversed(list(_BRACKETS.finditer(text))):
        if known_unit(found[1]) and found[1].strip():
            rest = text[: found.start()] + " " + text[found.end() :]
            return Named(text, _words(rest), found[1].strip())
    head, comma, tail = text.rpartition(",")
    if comma and tail.strip() and known_unit(tail):
        return Named(text, _words(head), tail.strip())
    return _trailing(text)


def _barred(text: str) -> tuple[str, str] | None:
    """Name and unit out of "name|unit|lowest|highest"."""
    name, *rest = (part.strip(' "') for part in text.split("|"))
    return (name, rest[0]) if rest and rest[0] and known_unit(rest[0]) else None


def _keep_words(match: re.Match[str]) -> str:
    """A bracket in a name beside a unit row: a unit said twice goes, a word stays."""
    return " " if known_unit(match[1]) else f" {match[1]} "


def _trailing(text: str) -> Named:
    """A unit as the last word: "boost_kpa", "speed km/h", "oil-temp-c", "coolantTempC"."""
    for parts in (
        re.split(r"[\s_]+", text), re.split(r"[\s_-]+", text),
        re.split(r"[\s_]+", _CAMEL.sub("_", text)),
    ):  # fmt: skip
        found = _last_unit(text, parts)
        if found is not None:
            return found
    return Named(text, _words(text))


def _last_unit(text: str, parts: Sequence[str]) -> Named | None:
    for size in (2, 1):
        if len(parts) < size:
            continue
        tail, head = parts[-size:], parts[:-size]
        for joint in (" ", "/"):
            unit = joint.join(tail)
            if size == 1 and joint == "/":
                continue
            if known_unit(unit) and not unit.isdigit() and unit != "-":
                words = _words("_".join(head)) + _words("_".join(tail))
                return Named(text, words, unit, False, frozenset(_words("_".join(tail))))
    return None


@lru_cache(maxsize=4096)
def _words(text: str) -> tuple[str, ...]:
    """The words of a name in the vocabulary's terms."""
    found: list[str] = []
    for whole in _PARTS.findall(text):
        # "OilT" is in the vocabulary as it stands; "CoolantTemp" has to be parted first.
        known = fold(whole) in vocabulary().synonyms
        for part in [whole] if known else _CAMEL.sub(" ", whole).split():
            for word in _digits_apart(fold(part)):
                found += _meaning(word)
    return tuple(found)


def _digits_apart(word: str) -> Sequence[str]:
    """ "egt1" -> "egt", "1"; "b1s1" and "o2" stay whole."""
    known = vocabulary()
    if word in known.known or word in known.second:
        return (word,)
    match = re.fullmatch(r"([^\W\d]{2,})(\d{1,2})", word)
    return (match[1], match[2]) if match else (word,)


def _meaning(word: str) -> tuple[str, ...]:
    known = vocabulary()
    if word in known.synonyms:
        return known.synonyms[word]
    if word in known.known or word in known.second:
        return (word,)
    parts = _compound(word)
    if parts is None:
        return (word,)
    return tuple(meant for part in parts for meant in known.synonyms.get(part, (part,)))


@lru_cache(maxsize=4096)
def _compound(word: str) -> tuple[str, ...] | None:
    """A word made of known words ("enginespeed", "ansauglufttemperatur"), longest first."""
    if not word:
        return ()
    known = vocabulary().known
    for end in range(len(word), _SHORTEST - 1, -1):
        if word[:end] in known:
            # German joins with an s: "betriebs-druck".
            for rest in (word[end:], word[end + 1 :] if word[end : end + 1] == "s" else None):
                if rest is not None and (tail := _compound(rest)) is not None:
                    return (word[:end], *tail)
    return None


def matches(named: Named) -> list[Match]:
    """Every channel the name may mean, the one that explains most of its words first."""
    known = vocabulary()
    found = [m for e in known.entries.values() if (m := _match(named, e, known)) is not None]
    return sorted(found, key=lambda m: (len(m.left), -len(m.phrase.words), m.rank))


def _match(named: Named, entry: Entry, known: Vocabulary) -> Match | None:
    """The best phrase of one channel for a name."""
    words = frozenset(named.words)
    unit = entry.unit_words.get(named.unit.lower(), named.unit)
    fits = unit_fits(unit, entry.channel.kind) if unit else False
    remarks = named.beside - known.known - known.second
    options = []
    for rank, phrase in enumerate(entry.phrases):
        if not phrase.words <= words or (phrase.unit and not fits):
            continue
        spare = phrase.words | entry.also | known.plain
        spare |= named.tail if fits or named.sure else frozenset()
        spare |= frozenset() if phrase.weak else remarks
        left = tuple(w for w in named.words if w not in spare)
        if entry.highest:
            left = tuple(w for w in left if not w.isdigit())
        left = tuple(w for w in left if w not in entry.banks)
        options.append((len(left), rank, phrase, left))
    if not options:
        return None
    _, rank, phrase, left = min(options, key=lambda option: option[:2])
    stated = unit if fits or named.sure else ""
    return Match(entry, phrase, rank, left, stated, fits)


def unitless(named: Named) -> Entry | None:
    """The channel a name would mean if it named a unit: "Speed", "Coolant"."""
    if named.unit and named.sure:
        return None
    known = vocabulary()
    words = frozenset(named.words)
    for entry in known.entries.values():
        for phrase in entry.phrases:
            spare = phrase.words | entry.also | known.plain
            if phrase.unit and phrase.words <= words <= spare and _telling(phrase, entry):
                return entry
    return None


def _telling(phrase: Phrase, entry: Entry) -> bool:
    """Whether a phrase says of itself what it is: "speed" may be the engine's or the car's."""
    return phrase.words != frozenset(("speed",)) or entry.channel.kind is Kind.ROAD_SPEED


def unit_fits(unit: str, kind: Kind) -> bool:
    """Whether a unit as written is one of this kind; AFR is one of mixture."""
    if kind is Kind.MIXTURE and is_afr(unit):
        return True
    if kind is Kind.FRACTION and unit.strip() == "":
        return False
    return scale(unit, kind) is not None


def is_afr(unit: str) -> bool:
    """Whether a unit says air per fuel by mass, with or without the fuel: "AFR", "AFR E85"."""
    return afr_unit(unit) is not None


def afr_unit(unit: str) -> float | None:
    """The air-fuel ratio of lambda 1 that a unit counts by, 0 if it names none, None if no AFR.

    "AFR E85" and "AFR diesel" name a fuel, "AFR 14.1" the number itself. [kg/kg]
    """
    text = fold(unit).strip()
    if text in _AFR:
        return 0.0
    head, _, tail = text.partition(" ")
    if head not in _AFR or not tail:
        return None
    for fuel in vocabulary().fuels.values():
        if tail.strip("() ") in fuel.words | {fold(fuel.name)}:
            return fuel.afr
    number = re.fullmatch(r"\d{1,2}(?:\.\d+)?", tail.strip())
    return float(number[0]) if number and 1 < float(number[0]) < 40 else None


def score(text: str) -> float:
    """How well a text does as a column's name: 1 for a channel or a time, a bit for a unit."""
    if not text:
        return 0.0
    named = take_apart(text)
    known = vocabulary()
    found = any(not m.left for m in matches(named)) or bool(set(named.words) & known.time)
    alone = " ".join(named.words)
    long = alone in known.long_value or alone in known.long_name or alone in known.long_unit
    return (1.0 if found or long else 0.0) + (0.5 if named.unit and named.sure else 0.0)
