"""What a map of films says of running in, in sentences for the workshop."""

import math
from dataclasses import dataclass

import numpy as np

from witnessmark.jobs.film_marks import Mark, Marks
from witnessmark.model.film_map import FilmMap, WorstPoint
from witnessmark.model.log import Floats
from witnessmark.model.said import Said
from witnessmark.units import Kind, Quantity

_HOT = 2  # place of hot oil without fuel among the oils of the marks


@dataclass(frozen=True)
class Answer:
    """A question a technician asks, and the answer."""

    question: str
    said: Said


def answers(made: FilmMap, shown: int, table: Marks) -> tuple[Answer, ...]:
    """Every answer a map has.

    Parameters
    ----------
    made : The map.
    shown : Place of the oil temperature the answers are for.
    table : Films at the ceilings and when lugging; first mark lugging, first oil cold, last with
        fuel.

    Returns
    -------
    Answers; one whose films are not shown says so.
    """
    lugging = table.marks[0]
    driven = next((mark for mark in table.marks[1:] if mark.loaded), lugging)
    return (
        Answer("Thinnest of all", worst_said(made)),
        Answer("Why a ceiling on engine speed", _speed(made, shown)),
        Answer("Why a ceiling on load", _load(made, shown)),
        Answer("Lugging", _lugging(made, shown, lugging)),
        Answer("Cold oil", _cold(table, driven)),
        Answer("Hot oil", _hot(table, driven)),
        Answer("Fuel in the oil", _fuel(table, driven)),
        Answer("While the shells are new", _new(made)),
    )


def worst_said(made: FilmMap) -> Said:
    """The worst point in one sentence, with its reason."""
    worst = made.worst
    if worst is None:
        return Said("Not shown: no state of this map has a film that settles.")
    presses = (
        "gas pressure decides there" if worst.by_gas
        else "the weight of piston and rod decides there, not gas pressure"
    )  # fmt: skip
    return Said(
        "{film} ({low} to {high} for 90 of 100 such builds) in {bearing} at {speed}, "
        f"{load_at(worst.load, 'load')}, "
        "oil {oil}, {angle}: {ratio} times the roughness ({ratio_low} to {ratio_high}), "
        f"{state_of(made, worst.ratio)}; {presses}.",
        {
            "film": _film(worst.film), "low": _film(worst.low), "high": _film(worst.high),
            "bearing": worst.bearing, "speed": _speed_of(worst.speed),
            "load": worst.load, "oil": Quantity(worst.temperature, Kind.TEMPERATURE),
            "angle": angle_of(worst), "ratio": f"{worst.ratio:.1f}",
            "ratio_low": f"{worst.ratio_low:.1f}", "ratio_high": f"{worst.ratio_high:.1f}",
        },
    )  # fmt: skip


def angle_of(worst: WorstPoint) -> str:
    """Crank angle in words; of a main it is counted from the first cylinder of the order."""
    degrees = round(math.degrees(worst.angle)) % 720
    which = "its cylinder" if worst.bearing.startswith("rod") else "the first cylinder"
    return f"{degrees}° after {which} fires"


def load_at(load: Quantity, slot: str) -> str:
    """A load in a sentence: its {slot}, said as intake pressure or as a diesel's fuel."""
    return f"{{{slot}}} of the fuel" if load.kind is Kind.FRACTION else f"intake at {{{slot}}}"


def state_of(made: FilmMap, ratio: float) -> str:
    """The textbook's word for a film so much thicker than the surfaces are rough."""
    if ratio >= made.rough.full_film:
        return "a full film by the textbook"
    if ratio >= made.rough.boundary:
        return "a mixed film by the textbook"
    return "peaks touch by the textbook"


def _speed(made: FilmMap, t: int) -> Said:
    course, shut = made.least[:, made.full, t], made.least[:, 0, t]
    if np.any(np.isnan(course)) or np.isnan(shut[-1]):
        return _silent()
    best = int(np.argmax(course))
    text = f"On oil of {{oil}} at {_full(made)} the film is thickest at {{best}}: {{most}}. "
    if best < len(course) - 1:
        text += (
            "Faster, the weight of piston and rod and the heat in the film thin it: {last} at "
            "{top}, and {shut} there without load. "
        )
    else:
        text += "It still grows up to {top}: speed does not thin it on this engine. "
    text += _kept(made, course)
    return Said(
        text,
        {
            "oil": _oil(made, t), "best": _speed_of(made.speed[best]), "most": _film(course[best]),
            "last": _film(course[-1]), "top": _speed_of(made.speed[-1]), "shut": _film(shut[-1]),
        },
    )  # fmt: skip


def _kept(made: FilmMap, course: Floats) -> str:
    """Where a film over speed keeps the textbook's full film."""
    times = f"{made.rough.full_film:g} times the roughness"
    kept = np.flatnonzero(course >= made.rough.full_film * made.rough.run_in)
    if not len(kept):
        return f"It reaches {times} at no speed."
    ends = [f"{made.speed[i] * 60:,.0f}" for i in (kept[0], kept[-1])]
    if kept[0] == 0 and kept[-1] == len(course) - 1:
        return f"It keeps {times} all the way."
    return f"It keeps {times} from {ends[0]} to {ends[1]} rpm only."


def _load(made: FilmMap, t: int) -> Said:
    slow, fast = made.least[0, :, t], made.least[-1, :, t]
    if np.any(np.isnan([slow[made.full], slow[0], fast[-1], fast[0]])):
        return _silent()
    return Said(
        f"On oil of {{oil}} at {{slow}}, {_full(made)} leaves {{low}} of the film there is with "
        f"{load_at(made.loads[0], 'light')}: {{film}} in place of {{was}}. "
        f"At {{fast}}, {load_at(made.loads[-1], 'heavy')} leaves {{high}}.",
        {
            "oil": _oil(made, t), "slow": _speed_of(made.speed[0]),
            "fast": _speed_of(made.speed[-1]), "low": _share(slow[made.full], slow[0]),
            "light": made.loads[0], "heavy": made.loads[-1], "film": _film(slow[made.full]),
            "was": _film(slow[0]), "high": _share(fast[-1], fast[0]),
        },
    )  # fmt: skip


def _lugging(made: FilmMap, t: int, lugging: Mark) -> Said:
    course = made.least[:, made.full, t]
    if np.any(np.isnan(course)):
        return _silent()
    # Off the map and not off the mark, which is of the oil without fuel.
    film = float(np.interp(lugging.speed, made.speed, course))
    best = int(np.argmax(course))
    return Said(
        f"{_full(made).capitalize()} from {{slow}} on oil of {{oil}} leaves {{film}}, {{share}} of "
        "what {fast} leaves.",
        {
            "slow": _speed_of(lugging.speed), "oil": _oil(made, t), "film": _film(film),
            "share": _share(film, course[best]), "fast": _speed_of(made.speed[best]),
        },
    )  # fmt: skip


def _cold(table: Marks, mark: Mark) -> Said:
    return _against(
        table, mark, (0, 1),
        "oil of {oil} leaves {film} where oil of {other} leaves {was}. That cold oil is slow to "
        "arrive this does not show: it is no leave to pull hard.",
    )  # fmt: skip


def _hot(table: Marks, mark: Mark) -> Said:
    warm, hot, hotter = 1, _HOT, 3  # where hot oil was asked for that is hotter still
    pair = (hotter, hot) if table.oil[hotter] > table.oil[hot] else (hot, warm)
    return _against(
        table, mark, pair,
        "oil of {oil} leaves {film} where oil of {other} leaves {was}: {share} of it.",
    )  # fmt: skip


def _fuel(table: Marks, mark: Mark) -> Said:
    return _against(
        table, mark, (4, _HOT),
        "{fuel} of fuel in oil of {oil} leaves {film} in place of {was}: {share} of it, by the "
        "blending rule that thins most.",
    )  # fmt: skip


def _against(table: Marks, mark: Mark, pair: tuple[int, int], text: str) -> Said:
    """A film on one oil against the same on another."""
    one, other = pair
    film, was = float(mark.film[one]), float(mark.film[other])
    if np.isnan(film) or np.isnan(was):
        return _silent()
    return Said(
        f"At {{speed}} ({mark.title}), {text}",
        {
            "speed": _speed_of(mark.speed), "film": _film(film), "was": _film(was),
            "oil": Quantity(float(table.oil[one]), Kind.TEMPERATURE),
            "other": Quantity(float(table.oil[other]), Kind.TEMPERATURE),
            "fuel": Quantity(float(table.fuel[one]), Kind.FRACTION),
            "share": _share(film, was),
        },
    )  # fmt: skip


def _new(made: FilmMap) -> Said:
    if made.worst is None:
        return _silent()
    rough = made.rough
    return Said(
        "Shells fresh from the box are rough: {new} with the journal, against {old} once their "
        "peaks are worn off. The same film then stands {few} times over the roughness in place of "
        "{more}. Wearing them off gently is what the first miles are for.",
        {
            "new": _film(rough.new), "old": _film(rough.run_in),
            "few": f"{made.worst.film / rough.new:.1f}", "more": f"{made.worst.ratio:.1f}",
        },
    )  # fmt: skip


def _silent() -> Said:
    return Said("Not shown: the journal's path does not settle there.")


def _full(made: FilmMap) -> str:
    """Full throttle in words that fit the fuel; boost, where there is any, comes on top."""
    words = "the pedal down" if made.loads[0].kind is Kind.FRACTION else "full throttle"
    return words if made.full == len(made.loads) - 1 else f"{words} without boost"


def _share(film: float, of: float) -> str:
    return f"{film / of:.0%}".replace("%", " %")


def _film(value: float) -> Quantity:
    return Quantity(float(value), Kind.ROUGHNESS)


def _speed_of(value: float) -> Quantity:
    return Quantity(float(value), Kind.ROTATIONAL_SPEED)


def _oil(made: FilmMap, t: int) -> Quantity:
    return Quantity(float(made.temperature[t]), Kind.TEMPERATURE)
