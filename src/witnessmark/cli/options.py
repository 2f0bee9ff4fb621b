"""Options that several commands share."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Annotated

import typer

from witnessmark.errors import UserError
from witnessmark.jobs.band import Known
from witnessmark.logs.recordings.dbc import Dbc, load_dbc
from witnessmark.model.build import BuildSheet
from witnessmark.records.shop import Shop, open_shop
from witnessmark.units import CHOICES, Preferences

LogFile = Annotated[
    Path, typer.Argument(metavar="LOG", help="The drive log as the logger wrote it.")
]
PhaseOf = Annotated[str, typer.Option(help="Phase of the plan the drive belongs to.")]
SheetFile = Annotated[
    Path | None,
    typer.Option(
        help="Build sheet; the plan is made from it afresh. With --plan only for --calibration."
    ),
]
PlanFile = Annotated[
    Path | None, typer.Option(help="Frozen plan (plan.json), in place of --build.")
]
Columns = Annotated[
    list[str] | None,
    typer.Option(
        metavar="'COLUMN=name:unit'",
        help="Say what a column is, or 'COLUMN=ignore'. May be given again.",
    ),
]
Out = Annotated[
    list[Path] | None,
    typer.Option(
        "--out", "-o", metavar="FILE",
        help="Also write FILE; its ending says what: .pdf, .html or .json. May be given again.",
    ),
]  # fmt: skip
Units = Annotated[
    str | None,
    typer.Option(
        "--units", metavar="LIST",
        help="Units to show, in place of the build sheet's: 'bar,°F,km,AFR,mm'. "
        "Choices: " + "; ".join("/".join(units) for units in CHOICES.values()) + ".",
    ),
]  # fmt: skip
Recipe = Annotated[
    str | None,
    typer.Option(
        "--recipe", metavar="ID|FILE",
        help="Recipe to use, by id from the book or by the path of your own file.",
    ),
]  # fmt: skip
School = Annotated[
    str | None,
    typer.Option("--school", help="School of running in: 'gentle first' or 'load early'."),
]
CalibrationFile = Annotated[
    Path | None,
    typer.Option(
        metavar="FILE", help="What 'witnessmark calibrate' learned from this engine's own logs."
    ),
]
Bus = Annotated[
    list[Path] | None,
    typer.Option(
        "--dbc", metavar="FILE",
        help="DBC that says what the frames of a bus log mean. May be given again.",
    ),
]  # fmt: skip
ShopFolder = Annotated[
    Path | None,
    typer.Option(
        "--shop", metavar="FOLDER", envvar="WITNESSMARK_SHOP",
        help="The shop's folder: logs as they came, corrections and each engine's hours are kept "
        "in it. Made if it is not there.",
    ),
]  # fmt: skip
Quiet = Annotated[bool, typer.Option("--quiet", "-q", help="Print nothing but faults.")]


def buses(files: Sequence[Path] | None) -> tuple[Dbc, ...]:
    """The DBC files given with --dbc. Raises UserError if one is no DBC."""
    return tuple(load_dbc(path) for path in files or ())


def shop_in(folder: Path | None) -> Shop | None:
    """The shop's folder, None if none was named. Raises UserError if it cannot be used."""
    return None if folder is None else open_shop(folder)


def recipe_named(text: str | None) -> str | Path | None:
    """What --recipe says: the path of a file if it ends like one, else an id of the book."""
    return Path(text) if text is not None and text.endswith(".toml") else text


def preferences(chosen: str | None, sheet: Preferences) -> Preferences:
    """The build sheet's units, changed by what --units says.

    Raises UserError for a unit nobody offers.
    """
    prefer = sheet
    for word in filter(None, (part.strip() for part in (chosen or "").split(","))):
        unit = {"C": "°C", "F": "°F", "um": "µm", "degC": "°C", "degF": "°F"}.get(word, word)
        names = [name for name, units in CHOICES.items() if unit in units]
        if not names:
            offered = ", ".join(unit for units in CHOICES.values() for unit in units)
            raise UserError(
                "--units", f"'{word}' is not offered", f"any of {offered}", "Pick from these"
            )
        prefer = replace(prefer, **{names[0]: unit})
    return prefer


def known_by(sheet: BuildSheet, calibration: Path | None) -> Known | None:
    """What a calibration file has taught about an engine; None without a file.

    Raises UserError if it cannot be read, was changed, or belongs to another build.
    """
    if calibration is None:
        return None
    # The fitter behind it takes a second to load: only a calibrated engine waits for it.
    from witnessmark.jobs.known_engine import known_engine  # noqa: PLC0415

    return known_engine(sheet, calibration)
