"""Small logs in the layouts that loggers of many kinds write, and what each must read as.

All numbers are inputs made up here, stated beside the log they are written into: no outside
reference. The factors to SI are the defining ones (ISO 80000, the international inch and pound).
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

ROWS = 121
MIDDLE, LAST = 60, 120
STEP = 0.5  # s

Points = tuple[float, float, float]  # first, middle, last


def si(factor: float, offset: float = 0.0) -> Callable[[Points], Points]:
    def of(points: Points) -> Points:
        a, b, c = (x * factor + offset for x in points)
        return a, b, c

    return of


RPM, KMH, MPH, MPS = si(1 / 60), si(1 / 3.6), si(0.44704), si(1.0)
C, F, K = si(1, 273.15), si(5 / 9, 459.67 * 5 / 9), si(1)
KPA, BAR, MBAR, PSI, INHG = si(1e3), si(1e5), si(100), si(6894.757), si(3386.389)
KGF = si(98_066.5)
PERCENT, ONE, DEG, G = si(0.01), si(1), si(0.017453293), si(9.80665)
AFR = si(1 / 14.7)
GPS_, KGH = si(1e-3), si(1 / 3600)


def gauge(points: Callable[[Points], Points], outside: float = 101_325.0):
    """Counted from the atmosphere, which is the standard one unless the log says."""

    def of(values: Points) -> Points:
        a, b, c = (x + outside for x in points(values))
        return a, b, c

    return of


@dataclass(frozen=True)
class Col:
    """One column: its header, first and middle value; it ends at `last`, or where it began."""

    head: str
    first: float
    middle: float
    last: float | None = None
    form: str = "{:.2f}"
    channel: str = ""
    to_si: Callable[[Points], Points] | None = None

    @property
    def points(self) -> Points:
        return self.first, self.middle, self.first if self.last is None else self.last

    def value(self, row: int) -> float:
        a, b, c = self.points
        half = row / MIDDLE
        return a + (b - a) * half if half <= 1 else b + (c - b) * (half - 1)

    def cell(self, row: int, decimal: str = ".") -> str:
        return self.form.format(self.value(row)).replace(".", decimal)


@dataclass(frozen=True)
class Case:
    """A log and what it must read as.

    `shows`: channel -> its SI values at the first, middle and last row. `asks`: column -> the
    channel that has to be asked for. `silent`: columns that must not be used. `refused`: words
    of the one error expected instead.
    """

    name: str
    text: str | bytes
    shows: Mapping[str, Points] = field(default_factory=dict)
    asks: Mapping[str, str] = field(default_factory=dict)
    silent: Sequence[str] = ()
    length: float = STEP * LAST  # s
    refused: str = ""
    only: bool = True  # no other channel may be shown
    rtol: float = 2e-3  # cells are written to two decimals


def c(
    head: str, first: float, middle: float, last: float | None = None, form: str = "{:.2f}",
    **to: Callable[[Points], Points],
) -> Col:  # fmt: skip
    """`c("RPM", 850, 3600, engine_speed=RPM)`: the channel it must be read as and its unit."""
    channel, function = next(iter(to.items()), ("", None))
    return Col(head, first, middle, last, form, channel, function)


def shows(cols: Sequence[Col]) -> dict[str, Points]:
    return {col.channel: col.to_si(col.points) for col in cols if col.to_si}


def seconds(row: int) -> str:
    return f"{STEP * row:.3f}"


def table(
    cols: Sequence[Col], *, time: str | None = "Time (s)", stamp: Callable[[int], str] = seconds,
    sep: str = ",", decimal: str = ".", above: str = "", under: str = "", below: str = "",
    end: str = "\n", quote: bool = False, tail: str = "", lead: Callable[[int], str] | None = None,
    lead_head: str = "",
) -> str:  # fmt: skip
    """A wide log. `under`: rows between names and readings; `tail`: ends each row of readings."""

    def line(cells: Sequence[str]) -> str:
        return sep.join(f'"{x}"' if quote else x for x in cells)

    names = [col.head for col in cols]
    heads = ([lead_head] if lead else []) + ([time] if time is not None else []) + names
    lines = [line(heads)]
    for row in range(ROWS):
        cells = [lead(row)] if lead else []
        if time is not None:
            cells.append(stamp(row).replace(".", decimal) if decimal != "." else stamp(row))
        cells += [col.cell(row, decimal) for col in cols]
        lines.append(line(cells) + tail)
    return above + lines[0] + end + under + end.join(lines[1:]) + end + below


def wide(name: str, cols: Sequence[Col], **how) -> Case:
    """A wide log that must read as its columns say."""
    own = {k: how.pop(k) for k in ("asks", "silent", "length", "rtol", "only") if k in how}
    encode = how.pop("encode", lambda text: text)
    return Case(name, encode(table(cols, **how)), shows(cols), **own)


def long(
    name: str, cols: Sequence[Col], heads: str, row: Callable[[str, Col, int], str], **own
) -> Case:
    """One reading a row: each channel in turn at the same stamp."""
    lines = [heads] if heads else []
    lines += [row(seconds(i), col, i) for i in range(ROWS) for col in cols]
    return Case(name, "\n".join(lines) + "\n", shows(cols), **own)
