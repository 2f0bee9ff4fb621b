"""Axes that charts of a log share: time along the bottom, values in the reader's units."""

import numpy as np
from matplotlib.axes import Axes

from witnessmark.model.log import Floats
from witnessmark.report.drawing import Size
from witnessmark.units import Kind, Preferences, Quantity, shown_value

_TICKS = (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14400, 43200, 86400)


def in_units(values: Floats, kind: Kind, prefer: Preferences) -> Floats:
    """SI values in the unit this reader is shown."""
    zero, one = (shown_value(Quantity(x, kind), prefer)[0] for x in (0.0, 1.0))
    return values * (one - zero) + zero


def time_axis(ax: Axes, end: float, size: Size) -> None:
    """Ticks and label of an axis of seconds from the first sample to `end`."""
    wanted = 5 if size.narrow else 10
    step = next((s for s in _TICKS if end / s <= wanted), _TICKS[-1])
    ax.set_xlim(0, end)
    ax.set_xticks(np.arange(0, end + step * 1e-6, step))
    hours = end >= 2 * 3600
    ax.xaxis.set_major_formatter(lambda x, _: _clock(x, hours))
    ax.set_xlabel("Time in the log, " + ("hours:minutes" if hours else "minutes:seconds"))


def _clock(seconds: float, hours: bool) -> str:
    big, small = divmod(round(seconds / 60) if hours else round(seconds), 60)
    return f"{big}:{small:02d}"
