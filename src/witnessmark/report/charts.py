"""The pictures of a review."""

from witnessmark.jobs.review import Review
from witnessmark.report.drawing import Chart
from witnessmark.report.verdict.load_chart import load_chart
from witnessmark.report.verdict.timeline import timeline
from witnessmark.units import Preferences


def charts(review: Review, prefer: Preferences | None = None, narrow: bool = True) -> list[Chart]:
    """Timeline and load map, whichever the log can fill.

    `narrow` : whether to draw the phone's version too; paper does without.
    """
    chosen = prefer or review.plan.prefer
    drawn = (timeline(review, chosen, narrow), load_chart(review, chosen, narrow))
    return [chart for chart in drawn if chart is not None]
