"""Numbers taken out of many frames at once, held against cantools frame by frame."""

import random

import cantools
import numpy as np
import pytest

from witnessmark.logs.recordings.dbc import Dbc
from witnessmark.logs.recordings.dbc_messages import messages_of
from witnessmark.logs.recordings.extract import last_byte, physical, present, raw
from witnessmark.logs.recordings.frames import Frames

FRAMES = 200


def _random_dbc(rng: random.Random, messages: int) -> str:
    """Messages of one signal each, anywhere in the frame, of every sort."""
    lines = ['VERSION ""', "BU_: U"]
    kinds = []
    for ident in range(1, messages + 1):
        big = rng.random() < 0.5
        floating = rng.random() < 0.2
        length = rng.choice((32, 64)) if floating else rng.randint(1, 64)
        first = rng.randint(0, 64 - length)  # from the top of the frame, or from its bottom
        start = 8 * (first // 8) + 7 - first % 8 if big else first
        sign = rng.choice("+-")
        factor, offset = rng.choice((1, 0.125, 0.03125, -2.5)), rng.choice((0, -273, 40))
        lines.append(f"BO_ {ident} M{ident}: 8 U")
        lines.append(
            f' SG_ S : {start}|{length}@{"0" if big else "1"}{sign} ({factor},{offset}) [0|0] "" U'
        )
        if floating:
            kinds.append(f"SIG_VALTYPE_ {ident} S : {1 if length == 32 else 2};")
    return "\n".join([*lines, *kinds, ""])


def _frames(data: np.ndarray) -> Frames:
    n = len(data)
    return Frames(
        np.arange(n) * 0.1, np.zeros(n, int), np.zeros(n, bool), np.zeros(n, int), data,
        np.full(n, data.shape[1]),
    )  # fmt: skip


@pytest.mark.parametrize("seed", range(4))
def test_every_sort_of_signal_as_cantools_reads_it(seed):
    rng = random.Random(seed)
    text = _random_dbc(rng, 60)
    database = cantools.database.load_string(text, "dbc")
    data = np.random.default_rng(seed).integers(0, 256, (FRAMES, 8), dtype=np.uint8)
    data[0], data[1] = 0, 255
    for message in messages_of(Dbc("random.dbc", text)):
        signal = message.signals[0]
        with np.errstate(over="ignore", invalid="ignore"):
            got = physical(raw(data, signal.bits), signal)
        want = [database.decode_message(message.ident, bytes(row))["S"] for row in data]
        # 64-bit whole numbers times a factor: a double has 53 bits, no more can be asked.
        np.testing.assert_allclose(got, np.array(want, dtype=float), rtol=1e-15, atol=0)


MULTIPLEXED = """VERSION ""
BU_: U
BO_ 7 M: 8 U
 SG_ Top M : 0|4@1+ (1,0) [0|0] "" U
 SG_ Sub m1M : 4|4@1+ (1,0) [0|0] "" U
 SG_ Plain : 56|8@1+ (1,0) [0|0] "" U
 SG_ A m0 : 8|16@1- (0.5,1) [0|0] "" U
 SG_ B m1 : 23|16@0+ (1,0) [0|0] "" U
 SG_ C m2 : 32|8@1+ (1,0) [0|0] "" U
 SG_ D m3 : 40|8@1+ (1,0) [0|0] "" U
SG_MUL_VAL_ 7 Sub Top 1-1;
SG_MUL_VAL_ 7 A Top 0-0, 4-9;
SG_MUL_VAL_ 7 B Top 2-3;
SG_MUL_VAL_ 7 C Sub 2-2;
SG_MUL_VAL_ 7 D Sub 3-7, 9-9;
"""


def test_choosers_and_choosers_of_choosers_as_cantools_reads_them():
    database = cantools.database.load_string(MULTIPLEXED, "dbc")
    rng = np.random.default_rng(5)
    data = rng.integers(0, 256, (4000, 8), dtype=np.uint8)
    frames = _frames(data)
    (message,) = messages_of(Dbc("mux.dbc", MULTIPLEXED))
    seen = dict.fromkeys((s.name for s in message.signals), 0)
    got = {s.name: (present(frames, s), physical(raw(data, s.bits), s)) for s in message.signals}
    for i, row in enumerate(data):
        try:
            want = database.decode_message(7, bytes(row))
        except cantools.database.errors.DecodeError:
            continue  # a page the DBC does not have: cantools reads nothing of such a frame
        for name, (there, values) in got.items():
            assert bool(there[i]) is (name in want), (name, row)
            if name in want:
                seen[name] += 1
                assert values[i] == pytest.approx(float(want[name]))
    assert min(seen.values()) > 10, seen


@pytest.mark.parametrize(
    ("start", "length", "big", "wanted"),
    # Counted by hand on a frame drawn as 8 rows of bits 7 to 0.
    [(0, 8, False, 1), (4, 8, False, 2), (7, 8, True, 1), (3, 8, True, 2), (60, 4, False, 8),
     (63, 8, True, 8), (0, 64, False, 8), (7, 64, True, 8)],
)  # fmt: skip
def test_how_many_bytes_a_signal_needs(start, length, big, wanted):
    from witnessmark.logs.recordings.definitions import Bits  # noqa: PLC0415 - beside its one use

    assert last_byte(Bits(start, length, big)) == wanted


def test_a_frame_too_short_for_a_signal_does_not_show_it():
    (message,) = messages_of(Dbc("mux.dbc", MULTIPLEXED))
    data = np.zeros((2, 8), dtype=np.uint8)
    frames = _frames(data)
    short = Frames(frames.time, frames.ident, frames.extended, frames.bus, data, np.array([8, 7]))
    plain = next(s for s in message.signals if s.name == "Plain")
    assert present(short, plain).tolist() == [True, False]
