"""The pictures of a review."""

from witnessmark.jobs.review import Review
from witnessmark.report.drawing import Chart
from witnessmark.report.verdict.load_chart import load_chart
from witnessmark.report.verdict.pressure_chart import pressure_chart
from witnessmark.report.verdict.timeline import timeline
from witnessmark.units import Preferences


def charts(review: Review, prefer: Preferences | None = None, narrow: bool = True) -> list[Chart]:
    """Timeline, load map and oil pressure, whichever the log can fill.

    `narrow` : whether to draw the phone's version too; paper does without.
    """
    chosen = prefer or review.plan.prefer
    makers = (timeline, load_chart, pressure_chart)
    drawn = (make(review, chosen, narrow) for make in makers)
    return [chart for chart in drawn if chart is not None]
