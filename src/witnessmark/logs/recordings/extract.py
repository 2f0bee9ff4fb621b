"""Numbers out of frames, for all frames of a message at once."""

import numpy as np
from numpy.typing import NDArray

from witnessmark.logs.recordings.definitions import Bits, Chosen, Signal
from witnessmark.logs.recordings.frames import Bytes, Frames
from witnessmark.model.log import Floats, Mask

Raw = NDArray[np.uint64] | NDArray[np.int64] | NDArray[np.float64]
_FLOATS = {16: np.float16, 32: np.float32, 64: np.float64}
_WHOLE = {16: np.uint16, 32: np.uint32, 64: np.uint64}


def last_byte(bits: Bits) -> int:
    """Number of bytes a frame must have for these bits to stand in it."""
    if not bits.big_endian:
        return (bits.start + bits.length + 7) // 8
    return (_from_top(bits) + bits.length + 7) // 8


def _from_top(bits: Bits) -> int:
    """Place of a big-endian number's highest bit, counted in the order bits are sent."""
    return 8 * (bits.start // 8) + 7 - bits.start % 8


def present(frames: Frames, signal: Signal) -> Mask:
    """Where the signal stands in the frame: long enough, and chosen."""
    found: Mask = frames.length >= last_byte(signal.bits)
    for choice in signal.when:
        found &= _chosen(frames, choice)
    return found


def _chosen(frames: Frames, choice: Chosen) -> Mask:
    found = np.zeros(len(frames), dtype=bool)
    if last_byte(choice.bits) > frames.data.shape[1]:
        return found
    number = raw(frames.data, choice.bits)
    for low, high in choice.values:
        found |= (number >= low) & (number <= high)
    return found & (frames.length >= last_byte(choice.bits))


def raw(data: Bytes, bits: Bits) -> Raw:
    """The numbers as sent. `data`: bytes, shape (n, w), wide enough for the bits."""
    whole = _unsigned(data, bits)
    if bits.floating:
        kind = _FLOATS[bits.length]
        number: NDArray[np.float64] = whole.astype(_WHOLE[bits.length]).view(kind).astype(float)
        return number
    if not bits.signed:
        return whole
    spare = np.int64(64 - bits.length)
    signed: NDArray[np.int64] = (whole << np.uint64(spare)).view(np.int64) >> spare
    return signed


def _unsigned(data: Bytes, bits: Bits) -> NDArray[np.uint64]:
    first, stop = bits.start // 8, last_byte(bits)
    columns = [data[:, i].astype(np.uint64) for i in range(first, stop)]
    if bits.big_endian:
        spare = 8 * stop - (_from_top(bits) + bits.length)
        columns.reverse()  # lowest byte first
    else:
        spare = bits.start % 8
    total = columns[0] >> np.uint64(spare)
    for i, column in enumerate(columns[1:], 1):
        total |= column << np.uint64(8 * i - spare)
    if bits.length < 64:
        total &= np.uint64((1 << bits.length) - 1)
    return total


def physical(numbers: Raw, signal: Signal) -> Floats:
    """Raw numbers in the signal's unit."""
    return numbers.astype(np.float64) * signal.factor + signal.offset
