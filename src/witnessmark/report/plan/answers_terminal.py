"""The tuner's answers for a terminal."""

from collections.abc import Sequence

from rich import box
from rich.console import Group, RenderableType
from rich.panel import Panel
from rich.text import Text

from witnessmark.model.plan import RunPlan
from witnessmark.report.plan.answers import AnswerView, answer_views
from witnessmark.units import Preferences


def answers_terminal(plan: RunPlan, prefer: Preferences, last: bool = False) -> RenderableType:
    """The answers, newest first; `last`: only the newest. Nothing if there are none."""
    views = answer_views(plan, prefer)
    return Group(*answer_panels(views[:1] if last else views))


def answer_panels(views: Sequence[AnswerView]) -> list[RenderableType]:
    """One panel an answer."""
    return [_panel(view) for view in views]


def _panel(view: AnswerView) -> RenderableType:
    lines = [Text(view.says, "bold red" if view.stop else "bold")]
    lines += [Text(f"“{view.words}”")] if view.words else []
    lines += [Text(f"Map {view.map}")] if view.map else []
    for c in view.ceilings:
        lines.append(Text.assemble(
            f"- {c.phase}, {c.name.lower()}: ", (c.now, "bold"), f", {c.way}. It was {c.before}."
        ))  # fmt: skip
    lines.append(Text(f"Signed {view.signed}. Answers {view.about}.", "dim"))
    return Panel(
        Group(*lines), title=Text(f"The tuner's answer {view.number}"), title_align="left",
        box=box.DOUBLE if view.stop else box.HEAVY,
    )  # fmt: skip
