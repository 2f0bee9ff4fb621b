"""The circuit's balance solved over blocks of states that fit the processor's cache.

A block takes a good first guess and three evaluations, each followed by a step of a cubic through
the last two points and slopes. The few states not settled then, mostly beside an opening of a
valve, are gathered from many blocks and go on, held between brackets. Why so:
docs/explanation/circuit.md.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from witnessmark.physics.checked import Array
from witnessmark.physics.circuit.bench import Bench, Which, parts
from witnessmark.physics.circuit.evaluate import Desk, evaluate, may_bypass
from witnessmark.physics.circuit.newton import guess, step
from witnessmark.physics.circuit.terms import LEAST, Terms

BLOCK = 16384  # states at once
CLOSE = 3e-10  # flow left over that ends a search, over what the pump displaces
TOGETHER = 3  # evaluations of a whole block
FEW = 64  # one in so many may wait, so that no evaluation is of a handful
PATIENCE = 200  # evaluations after which a state's residual must speak for itself


@dataclass(frozen=True)
class Answer:
    """Gallery pressure before it is cut off at 0, pump pressure [Pa]; flows and left [m³/s]."""

    gallery: Array
    pump: Array
    flow: Array
    spilled: Array
    left: Array

    def put(self, at: Which | slice, desk: Desk) -> None:
        """Take over what a desk holds."""
        self.gallery[at] = desk.p
        self.pump[at] = desk.pump
        self.flow[at] = desk.flow
        self.spilled[at] = desk.spilled
        self.left[at] = desk.left


def sweep(terms: Terms, shape: tuple[int, ...]) -> Answer:
    """Balanced states.

    Parameters
    ----------
    terms : As boil gives them.
    shape : Of the states.

    Returns
    -------
    Answer, flat arrays of all states in memory order.
    """
    answer = Answer(*(np.empty(int(np.prod(shape))) for _ in range(5)))
    size = min(BLOCK, answer.left.size)
    block, slow = Bench(terms, size), Slow(terms, size, answer)
    for part, where in parts(shape, BLOCK):

        def spread(row: Array, number: Array, where: tuple[int | slice, ...] = where) -> None:
            view = np.broadcast_to(number, shape)[where]
            np.copyto(row.reshape(view.shape), view)

        here = slice(0, part.stop - part.start)
        laid, desk = block.lay(terms, here, spread), block.desk(here)
        _together(laid, desk)
        answer.put(part, desk)
        rest = _unsettled(laid, desk)
        if rest.size:
            step(desk, first=False)
            slow.add(laid, desk, rest, part.start)
    slow.finish()
    return answer


def _together(terms: Terms, desk: Desk) -> None:
    bypassed = may_bypass(terms, desk)
    guess(terms, desk)
    for turn in range(TOGETHER):
        if turn:
            step(desk, first=turn == 1)
            np.maximum(desk.p, 0.0, out=desk.p)
        evaluate(terms, desk, bypassed, rough=turn + 1 < TOGETHER)


class Slow:
    """States of many blocks that need more than the common number of evaluations."""

    def __init__(self, terms: Terms, size: int, answer: Answer) -> None:
        """Room for a number of states with such terms, whose answers go into answer."""
        self.bench = Bench(terms, size)
        self.terms = terms
        self.size = size
        self.answer = answer
        self.places: list[Which] = []
        self.filled = 0

    def add(self, terms: Terms, desk: Desk, these: Which, start: int) -> None:
        """Some states of a block that starts at a place of the answer."""
        if self.filled + these.size > self.size:
            self.finish(last=False)
        self.bench.gather(terms, desk, these, self.filled)
        self.filled += these.size
        self.places.append(these + start)

    def finish(self, last: bool = True) -> None:
        """Settle what is held; unless it is the last time, a few may stay for the next."""
        if not self.filled:
            return
        all_ = slice(0, self.filled)
        terms = self.bench.lay(self.terms, all_, lambda row, number: None)
        few = 0 if last else self.filled // FEW
        left = self._bracketed(terms, self.bench.desk(all_), np.concatenate(self.places), few)
        self.places, self.filled = [left], left.size

    def _bracketed(self, terms: Terms, desk: Desk, at: Which, few: int) -> Which:
        """Between a pressure with oil left over and one with oil missing; what is still open."""
        bracket = Bracket.around(terms, desk)
        np.clip(desk.p, bracket.low, bracket.high, out=desk.p)
        for _ in range(PATIENCE):
            evaluate(terms, desk, may_bypass(terms, desk))
            self.answer.put(at, desk)
            bracket.close_in(desk.p, desk.left)
            rest = _unsettled(terms, desk)
            if rest.size <= few:
                step(desk, first=False)
                self.bench.gather(terms, desk, rest, 0)
                return at[rest]
            worse = desk.left * desk.old_left < 0
            worse &= np.abs(desk.left) > np.abs(desk.old_left)
            step(desk, first=False)
            # A step across the answer that made it worse would be taken back and made again.
            bracket.hold(desk, worse)
            if rest.size < 0.7 * at.size:
                at, bracket = at[rest], bracket.of(rest)
                terms, desk = self.bench.gather(terms, desk, rest, 0)
        return at[:0]


@dataclass
class Bracket:
    """Pressures below and above each answer [Pa], with the flow left over there [m³/s]."""

    low: Array
    high: Array
    over: Array
    under: Array

    @classmethod
    def around(cls, terms: Terms, desk: Desk) -> "Bracket":
        """From an empty gallery to no end, closed in by the desk's old points."""
        low = -terms.draught / np.maximum(terms.leak, LEAST) + np.zeros_like(desk.p)
        unknown = np.full_like(low, np.nan)
        bracket = cls(low, np.full_like(low, np.inf), unknown, unknown.copy())
        bracket.close_in(desk.old_p, desk.old_left)
        return bracket

    def of(self, these: Which) -> "Bracket":
        """Of some of the states."""
        return Bracket(*(each[these] for each in vars(self).values()))

    def close_in(self, p: Array, left: Array) -> None:
        """Take points in that lie nearer."""
        for end, flow, nearer in (
            (self.low, self.over, (left > 0) & (p >= self.low)),
            (self.high, self.under, (left <= 0) & (p <= self.high)),
        ):
            np.copyto(end, p, where=nearer)
            np.copyto(flow, left, where=nearer)

    def hold(self, desk: Desk, worse: NDArray[np.bool_]) -> None:
        """Put a step that leaves the bracket on its chord instead, or halve it."""
        out = np.flatnonzero(worse | ~((desk.p > self.low) & (desk.p < self.high)))
        if not out.size:
            return
        b = self.of(out)
        endless = np.isinf(b.high)
        wide = np.where(endless, 0.0, b.high - b.low)
        share = np.nan_to_num(b.over / (b.over - b.under), nan=0.5)
        inside = b.low + np.clip(share, 0.1, 0.9) * wide
        desk.p[out] = np.where(endless, 2 * np.abs(desk.old_p[out]) + 1.0, inside)


def _unsettled(terms: Terms, desk: Desk) -> Which:
    np.abs(desk.left, out=desk.a)
    close = np.multiply(terms.displaced, CLOSE, out=desk.b)
    close += LEAST
    return np.flatnonzero(desk.a > close)
