"""Where to look next for the pressure that balances: first guess, and steps from there."""

import numpy as np

from witnessmark.physics.checked import Array
from witnessmark.physics.circuit.evaluate import Desk
from witnessmark.physics.circuit.terms import LEAST, Terms
from witnessmark.physics.numbers import Floats


def guess(terms: Terms, desk: Desk) -> None:
    """Put into desk.p the pressure at which leaks and open holes alone would take it all.

    Parameters
    ----------
    terms : Spread out over the block, or floats.
    desk : Its p is filled in: the lower of the answers with the relief shut and open. [Pa]
    """
    d = desk
    supply = np.subtract(terms.displaced, terms.draught, out=d.a)
    np.maximum(supply, 0.0, out=supply)
    linear = np.add(terms.leak, terms.slip, out=d.b)
    shut = _root(linear, terms.thirst, supply, d.p, d.fall)
    linear += terms.relief
    supply += terms.start
    opened = _root(linear, terms.thirst, supply, d.c, d.fall)
    if not terms.after_filter:
        _less_losses(terms, opened, d)
    np.minimum(shut, opened, out=d.p)


def _less_losses(terms: Terms, held: Array, d: Desk) -> None:
    """The relief holds the pump's pressure; turn it into the gallery's, less the losses between.

    Losses at the flow that held would drive, l1 of them in proportion to flow and l2 to its
    square, leave a share x of held with x (1 + l1 / held) + x² l2 / held = 1.
    """
    flow = np.sqrt(held, out=d.a)
    flow *= terms.thirst
    flow += terms.draught
    flow += np.multiply(held, terms.leak, out=d.b)
    straight = np.multiply(flow, terms.filter_a, out=d.b)
    square = np.multiply(flow, flow, out=d.d)
    most = np.multiply(flow, terms.bypass_gradient, out=d.e)
    most += terms.bypass_opening
    np.minimum(straight, most, out=straight)
    most -= straight
    np.minimum(np.multiply(square, terms.filter_b, out=d.fall), most, out=most)
    square *= terms.rest_b
    square += most
    straight += np.multiply(flow, terms.rest_a, out=d.e)
    straight += held
    np.multiply(square, held, out=d.e)
    d.e *= 4.0
    np.multiply(straight, straight, out=square)
    square += d.e
    np.sqrt(square, out=square)
    straight += square
    straight += LEAST
    held *= np.divide(held, straight, out=d.e)
    held *= 2.0


def _root(linear: Array, thirst: Floats, supply: Array, out: Array, scratch: Array) -> Array:
    """p of linear p + thirst sqrt(p) = supply."""
    np.multiply(linear, supply, out=scratch)
    scratch *= 4.0
    scratch += np.multiply(thirst, thirst, out=out)
    np.sqrt(scratch, out=scratch)
    scratch += thirst
    np.divide(supply, scratch, out=out)
    out *= out
    out *= 4.0
    return out


def step(desk: Desk, *, first: bool) -> None:
    """Move desk.p on, and keep where it was.

    Parameters
    ----------
    desk : Evaluated at p.
    first : Whether there is no older point; then Newton's step. Else that of the cubic in left
        that takes both points and both slopes, where it differs little from Newton's.
    """
    d = desk
    gain = np.divide(1.0, d.slope, out=d.slope)  # dp for each flow left over
    newton = np.multiply(d.left, gain, out=d.bend)
    if not first:
        _bend(d, newton)
    d.turn_over()
    np.add(d.old_p, newton, out=d.p)


def _bend(d: Desk, newton: Array) -> None:
    """Add to a Newton step what the cubic makes of it, where that is a small part of it."""
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        ratio = np.subtract(d.left, d.old_left, out=d.a)
        chord = np.subtract(d.old_p, d.p, out=d.b)
        chord /= ratio
        ratio = np.divide(d.left, ratio, out=d.a)
        near = np.subtract(chord, d.slope, out=d.c)
        far = np.subtract(d.old_slope, chord, out=d.b)
        far -= near
        far *= ratio
        far *= d.old_left
        near *= d.left
        near += far
        near *= ratio
        size = np.abs(near, out=d.a)
        size *= 2.0
        small = size < np.abs(newton, out=d.b)
    np.add(newton, near, out=newton, where=small)
