"""An engine's drives as their reader sees them."""

from dataclasses import dataclass

from witnessmark.jobs.engine import EngineKept
from witnessmark.jobs.keep import ran
from witnessmark.model.kept_drive import KeptDrive
from witnessmark.report.plan.view import Fact
from witnessmark.report.words import counted, printable, short
from witnessmark.units import Kind, Preferences, Quantity, show

NOT_SHOWN = "not shown"


@dataclass(frozen=True)
class DriveLine:
    """One drive. `about`: what there is to say of it, "" if nothing."""

    when: str
    name: str
    phase: str
    answer: str
    ran: str
    turned: str
    distance: str
    about: str


@dataclass(frozen=True)
class EngineView:
    """The whole page; `engine` is the line under its heading."""

    serial: str
    engine: str
    tiles: tuple[Fact, ...]
    said: tuple[str, ...]
    drives: tuple[DriveLine, ...]
    footer: str


def engine_view(found: EngineKept, prefer: Preferences | None = None) -> EngineView:
    """An engine's drives in words; distances as its build sheet has them if `prefer` is None."""
    chosen, sums = prefer or Preferences(distance=found.drives[-1].distance_unit), found.totals
    names = {d.sha256: d.name for d in found.drives}
    return printable(
        EngineView(
            serial=found.serial, engine=f"{counted(sums.drives, 'drive')} kept",
            tiles=(
                Fact("Run", show(ran(sums.running), chosen)),
                Fact("Turns of the crank", _turned(sums.revolutions)),
                Fact("Driven", _distance(sums.distance, chosen)),
                Fact("Starts seen", f"{sums.starts:,}"),
            ),
            said=tuple(_said(found)),
            drives=tuple(_line(d, names, chosen) for d in found.drives),
            footer=f"Drives kept of engine {found.serial}",
        )
    )  # fmt: skip


def _said(found: EngineKept) -> list[str]:
    sums = found.totals
    said = []
    if sums.without_distance:
        said.append(f"{_shows(sums.without_distance)} no distance: the engine has gone further.")
    if sums.without_start:
        one = "1 log begins" if sums.without_start == 1 else f"{sums.without_start} logs begin"
        said.append(f"{one} with the engine turning: the start before is not counted.")
    if sums.twins:
        one = "1 log is" if sums.twins == 1 else f"{sums.twins} logs are"
        said.append(f"{one} of a drive another logger took too: that drive counts once.")
    unclear = sum(not d.told_apart and not d.twin_of for d in found.drives)
    if unclear:
        one = "1 drive holds" if unclear == 1 else f"{unclear} drives hold"
        said.append(
            f"{one} its speed so steady that nobody can tell whether it was taken twice."
            if unclear == 1
            else f"{one} their speed so steady that nobody can tell whether they were taken twice."
        )
    said.append("Pauses in recording count for nothing, and neither does what was never logged.")
    return said


def _shows(number: int) -> str:
    return "1 drive shows" if number == 1 else f"{number} drives show"


def _line(drive: KeptDrive, names: dict[str, str], prefer: Preferences) -> DriveLine:
    about = ""
    if drive.twin_of:
        lag = show(Quantity(abs(drive.lag), Kind.DURATION), prefer)
        side = "later" if drive.lag >= 0 else "earlier"
        other = names.get(drive.twin_of, short(drive.twin_of))
        about = f"The same drive as {other}, begun {lag} {side}: not counted."
    elif drive.distance_from == "distance":
        about = "Distance by the log's own counter."
    when = drive.started.replace("T", " ")[:16] or f"kept {drive.kept_on}"
    return DriveLine(
        when=when, name=drive.name, phase=drive.phase, answer=drive.answer,
        ran=show(ran(drive.running), prefer), turned=_turned(drive.revolutions),
        distance=_distance(drive.distance, prefer), about=about,
    )  # fmt: skip


def _turned(revolutions: float | None) -> str:
    return NOT_SHOWN if revolutions is None else f"{revolutions:,.0f}"


def _distance(metres: float | None, prefer: Preferences) -> str:
    return NOT_SHOWN if metres is None else show(Quantity(metres, Kind.DISTANCE), prefer)
