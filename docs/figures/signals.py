"""Pictures of docs/explanation/what-a-log-can-show.md: `python docs/figures/signals.py`.

Both are made by the code they explain, on signals that are made up.
"""

from pathlib import Path

import matplotlib as mpl

mpl.use("svg")

import matplotlib.pyplot as plt
import numpy as np
from matplotlib.figure import Figure

from witnessmark.checks.signals.ends import pile, runs_of
from witnessmark.checks.signals.questions import questions
from witnessmark.checks.signals.rules import rules

PICTURES = Path(__file__).parents[1] / "pictures"
# Okabe and Ito's colours, told apart by every common kind of colour blindness.
BLUE, ORANGE, GREEN, BLACK = "#0072B2", "#D55E00", "#009E73", "#000000"
mpl.rcParams.update(
    {"svg.hashsalt": "signals", "font.size": 9, "axes.grid": True, "grid.alpha": 0.3}
)


def catch() -> Figure:
    """Share of the briefest events that fall on a reading, over the rate."""
    figure, axes = plt.subplots(figsize=(7, 3.6), layout="constrained")
    rate = np.geomspace(0.2, 100, 400)
    dips = next(q for q in questions() if q.id == "oil-dips").needs[0]
    for length, colour, dash in ((0.04, GREEN, ":"), (0.2, BLUE, "-"), (0.5, ORANGE, "--")):
        axes.semilogx(rate, 100 * np.minimum(1, length * rate), dash, color=colour)
    for x, y, colour, text in (
        (7.5, 21, GREEN, "0.04 s (knock)"), (1.55, 20, BLUE, "0.2 s (brief dip)"),
        (1.55, 86, ORANGE, "0.5 s (long dip,\nlean spell)"),
    ):  # fmt: skip
        axes.text(x, y, text, color=colour, ha="left" if colour != ORANGE else "right")
    full = dips.readings / dips.brief
    axes.axvspan(0.2, 1 / dips.slowest, color=BLACK, alpha=0.10, lw=0)
    axes.axvspan(full, 100, color=GREEN, alpha=0.10, lw=0)
    axes.text(0.22, 92, "dips: no", va="top")
    axes.text(3.2, 6, "dips: partly")
    axes.text(full * 1.08, 6, "dips: yes")
    axes.set(xlabel="readings a second", ylabel="caught, %", xlim=(0.2, 100), ylim=(0, 104))
    axes.set_xticks(
        [0.2, 0.5, 1, 2, 5, 10, 20, 50, 100], ["0.2", "0.5", *"125", "10", "20", "50", "100"]
    )
    axes.minorticks_off()
    return figure


def cut_off() -> Figure:
    """A sensor that ends too early, and a relief valve that opens: only one is a fault."""
    time = np.arange(0, 20, 0.1)
    swing = 330 + 150 * np.sin(time * 1.1)
    cut = np.round(np.minimum(swing, 400) / 4) * 4
    relief = np.round(np.where(swing < 380, swing, 380 + 0.25 * (swing - 380)) / 4) * 4
    figure, axes = plt.subplots(1, 2, figsize=(7, 2.8), layout="constrained", sharey=True)
    for panel, values, name in zip(axes, (cut, relief), ("sensor ends", "relief valve opens"),
                                   strict=True):  # fmt: skip
        visits = pile(values, values.min(), values.max(), 4.0, rules().readings)
        mask = np.zeros(len(values), dtype=bool)
        for first, last in visits:
            mask[first : last + 1] = True
        panel.plot(time, values, color=BLUE, lw=1)
        for first, last in runs_of(mask) if mask.any() else []:
            panel.plot(time[first : last + 1], values[first : last + 1], color=ORANGE, lw=3)
        panel.set(xlabel="time, s", title=f"{name}: {'cut off' if mask.any() else 'sound'}")
    axes[0].set_ylabel("oil pressure, kPa")
    return figure


if __name__ == "__main__":
    for name, figure in (("catch", catch()), ("cut-off", cut_off())):
        figure.savefig(PICTURES / f"signals-{name}.svg", metadata={"Date": None})
