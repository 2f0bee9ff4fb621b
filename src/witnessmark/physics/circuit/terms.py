"""A circuit and its states boiled down to the few numbers a block of states is solved with."""

import math
from collections.abc import Callable
from dataclasses import dataclass, fields

import numpy as np

from witnessmark.physics.checked import Array
from witnessmark.physics.circuit.circuit import Circuit, State
from witnessmark.physics.circuit.orifice import LOWEST, Orifice, coefficients
from witnessmark.physics.circuit.valve import relief_held_back
from witnessmark.physics.numbers import Floats

LEAST = 1e-30  # stands for no flow where nothing runs: keeps ratios finite
NEVER = 1e15  # Pa, stands for the opening of a valve that never opens: keeps sums finite
LOG_SCALE = math.sqrt(7.5) / math.log(100)  # 7.5 log10(x)² = (LOG_SCALE ln x²)²


@dataclass(frozen=True)
class Hole:
    """orifice_flow as size P / D, D = creep + y (resist - dip / q), q = 1 + (l + shift)².

    P is the pressure fall, y its root, l = LOG_SCALE ln P, creep = laminar / (Re / y). Where
    b = tenth y / creep = Re / 10 is below 1, creep grows by creep slow (1 - b)².
    """

    size: Floats
    creep: Floats
    shift: Floats
    resist: Floats
    dip: Floats
    slow: Floats
    tenth: Floats


@dataclass(frozen=True)
class Gate:
    """Holes behind one opening pressure, so that root and logarithm are taken once for all."""

    opening: Floats
    holes: tuple[Hole, ...]


@dataclass(frozen=True)
class Held:
    """A bearing whose crank holds oil back: flow = conductance p - start, none where below 0."""

    conductance: Floats
    start: Floats


@dataclass(frozen=True)
class Terms:
    """Everything balance() needs, viscosity and speed already worked in.

    displaced [m³/s]; slip, leak, relief [m³/s/Pa]; draught of the turning crank [m³/s];
    start = relief times its opening [m³/s]; opening [Pa]; filter and rest: Δp = a Q + b Q²; the
    bypass; thirst: all open holes as J of Q = J sqrt(p), for a first guess. Shapes broadcast to the
    states; a number that is the same in all of them is a plain float.
    """

    displaced: Floats
    slip: Floats
    leak: Floats
    draught: Floats
    relief: Floats
    start: Floats
    opening: Floats
    curtain: Floats
    filter_a: Floats
    filter_b: Floats
    rest_a: Floats
    rest_b: Floats
    bypass_opening: Floats
    bypass_gradient: Floats
    thirst: Floats
    held: tuple[Held, ...]
    gates: tuple[Gate, ...]
    after_filter: bool

    def changed(self, change: Callable[[Floats], Floats]) -> "Terms":
        """Same terms, each number changed."""
        held = tuple(Held(*map(change, vars(h).values())) for h in self.held)
        gates = tuple(
            Gate(change(g.opening), tuple(Hole(*map(change, vars(h).values())) for h in g.holes))
            for g in self.gates
        )
        plain = {name: change(getattr(self, name)) for name in _PLAIN}
        return Terms(**plain, held=held, gates=gates, after_filter=self.after_filter)


_PLAIN = [f.name for f in fields(Terms)][:-3]


def boil(circuit: Circuit, state: State) -> Terms:
    """Terms of a circuit in its states.

    Parameters
    ----------
    circuit, state : Arrays broadcast.

    Returns
    -------
    Terms, each array only as large as what it depends on.
    """
    c = circuit
    speed, viscosity, density, film = (
        np.asarray(v, dtype=np.float64)
        for v in (state.speed, state.viscosity, state.density, state.film_viscosity)
    )
    conductance, headed, held = 0.0 * film, 0.0 * film, []
    for leak in c.leaks:
        if np.all(np.asarray(leak.head) >= 0):
            conductance = conductance + leak.conductance
            headed = headed + np.asarray(leak.conductance) * leak.head
        else:
            flow = np.asarray(leak.conductance) / film
            held.append(Held(flow, flow * (-leak.head * density * speed**2)))
    held_back = relief_held_back(c.relief_drag, c.relief_opening, viscosity, density)
    relief = 1 / (np.asarray(c.relief_gradient, dtype=np.float64) * held_back)
    gates = _gates(c.orifices, viscosity, density)
    terms = Terms(
        displaced=np.asarray(c.pump_displacement) * c.drive_ratio * speed,
        slip=c.slip / viscosity,
        leak=conductance / film,
        draught=headed * density * speed**2 / film,
        relief=relief,
        start=np.minimum(c.relief_opening, NEVER) * relief,
        opening=np.minimum(c.relief_opening, NEVER),
        curtain=c.relief_curtain,
        filter_a=c.filter_laminar * viscosity,
        filter_b=c.filter_turbulent * density,
        rest_a=(np.asarray(c.cooler_laminar) + c.passage_laminar) * viscosity,
        rest_b=(np.asarray(c.cooler_turbulent) + c.passage_turbulent) * density,
        bypass_opening=np.minimum(c.bypass_opening, NEVER),
        bypass_gradient=c.bypass_gradient,
        thirst=sum((h.size / np.asarray(h.resist) for h in _open(gates)), np.asarray(LEAST)),
        held=tuple(held),
        gates=gates,
        after_filter=c.relief_after_filter,
    )
    return terms.changed(_plain)


def _gates(orifices: tuple[Orifice, ...], viscosity: Array, density: Array) -> tuple[Gate, ...]:
    """Orifices gathered by opening pressure."""
    found: list[tuple[Floats, list[Hole]]] = []
    for orifice in orifices:
        hole = _hole(orifice, viscosity, density)
        for opening, holes in found:
            if np.array_equal(opening, orifice.opening):
                holes.append(hole)
                break
        else:
            found.append((orifice.opening, [hole]))
    return tuple(Gate(opening, tuple(holes)) for opening, holes in found)


def _hole(orifice: Orifice, viscosity: Array, density: Array) -> Hole:
    area = np.asarray(orifice.area, dtype=np.float64)
    per_root = np.sqrt(4 * area / np.pi) * np.sqrt(2 * density) / viscosity  # Re = per_root y
    ratio = np.asarray(orifice.length_ratio, dtype=np.float64)
    turbulent, laminar, dip, creeping = coefficients(ratio)
    return Hole(
        size=orifice.count * area * np.sqrt(2 / density),
        creep=laminar / per_root,
        shift=2 * LOG_SCALE * np.log(0.00015 * per_root),
        resist=turbulent,
        dip=dip,
        slow=creeping / laminar,
        tenth=laminar / LOWEST,
    )


def _open(gates: tuple[Gate, ...]) -> list[Hole]:
    return [h for g in gates if np.ndim(g.opening) == 0 and g.opening == 0 for h in g.holes]


def _plain(number: Floats) -> Floats:
    """One element as a float; others as they are."""
    return float(np.asarray(number).flat[0]) if np.size(number) == 1 else number
