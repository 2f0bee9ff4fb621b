"""How every chart is drawn: ink, letters, two sizes, and SVG that comes out the same each time.

Fixed salt for identifiers, no date, letters as outlines: the same review gives the same bytes.
"""

import io
import re
from dataclasses import dataclass
from typing import Any

import matplotlib as mpl
from matplotlib.figure import Figure

INK = "#16202a"
LINE = "#0f4c5c"
SECOND = "#8a5a00"
FAINT = "#5b6670"
GRID = "#d9dee2"
BROKEN = "#8f1d14"
# Letters stand on white, so that hatching and lines do not run into them.
ON_WHITE: Any = {"facecolor": "white", "edgecolor": "none", "pad": 1.0, "alpha": 0.85}

_STYLE: Any = {
    "svg.fonttype": "path",
    "svg.hashsalt": "witnessmark",
    "font.family": "DejaVu Sans",
    "axes.edgecolor": FAINT,
    "axes.labelcolor": INK,
    "axes.linewidth": 0.8,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.grid": True,
    "axes.axisbelow": True,
    "grid.color": GRID,
    "grid.linewidth": 0.7,
    "xtick.color": INK,
    "ytick.color": INK,
    "text.color": INK,
    "hatch.linewidth": 0.9,
    "path.simplify": False,
}


@dataclass(frozen=True)
class Chart:
    """A drawing for a page (`wide`), one for a phone (`narrow`, "" if not asked for), and words."""

    name: str
    title: str
    wide: str
    narrow: str
    alt: str
    caption: str


@dataclass(frozen=True)
class Size:
    """Inches and points: a phone gets a small drawing with full-sized letters."""

    width: float
    text: float
    narrow: bool


WIDE = Size(9.4, 11.0, narrow=False)
NARROW = Size(3.9, 8.5, narrow=True)


def style(size: Size) -> Any:
    """The settings under which one drawing is made, as a context."""
    return mpl.rc_context(_STYLE | {"font.size": size.text})


def svg(figure: Figure, prefix: str) -> str:
    """A figure as an <svg> element; `prefix` keeps its identifiers apart on a shared page."""
    out = io.StringIO()
    figure.savefig(out, format="svg", transparent=True, metadata={"Date": None, "Creator": None})
    text = out.getvalue()
    text = text[text.index("<svg") :]
    text = re.sub(r"\s*<metadata>.*?</metadata>", "", text, flags=re.DOTALL)
    # A hundredth of a point is finer than any screen; the rest of the digits is half the file.
    text = re.sub(r'\bd="[^"]*"', lambda path: re.sub(r"(\.\d\d)\d+", r"\1", path[0]), text)
    text = re.sub(r'\bid="', f'id="{prefix}-', text)
    text = re.sub(r"url\(#", f"url(#{prefix}-", text)
    return re.sub(r'xlink:href="#', f'xlink:href="#{prefix}-', text)
