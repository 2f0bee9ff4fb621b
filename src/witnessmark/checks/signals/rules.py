"""What a sound sensor does, channel by channel, read from book/signals.toml."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from witnessmark.logs.channels.vocabulary import vocabulary
from witnessmark.units import Kind, parse, scale

_FILE = "signals.toml"


@dataclass(frozen=True)
class StuckRule:
    """When a stretch without change is a stuck sensor. Speeds and levels in SI, times in s."""

    follows: str
    moves: float
    lasting: float
    readings: int
    reaching_down_to: float | None
    staying_over: float | None
    only_under: float | None


@dataclass(frozen=True)
class ChannelRule:
    """One channel's rules; `leap` 0 where no jump speaks against it. [SI]

    `always_counts`: it warns of harm, so that what looks wrong is never left out.
    """

    name: str
    stuck: StuckRule | None
    rests: tuple[str, ...]
    must_move: bool
    clips: tuple[str, ...]
    natural_over: float | None
    leap: float
    always_counts: bool = False


@dataclass(frozen=True)
class ReadingRule:
    """When readings piled up at one end, or repeated, are no readings. All numbers [-]."""

    pile_readings: int
    pile_share: float
    pile_over_next: float
    pile_arrival: float
    pile_run: int
    repeat_jump: float
    repeat_changes: int
    repeat_regular: float


@dataclass(frozen=True)
class Follower:
    """A channel that follows another; `excited` in the leader's SI unit, `flag` in s."""

    name: str
    behind: str
    excited: float
    flag: float


@dataclass(frozen=True)
class LagRule:
    """When a delay may be told. Times in s, likeness a correlation [-]."""

    longest: float
    likeness: float
    swings: int
    window: float


@dataclass(frozen=True)
class Rules:
    """All of them."""

    readings: ReadingRule
    dropout_longest: float  # s
    dropout_returns: float  # [-]
    channels: Mapping[str, ChannelRule]
    lags: LagRule
    followers: tuple[Follower, ...]

    def of(self, channel: str) -> ChannelRule:
        """The rules of a channel; none where the book is silent."""
        return self.channels.get(channel, ChannelRule(channel, None, (), False, (), None, 0.0))


def kind_of(channel: str) -> Kind:
    """What a channel measures."""
    return vocabulary().entries[channel].channel.kind


@cache
def rules() -> Rules:
    """The rules, read once."""
    path = files("witnessmark").joinpath("book", _FILE)
    data = tomllib.loads(path.read_text("utf-8"))
    lags, told = data["lags"], data["readings"]
    return Rules(
        ReadingRule(**{k: v for k, v in told.items() if k not in ("why", "source")}),
        _time(data["dropouts"]["longest"]),
        float(data["dropouts"]["returns"]),
        {item["name"]: _channel(item) for item in data["channel"]},
        LagRule(
            _time(lags["longest"]), lags["likeness"], lags["swings"], _time(lags["window"])
        ),
        tuple(_follower(item) for item in data["follower"]),
    )  # fmt: skip


def _channel(item: Mapping[str, Any]) -> ChannelRule:
    name = item["name"]
    return ChannelRule(
        name,
        _stuck(name, item["stuck"]) if "stuck" in item else None,
        tuple(item.get("rests", ())),
        bool(item.get("must_move", False)),
        tuple(item.get("clips", ())),
        _level(item["natural_over"], name) if "natural_over" in item else None,
        difference(item["leap"], name) if "leap" in item else 0.0,
        bool(item.get("always_counts", False)),
    )


def _stuck(name: str, item: Mapping[str, Any]) -> StuckRule:
    leader = item["follows"]

    def of_leader(key: str) -> float | None:
        return _level(item[key], leader) if key in item else None

    return StuckRule(
        leader, difference(item["moves"], leader), _time(item["lasting"]), item["readings"],
        of_leader("reaching_down_to"), of_leader("staying_over"),
        _level(item["only_under"], name) if "only_under" in item else None,
    )  # fmt: skip


def _follower(item: Mapping[str, Any]) -> Follower:
    leader = item["behind"]
    return Follower(item["name"], leader, difference(item["excited"], leader), _time(item["flag"]))


def _level(text: str, channel: str) -> float:
    return parse(text, kind_of(channel), f"{_FILE}, {channel}").value


def difference(text: str, channel: str) -> float:
    """A change of a channel, so without its unit's zero: 10 °C is 10 K. [SI]"""
    number, _, unit = text.partition(" ")
    found = scale(unit, kind_of(channel))
    assert found is not None, f"{_FILE}, {channel}: {text}"
    return float(number) * found.factor


def _time(text: str) -> float:
    return parse(text, Kind.DURATION, _FILE).value
