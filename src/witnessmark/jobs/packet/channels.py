"""What became of every column of the file, as a table."""

import csv
import io
from collections.abc import Sequence

from witnessmark.jobs.packet.units import Shown
from witnessmark.model.log import Log

HEADS = (
    "column in the file", "unit in the file", "taken for", "taken as", "how we know", "why",
    "share of rows with a reading", "readings a second", "column in log-si",
    "column in log-tuner", "which samples were fresh",
)  # fmt: skip
_TEMPTING = ("=", "+", "-", "@", "\t", "\r")  # a spreadsheet would work such a cell out


def channel_rows(log: Log, si: Sequence[Shown], tuner: Sequence[Shown]) -> list[tuple[str, ...]]:
    """One row a column of the file, under HEADS."""
    heads = {one.channel: (one.head, two.head, one) for one, two in zip(si, tuner, strict=True)}
    rows: list[tuple[str, ...]] = []
    for column in log.columns:
        name = column.channel or ""
        one, two, shown = heads.get(name, ("", "", None))
        mark = "" if shown is None else shown.mark if name in log.fresh else "all"
        rate = "" if shown is None else f"{reading_rate(log, name):.4g}"
        rows.append(
            (
                column.name, column.unit, name, column.taken_unit, column.how.value, column.why,
                f"{column.shown:.4f}", rate, one, two, mark,
            )
        )  # fmt: skip
    return rows


def reading_rate(log: Log, channel: str) -> float:
    """Fresh readings a second, pauses left out. [1/s]"""
    recorded = float(log.held.sum())
    fresh = log.fresh[channel].sum() if channel in log.fresh else len(log.time)
    return float(fresh) / recorded if recorded > 0 else 0.0


def channel_csv(rows: Sequence[Sequence[str]]) -> bytes:
    """The table as CSV, fit to open in a spreadsheet whatever a logger called its columns."""
    out = io.StringIO()
    write = csv.writer(out, lineterminator="\n")
    write.writerow(HEADS)
    for row in rows:
        write.writerow([_tame(cell) for cell in row])
    return out.getvalue().encode("utf-8", "replace")


def _tame(cell: str) -> str:
    plain = "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in cell)
    return f"'{plain}" if len(cell) > 1 and cell.startswith(_TEMPTING) else plain
