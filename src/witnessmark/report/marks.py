"""The four marks: the paint line across a bolt and its seat that gives the project its name.

An answer is told by its word first. The mark repeats it in shape, so that it survives a grey
print and a colour-blind eye: a line that runs straight through (kept), one that has slipped
(broken), one that stops half-way (too little shown), and a bolt with no line at all (not shown).
"""

from witnessmark.model.finding import Answer
from witnessmark.report.words import key

# Each at least 4.5:1 on white (WCAG 2.2, success criterion 1.4.3); a test works it out.
INK = {
    key(Answer.BROKEN): "#8f1d14",
    key(Answer.TOO_LITTLE): "#7a4a00",
    key(Answer.NOT_SHOWN): "#4a525c",
    key(Answer.KEPT): "#14544a",
}

_HEXAGON = "11,4 22,4 27.5,14 22,24 11,24 5.5,14"
_STROKES = {
    key(Answer.KEPT): ["M14 14H44"],
    key(Answer.BROKEN): ["M14 14H27", "M31 21H44"],
    key(Answer.TOO_LITTLE): ["M14 14H26"],
    key(Answer.NOT_SHOWN): [],
}


def mark_svg(answer: str) -> str:
    """The mark of an answer (its key) as a small drawing, 40 × 24 units."""
    ink = INK[answer]
    dashes = ' stroke-dasharray="4 3"' if answer == key(Answer.NOT_SHOWN) else ""
    fill = ink if answer == key(Answer.BROKEN) else "none"
    bolt = (
        f'<polygon points="{_HEXAGON}" fill="{fill}" stroke="{ink}" stroke-width="2.6" '
        f'stroke-linejoin="round"{dashes}/>'
    )
    lines = "".join(_stroke(path, ink, answer) for path in _STROKES[answer])
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="4 2 40 24" width="40" height="24" '
        f'aria-hidden="true" focusable="false">{bolt}{lines}</svg>'
    )


def _stroke(path: str, ink: str, answer: str) -> str:
    on_bolt = answer == key(Answer.BROKEN) and path.startswith("M14")
    colour = "#ffffff" if on_bolt else ink
    return f'<path d="{path}" stroke="{colour}" stroke-width="5.2" fill="none"/>'
