"""A strip over the timeline: engine off, idling, driving, under load. Darker is harder worked."""

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Patch
from numpy.typing import NDArray

from witnessmark.checks.driving.doing import Did, Doings
from witnessmark.model.log import Floats
from witnessmark.report.drawing import FAINT, GRID, Size

_PLACES = 360  # along the strip; a state shorter than a place is swallowed by its neighbours
_NAMES = {
    Did.OFF: "engine off", Did.IDLING: "idling", Did.DRIVING: "driving", Did.LOADED: "under load",
}  # fmt: skip
# Four steps of lightness tell them apart in grey; off is hatched besides.
_LOOKS: dict[Did, Any] = {
    Did.OFF: {"facecolor": "white", "hatch": "////", "edgecolor": FAINT, "linewidth": 0.0},
    Did.IDLING: {"facecolor": "#dfe7e8", "edgecolor": "none"},
    Did.DRIVING: {"facecolor": "#8db4bb", "edgecolor": "none"},
    Did.LOADED: {"facecolor": "#1d5a67", "edgecolor": "none"},
}
OFF_SHADE = "#f1f3f4"


def states(doings: Doings, end: float) -> tuple[Floats, Floats, NDArray[np.int64]]:
    """Begin and end of each run of one state along the strip, and the state; -1 is a pause. [s]"""
    width = end / _PLACES
    place = np.minimum((doings.time / width).astype(np.int64), _PLACES - 1)
    kinds = len(Did)
    time = np.bincount(place * kinds + doings.did, doings.held, _PLACES * kinds)
    time = time.reshape(_PLACES, kinds)
    state = np.where(time.sum(axis=1) > 0, time.argmax(axis=1), -1)
    # A long sample fills the places it stands over.
    for at in np.flatnonzero(doings.held > width):
        last = min(int((doings.time[at] + doings.held[at] - 1e-9) / width), _PLACES - 1)
        state[place[at] : last + 1] = doings.did[at]
    turns = np.flatnonzero(np.diff(state, prepend=state[0] - 1))
    stops = np.append(turns[1:], _PLACES)
    return np.asarray(turns * width), np.asarray(stops * width), state[turns]


def draw_strip(ax: Axes, doings: Doings, end: float, size: Size) -> None:
    """The strip with its own legend over it."""
    begins, stops, found = states(doings, end)
    for kind in Did:
        mine = found == kind
        if mine.any():
            bars = list(zip(begins[mine], (stops - begins)[mine], strict=True))
            ax.broken_barh(bars, (0.0, 1.0), **_LOOKS[kind])
    ax.set_ylim(0, 1)
    ax.set_yticks([])
    ax.tick_params(length=0)
    ax.grid(visible=False)
    for side in ax.spines.values():
        side.set_color(GRID)
        side.set_visible(True)
    shown = [kind for kind in Did if (found == kind).any()]
    ax.legend(
        [Patch(**{**_LOOKS[kind], "edgecolor": FAINT, "linewidth": 0.5}) for kind in shown],
        [_NAMES[kind] for kind in shown], loc="lower left", bbox_to_anchor=(0.0, 1.0),
        ncols=len(shown), frameon=False, fontsize="small", borderpad=0.1, handlelength=1.4,
        columnspacing=1.0 if size.narrow else 1.8, handletextpad=0.5, borderaxespad=0.2,
    )  # fmt: skip


def off_spans(doings: Doings, end: float) -> list[tuple[float, float]]:
    """Stretches in which the engine stands. [s]"""
    begins, stops, found = states(doings, end)
    off = found == Did.OFF
    return list(zip(begins[off].tolist(), stops[off].tolist(), strict=True))
