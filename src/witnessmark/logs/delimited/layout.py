"""How a log is laid out: delimiter, header rows, where the readings begin."""

import csv
import re
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from witnessmark.errors import UserError
from witnessmark.logs.delimited.cells import is_blank, looks_like_reading
from witnessmark.logs.delimited.text import LONGEST_LINE, undo_double_decoding
from witnessmark.units import known_unit

DELIMITERS = ",;\t|"
NAMES = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}
HEAD_LINES = 400  # a preamble longer than this has not been met
# So many rows, most of them readings, make the body of a log; fewer may be a preamble.
_RUN, _RUN_SHARE = 5, 0.6
_HEADER_ROWS = 4  # names, second names, units and one more
_LOOK_BACK = 12  # lines above the readings in which the header must stand
_UNIT_SHARE = 0.6  # of a row's cells being units makes it the unit row

Scorer = Callable[[str], float]


@dataclass(frozen=True)
class Layout:
    """Where things stand. Line numbers count from 1; `header` holds the rows' text.

    `fields`: cells most rows of readings have, with the empty one behind a last delimiter.
    `body`: number of the first line with readings.
    """

    delimiter: str
    names: tuple[str, ...]
    units: tuple[str, ...]
    also: tuple[str, ...]
    header: tuple[tuple[str, ...], ...]
    body: int
    fields: int
    notes: tuple[str, ...] = ()

    @property
    def width(self) -> int:
        """Fields a row of readings should have."""
        return len(self.names)

    @property
    def labels(self) -> tuple[str, ...]:
        """What each column is called: its name, made different from all others."""
        found: list[str] = []
        for i, name in enumerate(self.names, 1):
            label = name or f"column {i}"
            found.append(f"{label} (column {i})" if label in found else label)
        return tuple(found)


@dataclass(frozen=True)
class _Line:
    number: int
    cells: tuple[str, ...]
    reading: bool  # holds readings rather than words


def split(line: str, delimiter: str) -> list[str]:
    """The cells of one line. A quote that never closes is taken as a plain character."""
    if '"' not in line:
        return line.split(delimiter)
    if line.count('"') % 2:
        line = line.replace('"', "")
    return next(csv.reader([line], delimiter=delimiter), [])


def sniff(name: str, head: Sequence[str], score: Scorer) -> Layout:
    """The layout of a log from its first lines; UserError if it has none we can read.

    `score` says how well a text does as a column name (0 for not at all).
    """
    _refuse_long_lines(name, head)
    best: tuple[float, Layout] | None = None
    for delimiter in DELIMITERS:
        found = _try(head, delimiter, score)
        if found and (best is None or found[0] > best[0]):
            best = found
    if best is None:
        _refuse(name, head)
    assert best is not None
    hint = _told(head)
    layout = best[1]
    if hint and hint != layout.delimiter:
        layout = replace(layout, notes=(*layout.notes, "its first line names another delimiter"))
    return layout


def _told(head: Sequence[str]) -> str | None:
    """The delimiter a spreadsheet's 'sep=;' line names, if there is one."""
    match = re.match(r'"?sep=(.)"?$', head[0].lstrip("\ufeff").strip()) if head else None
    return match[1] if match and match[1] in DELIMITERS else None


def _refuse_long_lines(name: str, head: Sequence[str]) -> None:
    for number, line in enumerate(head, 1):
        if len(line) > LONGEST_LINE:
            raise UserError(
                f"{name}, line {number}", f"the line is {len(line):,} characters long",
                "a log with one row of readings a line is wanted",
                "Export the log again as CSV, one row a line",
            )  # fmt: skip


def _refuse(name: str, head: Sequence[str]) -> None:
    filled = [line for line in head if line.strip(' \t,;|"')]
    if not filled:
        raise UserError(name, "only blank lines", "a log with readings is wanted", "Log it again")
    wide = [d for d in DELIMITERS if sum(d in line for line in filled) >= len(filled) / 2]
    if wide:
        raise UserError(
            name, f"column names but no readings ('{_excerpt(filled[0])}')",
            "at least two rows of readings are wanted",
            "Log for longer, or export the readings too",
        )  # fmt: skip
    raise UserError(
        name, f"no columns in it ('{_excerpt(filled[0])}')",
        "rows of readings parted by comma, semicolon, tab or bar are wanted",
        "Export the log as CSV",
    )  # fmt: skip


def _excerpt(line: str) -> str:
    """The start of a line, without the signs no screen can show."""
    return _printable(line.strip()[:60])


def _printable(text: str) -> str:
    return "".join(c if c.isprintable() else " " for c in text)


def _try(head: Sequence[str], delimiter: str, score: Scorer) -> tuple[float, Layout] | None:
    """This delimiter's best layout and how convincing it is."""
    filled = [text for text in head if text.strip()]
    if 3 * sum(delimiter in text for text in filled) < len(filled):
        return None
    empty = delimiter + ' \t"'
    rows = [_line(i, text, delimiter) for i, text in enumerate(head, 1) if text.strip(empty)]
    widths = Counter(len(row.cells) for row in rows if row.reading and len(row.cells) > 1)
    if not widths:
        return None
    width, often = widths.most_common(1)[0]
    regular = often / sum(row.reading for row in rows)
    options = []
    for start in _starts(rows):
        block = _block(rows, start, width)
        header = _header(block, score)
        worth = sum(map(score, header[0])) if header else -1.0
        run = rows[start : start + _RUN]
        if sum(row.reading for row in run) < _RUN_SHARE * len(run):
            # Hardly a body of readings: only a header of well-known names makes it one.
            worth = worth / 2 - 1
        options.append((worth, -start, header, block[0].number - 1 if block else 0))
    if not options:
        return None
    worth, back, header, above = max(options, key=lambda option: option[:2])
    start = -back
    layout = _layout(rows[start].number, width, delimiter, header, above)
    body = [row for row in rows[start:] if row.reading]
    numeric = sum(_numeric_share(row.cells) for row in body) / len(body)
    # Known names decide; then how regular the rows are and how many of their cells read well.
    return 4 * max(worth, 0) + regular * numeric * min(width, 4), layout


def _line(number: int, text: str, delimiter: str) -> _Line:
    cells = tuple(cell.strip() for cell in split(text.lstrip("\ufeff"), delimiter))
    filled = [cell for cell in cells if not is_blank(cell)]
    readings = sum(map(looks_like_reading, filled))
    return _Line(number, cells, readings >= 1 and readings >= 0.3 * len(filled))


def _numeric_share(cells: Sequence[str]) -> float:
    filled = [cell for cell in cells if not is_blank(cell)]
    return sum(map(looks_like_reading, filled)) / max(len(filled), 1)


def _starts(rows: Sequence[_Line]) -> list[int]:
    """Where a body of readings may begin: after a row of words, or at the very top."""
    return [
        i
        for i, row in enumerate(rows)
        if row.reading and len(row.cells) > 1 and not (i > 0 and rows[i - 1].reading)
    ]


def _block(rows: Sequence[_Line], start: int, width: int) -> list[_Line]:
    """The rows of words right above the body that are wide enough to be its header.

    A ruler or a remark between the header and the readings is passed over.
    """
    block: list[_Line] = []
    for row in reversed(rows[max(0, start - _LOOK_BACK) : start]):
        if row.reading or len(block) == _HEADER_ROWS:
            break
        filled = sum(bool(cell) for cell in row.cells)
        if filled >= 2 and 0.5 * width <= len(row.cells) <= width + 1:
            block.insert(0, row)
        elif block:
            break
    return block


def _unit_share(cells: Sequence[str]) -> float:
    filled = [c for cell in cells if (c := bare_unit(cell)) and c not in "-_"]
    return sum(known_unit(c) is not None for c in filled) / max(len(filled), 1)


def bare_unit(cell: str) -> str:
    """A unit cell without the brackets around it: "[kPa]" -> "kPa"."""
    text = undo_double_decoding(cell).strip()
    while len(text) > 1 and text[0] + text[-1] in ("[]", "()", "{}", "<>"):
        text = text[1:-1].strip()
    return "" if is_blank(text) else text


# Names, units, second names, and all rows as they stand.
Header = tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...], tuple[tuple[str, ...], ...]]


def _header(block: Sequence[_Line], score: Scorer) -> Header | None:
    """Names, units and second names out of the header rows."""
    if not block:
        return None
    rows = [tuple(row.cells) for row in block]
    units: tuple[str, ...] = ()
    if len(rows) > 1:
        unitlike = max(rows, key=_unit_share)
        if _unit_share(unitlike) >= _UNIT_SHARE:
            units = unitlike
    others = [row for row in rows if row is not units]
    # On a tie the row nearest the readings wins.
    names = max(reversed(others), key=lambda row: sum(map(score, row)))
    also: tuple[str, ...] = ()
    for row in others:
        if row is not names and sum(map(bool, row)) >= 0.8 * sum(map(bool, names)):
            also = row
    return names, tuple(bare_unit(cell) for cell in units), also, tuple(rows)


def _layout(body: int, width: int, delimiter: str, header: Header | None, above: int) -> Layout:
    notes = []
    if header is not None and header[1] and not _beside(header[1], header[0], width):
        # A lost cell would give each column behind it its neighbour's unit.
        notes.append("the row of units has not as many cells as the row of names: not used")
        header = (header[0], (), *header[2:])
    if header is None:
        notes.append("no row of column names: the columns are numbered from the left")
        header = tuple(f"column {i}" for i in range(1, width + 1)), (), (), ()
    names, units, also, block = header
    names = tuple(_printable(undo_double_decoding(n)) for n in names)
    if names[0][:1] in ("#", "%"):
        names = (names[0].lstrip("#% "), *names[1:])
    while len(names) > 1 and not names[-1] and len(names) > width - 1:
        names = names[:-1]
    size = len(names)
    if above:
        notes.append(f"{above} line{'s' * (above > 1)} above the column names skipped")
    if any(also):
        notes.append("two rows name the columns: the one that names units is used")
    return Layout(
        delimiter, names, _pad(units, size), _pad(also, size), block, body, width,
        tuple(notes),
    )  # fmt: skip


def _beside(units: Sequence[str], names: Sequence[str], width: int) -> bool:
    """Whether each unit stands under its name: as many cells, but for the one behind the end."""
    if len(units) == len(names):
        return bool(names[-1]) or not units[-1]
    return bool(names[-1]) and len(units) == width and not units[-1]


def _pad(cells: tuple[str, ...], size: int) -> tuple[str, ...]:
    return (*cells, *[""] * (size - len(cells)))[:size]
