"""Many logs' verdicts as their reader sees them: a line a log, and what they add up to."""

from collections import Counter
from dataclasses import dataclass

from witnessmark.jobs.keep import ran
from witnessmark.jobs.review_all import Batch, Reviewed
from witnessmark.model.finding import Answer
from witnessmark.report.plan.view import Fact
from witnessmark.report.verdict.view import headline
from witnessmark.report.words import counted, key, printable, word
from witnessmark.units import Kind, Preferences, Quantity, show

NOT_SHOWN = "not shown"
FAULT = "Not judged"


@dataclass(frozen=True)
class LogLine:
    """One log. `key`: of its mark, "" if it could not be judged. `about`: "" if nothing."""

    name: str
    started: str
    key: str
    answer: str
    headline: str
    broken: int
    ran: str
    turned: str
    distance: str
    about: str
    link: str = ""


@dataclass(frozen=True)
class BatchView:
    """The whole page."""

    serial: str
    engine: str
    phase: str
    headline: str
    tiles: tuple[Fact, ...]
    said: tuple[str, ...]
    lines: tuple[LogLine, ...]
    footer: str


def batch_view(found: Batch, prefer: Preferences, links: tuple[str, ...] = ()) -> BatchView:
    """The logs in words. `links`: address of each log's own verdict, "" or none if it has none."""
    names = {log.drive.sha256: log.name for log in reversed(found.logs) if log.drive}
    sums = found.totals
    addresses = links or ("",) * len(found.logs)
    return printable(
        BatchView(
            serial=found.serial, engine=found.engine, phase=found.phase, headline=_headline(found),
            tiles=(
                Fact("Run", show(ran(sums.running), prefer)),
                Fact("Turns of the crank", _turned(sums.revolutions)),
                Fact("Driven", _distance(sums.distance, prefer)),
            ),
            said=tuple(_said(found)),
            lines=tuple(
                _line(log, names, prefer, link)
                for log, link in zip(found.logs, addresses, strict=True)
            ),
            footer=f"Logs of engine {found.serial}, phase {found.phase}",
        )
    )  # fmt: skip


def _headline(found: Batch) -> str:
    """How many of what, the gravest first."""
    answers = Counter(log.verdict.answer if log.verdict else None for log in found.logs)
    order = (Answer.BROKEN, None, Answer.NOT_SHOWN, Answer.TOO_LITTLE, Answer.KEPT)
    parts = [
        f"{answers[answer]} {answer.value if answer else FAULT.lower()}"
        for answer in order
        if answers[answer]
    ]
    return f"{counted(len(found.logs), 'log')}: {', '.join(parts) or 'none judged'}."


def _said(found: Batch) -> list[str]:
    sums, said = found.totals, []
    if found.left:
        said.append(f"Stopped: {counted(len(found.left), 'log')} not judged, from {found.left[0]}.")
    if sums.twins:
        logs = "1 file is" if sums.twins == 1 else f"{sums.twins} files are"
        said.append(f"{logs} here twice: counted once in the sums.")
    if alike := sum(bool(log.like) for log in found.logs):
        logs = "1 log looks" if alike == 1 else f"{alike} logs look"
        said.append(f"{logs} like a drive another log shows too: if so, it is counted twice.")
    if not found.compared:
        said.append(
            "So many logs are only looked over for files that are the same to the byte: one drive "
            "taken by two loggers would count twice."
        )
    if sums.without_distance:
        one = sums.without_distance
        said.append(f"{counted(one, 'drive')} without a distance: the engine has gone further.")
    return said


def _line(log: Reviewed, names: dict[str, str], prefer: Preferences, link: str) -> LogLine:
    if log.drive is None or log.verdict is None:
        told = "; ".join(f"{f.where}: {f.told} {f.remedy}" for f in log.fault.faults) if (
            log.fault is not None) else ""  # fmt: skip
        return LogLine(log.name, NOT_SHOWN, "", FAULT, told, 0, "", "", "", "", link)
    drive, about = log.drive, ""
    if drive.twin_of:
        about = f"The same file as {names[drive.twin_of]}: not counted again."
    elif log.like:
        about = f"Its engine speed runs as that of {log.like}: maybe the same drive."
    return LogLine(
        name=log.name, started=drive.started.replace("T", " ")[:16] or NOT_SHOWN,
        key=key(log.verdict.answer), answer=word(log.verdict.answer),
        headline=headline(log.verdict), broken=log.broken,
        ran=show(ran(drive.running), prefer), turned=_turned(drive.revolutions),
        distance=_distance(drive.distance, prefer), about=about, link=link,
    )  # fmt: skip


def _turned(revolutions: float | None) -> str:
    return NOT_SHOWN if revolutions is None else f"{revolutions:,.0f}"


def _distance(metres: float | None, prefer: Preferences) -> str:
    return NOT_SHOWN if metres is None else show(Quantity(metres, Kind.DISTANCE), prefer)
