"""Ways in which a log comes to harm between the logger and us. Each: (bytes, log, dice) -> bytes.

A damage is described by what it does to the file; none looks at how our reader works.
"""

import random
from collections.abc import Callable

from .corpus import Sound

Mutation = Callable[[bytes, Sound, random.Random], bytes]


def _at(data: bytes, dice: random.Random) -> int:
    return dice.randrange(len(data)) if data else 0


def _lines(data: bytes) -> list[bytes]:
    return data.split(b"\n")


def _line_of(data: bytes, dice: random.Random, change: Callable[[bytes], bytes]) -> bytes:
    lines = _lines(data)
    i = dice.randrange(len(lines))
    lines[i] = change(lines[i])
    return b"\n".join(lines)


def flip_bytes(data: bytes, log: Sound, dice: random.Random) -> bytes:
    found = bytearray(data)
    for _ in range(dice.choice([1, 1, 2, 5, 20])):
        if found:
            found[_at(data, dice)] = dice.randrange(256)
    return bytes(found)


def flip_bits(data: bytes, log: Sound, dice: random.Random) -> bytes:
    found = bytearray(data)
    for _ in range(dice.choice([1, 2, 5])):
        if found:
            found[_at(data, dice)] ^= 1 << dice.randrange(8)
    return bytes(found)


def cut_end(data: bytes, log: Sound, dice: random.Random) -> bytes:
    return data[: _at(data, dice)]


def cut_start(data: bytes, log: Sound, dice: random.Random) -> bytes:
    return data[min(_at(data, dice), dice.choice([3, 40, 200, 10**6])) :]


def lose_chunk(data: bytes, log: Sound, dice: random.Random) -> bytes:
    at = _at(data, dice)
    return data[:at] + data[at + dice.choice([1, 5, 30, 64, 200, 512]) :]


def double_chunk(data: bytes, log: Sound, dice: random.Random) -> bytes:
    at = _at(data, dice)
    size = dice.choice([1, 5, 30, 64, 200, 512])
    return data[: at + size] + data[at : at + size] + data[at + size :]


def swap_chunks(data: bytes, log: Sound, dice: random.Random) -> bytes:
    a, b, c = sorted(_at(data, dice) for _ in range(3))
    return data[:a] + data[b:c] + data[a:b] + data[c:]


def _places(data: bytes, sign: bytes) -> list[int]:
    return [i for i in range(len(data)) if data.startswith(sign, i)]


def lose_delimiter(data: bytes, log: Sound, dice: random.Random) -> bytes:
    places = _places(data, log.parts.encode())
    if not places:
        return data
    at = dice.choice(places)
    return data[:at] + data[at + 1 :]


def double_delimiter(data: bytes, log: Sound, dice: random.Random) -> bytes:
    places = _places(data, log.parts.encode())
    if not places:
        return data
    at = dice.choice(places)
    return data[:at] + log.parts.encode() + data[at:]


def put_delimiter(data: bytes, log: Sound, dice: random.Random) -> bytes:
    at = _at(data, dice)
    return data[:at] + dice.choice([log.parts, ",", ";", "\t"]).encode() + data[at:]


def other_delimiter(data: bytes, log: Sound, dice: random.Random) -> bytes:
    """From one line on another delimiter: the logger's settings were changed."""
    lines = _lines(data)
    at = dice.randrange(len(lines))
    other = dice.choice([b",", b";", b"\t"])
    tail = [line.replace(log.parts.encode(), other) for line in lines[at:]]
    return b"\n".join(lines[:at] + tail)


def lose_line_end(data: bytes, log: Sound, dice: random.Random) -> bytes:
    places = _places(data, b"\n")
    for at in sorted(dice.sample(places, min(len(places), dice.choice([1, 1, 3]))), reverse=True):
        data = data[:at] + data[at + 1 :]
    return data


def put_line_end(data: bytes, log: Sound, dice: random.Random) -> bytes:
    at = _at(data, dice)
    return data[:at] + dice.choice([b"\n", b"\r", b"\r\n", b"\n\n"]) + data[at:]


def swap_lines(data: bytes, log: Sound, dice: random.Random) -> bytes:
    lines = _lines(data)
    a, b = dice.randrange(len(lines)), dice.randrange(len(lines))
    lines[a], lines[b] = lines[b], lines[a]
    return b"\n".join(lines)


def double_lines(data: bytes, log: Sound, dice: random.Random) -> bytes:
    lines = _lines(data)
    at, many = dice.randrange(len(lines)), dice.choice([1, 2, 10])
    return b"\n".join(lines[: at + many] + lines[at : at + many] + lines[at + many :])


def lose_lines(data: bytes, log: Sound, dice: random.Random) -> bytes:
    lines = _lines(data)
    at, many = dice.randrange(min(len(lines), dice.choice([3, 10**6]))), dice.choice([1, 2, 10])
    return b"\n".join(lines[:at] + lines[at + many :])


def other_encoding(data: bytes, log: Sound, dice: random.Random) -> bytes:
    text = data.decode("utf-8", errors="replace")
    way = dice.choice(["utf-16", "utf-16-le", "utf-16-be", "utf-8-sig", "cp1252", "twice", "ascii"])
    if way == "twice":
        return text.encode().decode("latin-1").encode()
    return text.encode(way, errors="replace")


def put_nulls(data: bytes, log: Sound, dice: random.Random) -> bytes:
    at, many = _at(data, dice), dice.choice([1, 2, 8, 512])
    if dice.random() < 0.5:
        return data[:at] + bytes(many) + data[at:]
    return data[:at] + bytes(many) + data[at + many :]


def put_quote(data: bytes, log: Sound, dice: random.Random) -> bytes:
    for _ in range(dice.choice([1, 1, 2])):
        at = _at(data, dice)
        data = data[:at] + dice.choice([b'"', b"'", b'""', b'"\n']) + data[at:]
    return data


def put_signs(data: bytes, log: Sound, dice: random.Random) -> bytes:
    at = _at(data, dice)
    some = "\ufeff\u2028\x1a\x0b\x0c\x85\u00a0\ud7ff😀=\\#;-+eE.%°"
    return data[:at] + "".join(dice.choices(some, k=dice.choice([1, 3]))).encode() + data[at:]


def _cell(data: bytes, log: Sound, dice: random.Random, change: Callable[[bytes], bytes]) -> bytes:
    def of(line: bytes) -> bytes:
        cells = line.split(log.parts.encode())
        i = dice.randrange(len(cells))
        cells[i] = change(cells[i])
        return log.parts.encode().join(cells)

    return _line_of(data, dice, of)


def strange_cell(data: bytes, log: Sound, dice: random.Random) -> bytes:
    strange = (
        "9e999", "-9e999", "1e308", "99999999999999999999", "-1", "0", "NaN", "inf", "-", "1.2.3",
        "0x1F", "1,234,567.8", "1.234,5", "½", "٣", "1e", "e5", "--5", "12:30", "2024-02-30",
        "24:61:61", "On", "#REF!", "x" * 300, "9" * 400, "", " ", "''", "-0.0", "1_000", "1 234",
    )  # fmt: skip
    for _ in range(dice.choice([1, 1, 4])):
        data = _cell(data, log, dice, lambda _: dice.choice(strange).encode())
    return data


def decimal_in_cell(data: bytes, log: Sound, dice: random.Random) -> bytes:
    swap = bytes.maketrans(b".,", b",.") if log.parts != "," else bytes.maketrans(b".", b";")
    return _cell(data, log, dice, lambda cell: cell.translate(swap))


def decimal_from_here(data: bytes, log: Sound, dice: random.Random) -> bytes:
    lines = _lines(data)
    at = dice.randrange(len(lines))
    swap = bytes.maketrans(b".,", b",.") if log.parts != "," else bytes.maketrans(b".", b",")
    return b"\n".join(lines[:at] + [line.translate(swap) for line in lines[at:]])


def decimal_in_column(data: bytes, log: Sound, dice: random.Random) -> bytes:
    if log.parts == ",":
        return data
    i = dice.randrange(9)
    swap, sign = bytes.maketrans(b".,", b",."), log.parts.encode()

    def of(line: bytes) -> bytes:
        cells = line.split(sign)
        if len(cells) > i:
            cells[i] = cells[i].translate(swap)
        return sign.join(cells)

    return b"\n".join(map(of, _lines(data)))


def _head_line(data: bytes, log: Sound, dice: random.Random) -> tuple[list[bytes], int]:
    """The lines and which of them is (one of) the header's."""
    lines = _lines(data)
    for i, line in enumerate(lines):
        if line.count(log.parts.encode()) >= 3:
            return lines, min(i + dice.choice([0, 0, 1, 2]), len(lines) - 1)
    return lines, 0


def header_cells(data: bytes, log: Sound, dice: random.Random) -> bytes:
    """A cell of the header lost, emptied, doubled, put in or swapped with another."""
    lines, at = _head_line(data, log, dice)
    sign = log.parts.encode()
    cells = lines[at].split(sign)
    lines[at] = sign.join(_cells_changed(cells, dice))
    return b"\n".join(lines)


def _cells_changed(cells: list[bytes], dice: random.Random) -> list[bytes]:
    i, way = dice.randrange(len(cells)), dice.randrange(5)
    if way == 0:
        return cells[:i] + cells[i + 1 :]
    if way == 1:
        return [*cells[:i], b"", *cells[i + 1 :]]
    if way == 2:
        return [*cells[:i], cells[i], *cells[i:]]
    if way == 3:
        return [*cells[:i], dice.choice([b"", b"x", b"Fan State", b"7"]), *cells[i:]]
    return [*cells[:i], dice.choice([b"", b"0", b"n/a", b"1.2345"]), *cells[i:]]


def row_cells(data: bytes, log: Sound, dice: random.Random) -> bytes:
    """A cell lost, emptied, doubled or put in: in one row, or in the same place in many."""
    lines = _lines(data)
    at = dice.randrange(len(lines))
    many = dice.choice([1, 1, 2, 5, 20, 10**6])
    sign, same = log.parts.encode(), dice.random()
    for i in range(at, min(len(lines), at + many)):
        if lines[i]:
            own = random.Random(same) if many > 1 else dice
            lines[i] = sign.join(_cells_changed(lines[i].split(sign), own))
    return b"\n".join(lines)


MUTATIONS: tuple[Mutation, ...] = (
    flip_bytes, flip_bits, cut_end, cut_start, lose_chunk, double_chunk, swap_chunks,
    lose_delimiter, double_delimiter, put_delimiter, other_delimiter, lose_line_end, put_line_end,
    swap_lines, double_lines, lose_lines, other_encoding, put_nulls, put_quote, put_signs,
    strange_cell, decimal_in_cell, decimal_from_here, decimal_in_column, header_cells, row_cells,
)  # fmt: skip


# Of these a file without cells is none the less a file.
BINARY = (flip_bytes, flip_bits, cut_end, cut_start, lose_chunk, double_chunk, swap_chunks,
          put_nulls)  # fmt: skip
FRAMES = (*BINARY, lose_delimiter, double_delimiter, lose_line_end, put_line_end, swap_lines,
          double_lines, lose_lines, put_signs, other_encoding)  # fmt: skip


def damaged(log: Sound, others: list[Sound], dice: random.Random) -> tuple[bytes, list[str]]:
    """A log once, twice or three times damaged; sometimes with another log behind it."""
    data, done = log.data, []
    ways = MUTATIONS if not log.kind else FRAMES if log.parts else BINARY
    if dice.random() < 0.06:
        other = dice.choice(others)
        data, done = data + other.data, [f"with {other.name} behind it"]
    for _ in range(dice.choice([1, 1, 1, 2, 3]) - len(done)):
        way = dice.choice(ways)
        data = way(data, log, dice)
        done.append(way.__name__)
    return data, done
