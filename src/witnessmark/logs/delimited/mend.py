"""Text put right before it is cut into columns: spreadsheet formulas, columns parted by spaces."""

import re
from collections import Counter
from collections.abc import Sequence

# Spreadsheets are kept from turning "1-2" into a date by writing ="1-2".
_FORMULA = re.compile(r'(?m)(?:^|(?<=[,;\t|]))(?:"=""([^"\n]*)"""|="([^"\n]*)")')
# Names may hold single spaces, so wider gaps are tried first.
_GAPS = (re.compile(r"(?<=\S) {2,}(?=\S)"), re.compile(r"(?<=\S) +(?=\S)"))
_EVEN_SHARE = 0.9  # of lines with the same number of gaps makes them columns
# A number behind a single space, in a file whose cells stand further apart.
_JOINED = re.compile(r"(?<=\S) (?=[-+]?[.\d])")
_EDGES = re.compile(r"(?m)^ +| +(?=\r?$)")


_BROKEN = re.compile(r'(?m)(?:^|(?<=[,;\t|]))"[^"\n]+(?:\n[^"\n]+)+"(?=[,;\t|\r\n]|$)')
_HEAD = 1 << 16  # characters in which a header may have broken names


def with_whole_names(text: str) -> str:
    """Quoted names that a spreadsheet broke over several lines, on one."""
    head = text[:_HEAD]
    if '"' not in head:
        return text
    return _BROKEN.sub(lambda found: " ".join(found[0].split()), head) + text[_HEAD:]


def without_formulas(text: str) -> str:
    """Cells written ="850" as 850."""
    if '="' not in text:
        return text
    return _FORMULA.sub(lambda found: found[1] or found[2] or "", text)


def parted_by_tabs(text: str, head: Sequence[str]) -> str | None:
    """A text of columns parted by spaces with tabs in their place; None if it is no such text.

    `head`: its first lines.
    """
    filled = [line.strip() for line in head if line.strip()]
    for gap in _GAPS:
        counts = Counter(len(gap.findall(line)) for line in filled)
        often, lines = counts.most_common(1)[0] if counts else (0, 0)
        if often and lines >= _EVEN_SHARE * len(filled):
            return _without_joined(gap.sub("\t", _EDGES.sub("", text)))
    return None


def _without_joined(text: str) -> str:
    """Rows in which two numbers share a cell, as no other row has them, with one cell too many.

    Such a row was spliced from two: as many cells as the others have prove nothing of it.
    """
    lines = text.split("\n")
    counts = [len(_JOINED.findall(line)) for line in lines]
    usual = Counter(counts).most_common(1)[0][0]
    return "\n".join(
        _JOINED.sub("\t", line) if many > usual and line[:1].isdigit() else line
        for line, many in zip(lines, counts, strict=True)
    )
