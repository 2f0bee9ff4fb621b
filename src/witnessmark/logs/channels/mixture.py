"""Air-fuel ratio or lambda, and which fuel the ratio is counted for."""

import re
from collections.abc import Sequence

import numpy as np

from witnessmark.logs.channels.naming import afr_unit, is_afr, take_apart
from witnessmark.logs.channels.recognise import Claim, ask, join
from witnessmark.logs.channels.vocabulary import Fuel, fold, vocabulary
from witnessmark.model.channel import How
from witnessmark.model.log import Floats

_BLEND = re.compile(r"[eE](\d{1,3})")
Decided = tuple[float, str, bool]  # air per fuel at lambda 1, why, and whether beyond doubt


def fuel_in_tank(kind: str, ethanol: float) -> str:
    """A fuel as `read_log` takes it: "petrol", "E10", "E85", "diesel".

    `kind`: as the build sheet says. `ethanol`: its share by volume. [-]
    """
    if kind == "diesel":
        return "diesel"
    return f"E{round(100 * ethanol)}" if ethanol > 0 else "petrol"


def fuel_named(name: str) -> Fuel | None:
    """A fuel by name, blends of petrol and ethanol by their share; None for "" or a stranger."""
    known = vocabulary().fuels
    if name in known:
        return known[name]
    blend = _BLEND.fullmatch(name)
    if blend is None or int(blend[1]) > 100:
        return None
    share = int(blend[1]) / 100
    return Fuel(name, stoichiometric(share), share, frozenset((fold(name),)))


def stoichiometric(ethanol: float) -> float:
    """Air per fuel by mass at lambda 1 of petrol with ethanol. [kg/kg]

    `ethanol`: share by volume, 0 to 1. [-] Mixed by mass, volumes taken as adding up.
    """
    known = vocabulary()
    heavy = ethanol * known.mixture.ethanol_density
    light = (1 - ethanol) * known.mixture.petrol_density
    share = heavy / (heavy + light)
    return share * known.fuels["ethanol"].afr + (1 - share) * known.fuels["petrol"].afr


def decide(claim: Claim, some: Floats, tank: str) -> Decided | Claim:
    """What to divide the readings by, or the claim set aside and what to type.

    `some`: readings from all over the column. `tank`: the fuel, "" if nobody said.
    """
    terms = vocabulary().mixture
    middle = float(np.median(some)) if some.size else 1.0
    if middle < terms.lowest_ratio:
        said = "values are lambda although it says air-fuel ratio" if is_afr(claim.unit) else ""
        return 1.0, said, not said
    named = _named(claim)
    if named is not None:
        return named
    driven = some[some < terms.lean_rail]
    middle = float(np.median(driven)) if driven.size else middle
    return _by_values(claim, driven, middle, fuel_named(tank))


def _named(claim: Claim) -> Decided | None:
    """The fuel its unit or its name states."""
    stated = afr_unit(claim.unit)
    if stated:
        return stated, f"air-fuel ratio counted by {stated:g}, as its unit says", True
    words = set(take_apart(claim.column.name, claim.column.unit).words)
    for fuel in vocabulary().fuels.values():
        if words & fuel.words:
            why = f"air-fuel ratio of {fuel.name}, as its name says: counted by {fuel.afr:g}"
            return fuel.afr, why, True
    return None


def _by_values(claim: Claim, driven: Floats, middle: float, tank: Fuel | None) -> Decided | Claim:
    known = vocabulary()
    petrol = known.fuels["petrol"]
    if _centred(driven, petrol.afr):
        said = "its readings centre on it, so the petrol scale"
        if tank is not None and tank.afr < known.fuels["E10"].afr - 1:
            said += f" whatever the fuel ({tank.name})"
        return petrol.afr, _counted(petrol, said), tank is not None and tank.name == "petrol"
    own = [tank] if tank is not None and tank.name != "petrol" else []
    for fuel in own or [known.fuels["E85"]]:
        if _centred(driven, fuel.afr):
            said = "its readings centre on it"
            return fuel.afr, _counted(fuel, said), False
    fitting = [f for f in (petrol, *(own or [known.fuels["E85"], known.fuels["methanol"]]))
               if _burns(middle, f, tank)]  # fmt: skip
    if own and abs(own[0].afr / petrol.afr - 1) <= known.mixture.centre_width:
        fitting = own  # closer to petrol's than a sensor can tell: no question worth asking
    if not own and fitting and fitting[0] is not petrol:
        fitting = []  # too rich for petrol and not centred: several fuels could be it
    if len(fitting) == 1:
        return fitting[0].afr, _counted(fitting[0], ""), False
    if claim.how is How.TOLD:
        return petrol.afr, _counted(petrol, "you said no fuel"), True
    return _asked(claim, middle, fitting or [petrol, *(own or [known.fuels["E85"]])])


def _counted(fuel: Fuel, said: str) -> str:
    named = "petrol without ethanol" if fuel.name == "petrol" else fuel.name
    return join(f"air-fuel ratio turned into lambda for {named}, {fuel.afr:.3g}", said)


def _centred(driven: Floats, afr: float) -> bool:
    terms = vocabulary().mixture
    near = np.abs(driven / afr - 1) <= terms.centre_width
    return bool(driven.size) and float(near.mean()) >= terms.centre_share


def _burns(middle: float, fuel: Fuel, tank: Fuel | None) -> bool:
    """Whether the middle of a drive may lie there if the column counts by this fuel."""
    terms = vocabulary().mixture
    lean = tank is None or tank.name == "diesel" or middle >= terms.lean_rail
    least, most = terms.richest * fuel.afr, terms.leanest * fuel.afr
    return least <= middle and (middle <= most or (lean and fuel.name in ("petrol", "diesel")))


def _asked(claim: Claim, middle: float, fitting: Sequence[Fuel]) -> Claim:
    assert claim.entry is not None
    options = " or ".join(
        f"{middle / fuel.afr:.2f} if it counts by {fuel.name} ({fuel.afr:.3g})" for fuel in fitting
    )
    why = f"an air-fuel ratio of {middle:.1f} in the middle is lambda {options}; say the fuel"
    other = ask(claim.column, claim.entry, f"AFR {fitting[-1].name}")
    return claim.aside(f"{why}, {other} or", f"AFR {fitting[0].name}")
