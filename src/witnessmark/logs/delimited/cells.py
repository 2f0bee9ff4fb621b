"""Numbers out of cells: decimal commas, units inside, On and Off, and what means "nothing"."""

import re
from collections import Counter
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import polars as pl

from witnessmark.logs.delimited.text import undo_double_decoding
from witnessmark.model.log import Floats
from witnessmark.units import known_unit

_BLANK = frozenset(
    ("", "-", "--", "---", "–", "—", "_", ".", "?", "*", "na", "n/a", "n.a.", "#n/a", "#na", "nan",
     "-nan", "1.#qnan", "-1.#ind", "#value!", "#ref!", "#div/0!", "null", "none", "nil", "(null)",
     "no data", "nodata", "no value", "unavailable", "not available", "invalid", "inf", "+inf",
     "-inf", "infinity", "-infinity", "void", "undefined", "keine daten")
)  # fmt: skip
_ON = frozenset(("on", "true", "yes", "open", "active", "ein", "an", "ja", "oui", "si", "sì", "sí",
                 "wahr", "vrai", "aan", "waar", "encendido", "acceso", "pressed", "depressed",
                 "enabled", "engaged", "applied"))  # fmt: skip
_OFF = frozenset(("off", "false", "no", "closed", "inactive", "aus", "nein", "non", "falsch",
                  "faux", "uit", "nee", "onwaar", "apagado", "spento", "released", "not pressed",
                  "not depressed", "disabled", "disengaged", "not engaged",
                  "not applied"))  # fmt: skip

_SPACES = re.compile("(?<=\\d)[\\s\u00a0\u202f\u2009'’](?=\\d{3}(?!\\d))")
_NUMBER = re.compile(r"([+-]?)\s*((?:\d[\d.,]*|[.,]\d[\d.,]*)(?:[eE][+-]?\d+)?)\s*(.*)$", re.DOTALL)
_GROUPED = re.compile(r"[1-9]\d{0,2}([.,])\d{3}(?:\1\d{3})*$")
_READING = re.compile(
    r"[+-]?[\d.,][\d.,' \u00a0]*(?:[eE][+-]?\d+)?\s*[^\s\d]{0,6}(?:\s[^\s\d]{1,3})?$|"  # 85 °C
    r"\d{1,4}[-/.:]\d{1,2}[-/.:]\d|\d{1,3}:\d\d|\d{1,2}[-/. ][A-Za-z]{3}[-/. ]\d{2,4}"
)


@dataclass(frozen=True)
class Numbers:
    """What came out of a column of text cells.

    `values`: NaN where a cell is blank or no number. `text`: cells that are neither, by what
    they say. `unit`: the unit written inside the cells, "" if none. `how`: what had to be
    decided ("comma read as decimal sign"), "" if nothing.
    """

    values: Floats
    text: Counter[str]
    unit: str = ""
    how: str = ""


def is_blank(cell: str) -> bool:
    """Whether a cell says "nothing here": empty, a dash, NaN, n/a, null."""
    return cell.strip().lower() in _BLANK


@lru_cache(maxsize=4096)
def looks_like_reading(cell: str) -> bool:
    """Whether a cell holds a number, a date or a time, maybe with a unit."""
    return _READING.match(cell) is not None and any(c.isdigit() for c in cell)


def numbers(cells: pl.Series, decimal: str, delimiter: str) -> Numbers:
    """The numbers of a column. `decimal`: the file's decimal sign where one is known, else "".

    Cells that are plainly numbers go at once; only what is left is looked at one by one.
    """
    if cells.dtype != pl.String:
        filled = cells.fill_null(float("nan")) if cells.null_count() else cells
        return Numbers(filled.to_numpy(), Counter())
    plain = cells.str.strip_chars().cast(pl.Float64, strict=False)
    values = np.array(plain.fill_null(float("nan")).to_numpy(), dtype=np.float64)
    values[~np.isfinite(values)] = np.nan
    odd = (plain.is_null() & cells.is_not_null()).to_numpy()
    dotted = _dotted_groups(cells, decimal) if decimal == "," else False
    if not odd.any() and not dotted:
        return Numbers(values, Counter())
    where = np.arange(len(values)) if dotted else np.flatnonzero(odd)
    rest = cells.gather(where) if not dotted else cells
    distinct = rest.unique(maintain_order=True).drop_nulls().to_list()
    comma = _comma_means(distinct, cells, decimal, delimiter)
    reader = _Reader(comma, "thousands" if dotted else "decimal")
    table = {text: reader.read(text) for text in distinct}
    values[where] = [np.nan if text is None else table[text] for text in rest.to_list()]
    counted = Counter(t for t in rest.to_list() if t in reader.text)
    return Numbers(values, counted, reader.unit(), reader.how)


class _Reader:
    """Reads odd cells of one column and remembers what it met."""

    def __init__(self, comma: str, dot: str) -> None:
        self.comma, self.dot = comma, dot
        self.text: set[str] = set()
        self.units: Counter[str] = Counter()
        self.said: set[str] = set()

    def read(self, cell: str) -> float:
        text = cell.strip().strip('"').strip()
        low = text.lower()
        if low in _BLANK:
            return float("nan")
        if low in _ON or low in _OFF:
            self.said.add("On and Off read as 1 and 0")
            return 1.0 if low in _ON else 0.0
        text = _SPACES.sub("", text.replace("−", "-"))
        match = _NUMBER.match(text)
        unit = undo_double_decoding(match[3]).strip() if match else ""
        if match is None or (unit and known_unit(unit) is None):
            self.text.add(cell)
            return float("nan")
        try:
            value = float(match[1] + self._dots(match[2]))
        except ValueError:
            self.text.add(cell)
            return float("nan")
        if unit:
            self.units[unit] += 1
        return value if np.isfinite(value) else float("nan")

    def _dots(self, digits: str) -> str:
        """The figures with a decimal dot and no thousands signs."""
        if "," in digits and "." in digits:
            decimal = max(",.", key=digits.rfind)
            other = "," if decimal == "." else "."
            self.said.add(f"'{decimal}' read as the decimal sign, '{other}' as thousands")
            return digits.replace(other, "").replace(decimal, ".")
        if digits.count(",") > 1 or digits.count(".") > 1:
            sign = "," if "," in digits else "."
            # 1.234.567 is grouped; 1.2.3 is a version or a damaged cell.
            return digits.replace(sign, "") if _GROUPED.match(digits) else "text"
        if "," in digits:
            self.said.add(f"comma read as {self.comma} sign")
            grouped = self.comma == "thousands" and _GROUPED.match(digits)
            return digits.replace(",", "" if grouped else ".")
        if self.dot == "thousands" and _GROUPED.match(digits):
            self.said.add("dot read as thousands sign")
            return digits.replace(".", "")
        return digits

    def unit(self) -> str:
        """The unit met in the cells, if it is one and the same."""
        return next(iter(self.units)) if len(self.units) == 1 else ""

    @property
    def how(self) -> str:
        units = f"units inside the cells ({', '.join(self.units)})" if self.units else ""
        return "; ".join(filter(None, [*sorted(self.said), units]))


def _comma_means(distinct: list[str], cells: pl.Series, decimal: str, delimiter: str) -> str:
    """Whether a lone comma in this column is a decimal or a thousands sign."""
    lone = [t.strip() for t in distinct if t.count(",") == 1 and "." not in t]
    if any(not _GROUPED.match(t.lstrip("+-").split(" ")[0]) for t in lone):
        return "decimal"
    if decimal:
        return "decimal" if decimal == "," and not _small_whole(cells, ",") else "thousands"
    return "decimal" if delimiter != "," and not _small_whole(cells, ",") else "thousands"


def _small_whole(cells: pl.Series, sign: str) -> bool:
    """Whole numbers without the sign exist, all below 1,000: so the sign groups thousands."""
    bare = cells.filter(cells.str.contains(r"^\s*[+-]?\d+\s*$")).cast(pl.Int64, strict=False)
    grouped = cells.str.contains(rf"^\s*[+-]?[1-9]\d{{0,2}}\{sign}\d{{3}}\s*$").sum()
    most = bare.abs().max()
    return bool(grouped) and isinstance(most, int) and 0 < most < 1000


def _dotted_groups(cells: pl.Series, decimal: str) -> bool:
    """In a file of decimal commas: whether this column's dots group thousands."""
    dotted = cells.filter(cells.str.contains(".", literal=True))
    if len(dotted) == 0 or cells.str.contains(",", literal=True).any():
        return False
    groups = dotted.str.contains(r"^\s*[+-]?[1-9]\d{0,2}\.\d{3}\s*$")
    return bool(groups.all()) and _small_whole(cells, ".")


_DECIMAL_COMMA = r"^\s*[+-]?(?:\d+,\d{1,2}|0,\d+|\d+,\d{4,}|\d{4,},\d+|\d{1,3}(?:\.\d{3})+,\d+)\b"
_DECIMAL_DOT = r"^\s*[+-]?(?:\d+\.\d{1,2}|0\.\d+|\d+\.\d{4,}|\d{4,}\.\d+|\d{1,3}(?:,\d{3})+\.\d+)\b"


def decimal_sign(cells: pl.Series) -> str:
    """The decimal sign these cells prove: "," or "." or "" when none or both do."""
    comma = bool(cells.str.contains(_DECIMAL_COMMA).any())
    dot = bool(cells.str.contains(_DECIMAL_DOT).any())
    return {(True, False): ",", (False, True): "."}.get((comma, dot), "")
