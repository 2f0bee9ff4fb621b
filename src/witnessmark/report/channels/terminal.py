"""The columns of a log for a terminal of 80 columns."""

from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.text import Text

from witnessmark.jobs.channels import LogExplained
from witnessmark.report.channels.view import ChannelsView, ColumnLine, channels_view
from witnessmark.units import Preferences

_TONES = {"certain": "bold green", "likely": "bold yellow", "unsure: asked": "bold red"}


def channels_terminal(found: LogExplained, prefer: Preferences | None = None) -> RenderableType:
    """What waits for an answer first, then what is used, then the rest."""
    view = channels_view(found, prefer)
    return Group(
        Text(view.serial, "bold"), Text(view.engine), Text(view.headline, "bold"),
        *_asked(view), *_used(view), *_others(view), *_notes(view),
        Text(""), Text(view.footer, "dim"),
    )  # fmt: skip


def _asked(view: ChannelsView) -> list[RenderableType]:
    if not view.asked:
        return []
    parts: list[RenderableType] = [_head("These wait for your answer")]
    for line in view.asked:
        parts += [Padding(Text.assemble((line.name, "bold"), f"  {line.asks}"), (0, 0, 0, 2))]
        # What is to be typed stands whole on its line, to be copied.
        parts += [
            Text(f"--channel '{option}'", "bold", no_wrap=True, overflow="ignore")
            for option in line.options
        ]
    return parts


def _used(view: ChannelsView) -> list[RenderableType]:
    return [_head("In use"), *(_block(line) for line in view.used)]


def _others(view: ChannelsView) -> list[RenderableType]:
    if not view.others:
        return []
    lines = [Text.assemble((line.name, "bold"), f"  {line.said}") for line in view.others]
    return [_head("Not used"), *(Padding(line, (0, 0, 0, 2)) for line in lines)]


def _notes(view: ChannelsView) -> list[RenderableType]:
    if not view.notes:
        return []
    lines = [Text.assemble((n.where, "bold"), f": {n.said}") for n in view.notes]
    return [_head("Repaired or assumed"), *(Padding(line, (0, 0, 0, 2)) for line in lines)]


def _block(line: ColumnLine) -> RenderableType:
    taken = f"  {line.taken_for}{f' in {line.unit}' if line.unit else ''}" if line.taken_for else ""
    head = Text.assemble((line.name, "bold"), taken, "  ", (line.sure, _TONES.get(line.sure, "")))
    parts: list[RenderableType] = [head]
    parts += [_under(reason) for reason in line.reasons]
    if line.said:
        parts.append(_under(line.said))
    seen = [
        line.range, f"fastest {line.fastest}" if line.fastest else "",
        f"{line.a_second} readings a second" if line.a_second else "",
        f"in {line.shown} of rows",
    ]  # fmt: skip
    if line.range:
        parts.append(_under("; ".join(filter(None, seen))))
    return Padding(Group(*parts), (0, 0, 0, 2))


def _under(text: str) -> RenderableType:
    return Padding(Text(text), (0, 0, 0, 4))


def _head(text: str) -> Text:
    return Text(f"\n{text}", "bold underline")
