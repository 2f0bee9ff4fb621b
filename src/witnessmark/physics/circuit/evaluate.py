"""The balance of a block of states: what balance() says, arranged for speed, with its slope."""

import numpy as np

from witnessmark.physics.checked import Array
from witnessmark.physics.circuit.terms import LOG_SCALE, Gate, Held, Hole, Terms

TINY = 1e-30  # pressure fall over a shut hole, so that its root and logarithm exist


class Desk:
    """Scratch arrays for a block of states; p, left and slope also as they were before.

    Made once and cut to size: fresh arrays for each block cost more than the arithmetic.
    """

    def __init__(self, rows: Array) -> None:
        """Lay out ROWS rows of as many states as they have columns."""
        self.rows = rows
        self.p, self.left, self.slope, self.pump, self.flow, self.spilled = rows[:6]
        self.old_p, self.old_left, self.old_slope = rows[6:9]
        self.full, self.fall, self.root, self.log = rows[9:13]
        self.a, self.b, self.c, self.d, self.e, self.steep, self.bend = rows[13:]

    def turn_over(self) -> None:
        """Make the present point the old one."""
        self.p, self.old_p = self.old_p, self.p
        self.left, self.old_left = self.old_left, self.left
        self.slope, self.old_slope = self.old_slope, self.slope


ROWS = 20


def may_bypass(terms: Terms, desk: Desk) -> bool:
    """Whether all the pump can displace would open the filter's bypass in any state."""
    most = np.multiply(terms.displaced, terms.filter_b, out=desk.a)
    most += terms.filter_a
    most *= terms.displaced
    return bool(np.any(most > terms.bypass_opening))


def evaluate(terms: Terms, desk: Desk, bypassed: bool, rough: bool = False) -> None:
    """Fill in pump, flow, spilled, left and slope at pressures desk.p.

    Parameters
    ----------
    terms : Spread out over the block, or floats.
    desk : Holds p. [Pa]
    bypassed : Whether the filter's bypass need be looked at.
    rough : Logarithms to seven digits only, while the search is still far off.

    slope is minus the derivative of left by p. [m³/s/Pa]
    """
    empty = _demand(terms, desk, rough)
    if terms.after_filter:
        _spill(terms, desk.full, desk)
        desk.flow += desk.spilled
        desk.slope += desk.b
    climb = desk.c
    _losses(terms, desk, bypassed)
    climb *= desk.slope
    climb += 1.0 if empty is None else empty  # an empty gallery keeps its pressure
    np.multiply(desk.pump, terms.slip, out=desk.a)
    np.subtract(terms.displaced, desk.a, out=desk.left)
    desk.left -= desk.flow
    if terms.after_filter:
        climb *= terms.slip
    else:
        _spill(terms, desk.pump, desk)
        desk.left -= desk.spilled
        desk.b += terms.slip
        climb *= desk.b
    desk.slope += climb


def _demand(terms: Terms, desk: Desk, rough: bool) -> Array | None:
    """Flow to bearings and holes; answers where the gallery is not empty, if it is anywhere."""
    np.multiply(desk.p, terms.leak, out=desk.flow)
    desk.slope[:] = terms.leak
    desk.flow += terms.draught
    np.maximum(desk.p, 0.0, out=desk.full)
    empty = desk.p.min() < 0.0
    not_empty = (desk.p > 0.0).astype(np.float64) if empty else None
    for held in terms.held:
        _held(held, desk)
    for gate in terms.gates:
        _gate(gate, desk, rough)
        if not_empty is not None:
            desk.bend *= not_empty
        desk.slope += desk.bend
    return not_empty


def _held(held: Held, desk: Desk) -> None:
    np.multiply(desk.full, held.conductance, out=desk.a)
    desk.a -= held.start
    np.multiply(desk.a > 0, held.conductance, out=desk.b)
    desk.slope += desk.b
    np.maximum(desk.a, 0.0, out=desk.a)
    desk.flow += desk.a


def _gate(gate: Gate, desk: Desk, rough: bool) -> None:
    fall, root, log, bend = desk.fall, desk.root, desk.log, desk.bend
    always = isinstance(gate.opening, float) and gate.opening == 0.0
    if always:
        np.maximum(desk.full, TINY, out=fall)
    else:
        np.subtract(desk.full, gate.opening, out=fall)
        np.maximum(fall, TINY, out=fall)
    np.sqrt(fall, out=root)
    if rough:
        log[:] = np.log(root.astype(np.float32))
        log *= 2 * LOG_SCALE
    else:
        np.log(fall, out=log)
        log *= LOG_SCALE
    bend[:] = 0.0
    np.multiply(root, 4.0 * LOG_SCALE, out=desk.steep)
    for hole in gate.holes:
        _hole(hole, desk)
    if not always:
        bend *= fall > TINY
    bend *= 0.5


def _hole(hole: Hole, desk: Desk) -> None:
    """Add flow P size / D, and to bend twice its slope, size (D + creep - 2 a) / D²."""
    a, b, d, root = desk.a, desk.b, desk.d, desk.root
    np.add(desk.log, hole.shift, out=a)
    np.multiply(a, a, out=b)
    b += 1.0
    np.divide(hole.dip, b, out=d)  # dip / q
    a *= d
    a /= b
    a *= desk.steep  # twice what the dip takes from half of y dD/dy
    np.subtract(hole.resist, d, out=d)
    d *= root
    d += hole.creep
    np.multiply(root, hole.tenth, out=b)
    b /= hole.creep
    if b.min() < 1.0:
        _creeping(hole, b, desk)
    else:
        np.add(d, hole.creep, out=b)
    b -= a
    b /= d
    np.divide(hole.size, d, out=d)
    b *= d
    desk.bend += b
    d *= desk.fall
    desk.flow += d


def _creeping(hole: Hole, tenth: Array, desk: Desk) -> None:
    """What _hole does to D and to D + creep where the Reynolds number may be under 10.

    With s = 1 - tenth above 0, D grows by creep slow s², and the slope's D + creep becomes
    D + creep (1 + slow s (1 + tenth)), left where tenth of the Reynolds number came in.
    """
    short, part = desk.c, desk.e
    np.subtract(1.0, tenth, out=short)
    np.maximum(short, 0.0, out=short)
    tenth += 1.0
    tenth *= short
    tenth *= hole.slow
    tenth += 1.0
    tenth *= hole.creep
    np.multiply(short, hole.creep, out=part)
    part *= hole.slow
    part *= short
    desk.d += part
    tenth += desk.d


def _losses(terms: Terms, desk: Desk, bypassed: bool) -> None:
    """Pump pressure, and in desk.c how the losses grow with flow."""
    flow, climb, a = desk.flow, desk.c, desk.a
    if not bypassed:
        np.add(terms.filter_b, terms.rest_b, out=a)
        a *= flow
        np.add(terms.filter_a, terms.rest_a, out=climb)
        climb += a
        np.multiply(climb, flow, out=desk.pump)
        climb += a
        desk.pump += desk.full
        return
    # Through the element: 2 r / (s + sqrt(s² + 4 b r)), r = opening + gradient Q, s = a + gradient.
    straight = np.add(terms.filter_a, terms.bypass_gradient, out=desk.e)
    reach = np.multiply(flow, terms.bypass_gradient, out=a)
    reach += terms.bypass_opening
    root = np.multiply(reach, terms.filter_b, out=desk.b)
    root *= 4.0
    np.multiply(straight, straight, out=desk.d)
    root += desk.d
    np.sqrt(root, out=root)
    straight += root
    reach *= 2.0
    through = np.divide(reach, straight, out=a)
    passed = through < flow
    np.minimum(through, flow, out=through)
    part = np.divide(terms.bypass_gradient, root, out=root)  # what of more flow goes through it
    np.copyto(part, 1.0, where=~passed)
    inner = np.multiply(through, terms.filter_b, out=desk.d)
    np.add(inner, terms.filter_a, out=desk.pump)
    np.add(desk.pump, inner, out=climb)
    climb *= part
    desk.pump *= through
    np.multiply(flow, terms.rest_b, out=a)
    np.add(a, terms.rest_a, out=desk.b)
    climb += desk.b
    climb += a
    desk.b *= flow
    desk.pump += desk.b
    desk.pump += desk.full


def _spill(terms: Terms, pressure: Array, desk: Desk) -> None:
    """Relief flow into desk.spilled, its slope into desk.b."""
    spilled, slope = desk.spilled, desk.b
    np.multiply(pressure, terms.relief, out=spilled)
    spilled -= terms.start
    np.maximum(spilled, 0.0, out=spilled)
    np.multiply(spilled > 0, terms.relief, out=slope)
    if isinstance(terms.curtain, float) and terms.curtain == 0.0:
        return
    # times 1 + curtain (root - 1), root = sqrt(p / opening); its slope is curtain root / (2 p)
    full = np.maximum(pressure, TINY, out=desk.d)
    root = np.divide(full, terms.opening, out=desk.e)
    np.sqrt(root, out=root)
    root *= terms.curtain
    np.divide(root, full, out=full)
    full *= 0.5
    full *= spilled
    root += 1.0
    root -= terms.curtain
    spilled *= root
    slope *= root
    slope += full
