"""The review in words: order, moments, units."""

from dataclasses import replace

from witnessmark.model.finding import Answer, Event, Finding, Tabled, Verdict
from witnessmark.model.log import Span
from witnessmark.model.said import Said
from witnessmark.report.html import verdict_html
from witnessmark.report.verdict.view import MOMENTS_A_FINDING, verdict_view
from witnessmark.units import Kind, Preferences, Quantity


def with_events(review, count, answer=Answer.BROKEN):
    events = tuple(
        Event(Span(10.0 * n, 10.0 * n + 1 + n % 7), Said(f"moment {n}")) for n in range(count)
    )
    finding = Finding("x.y", "Many moments", answer, Said("-"), events=events)
    return replace(review, verdict=Verdict("first-drive", (finding,), review.log.source))


def test_order_is_broken_too_little_not_shown_kept_and_required_first(review):
    view = verdict_view(review)
    assert [f.check for f in view.findings] == [
        "speed.ceiling", "work.overrun", "knock.none", "boost.ceiling",
    ]  # fmt: skip


def test_what_is_neither_shown_nor_asked_for_is_gathered_and_not_a_line_of_its_own(review):
    view = verdict_view(review)
    assert [f.check for f in view.missing] == ["knock.none", "oil.floor"]
    assert "oil.floor" not in [f.check for f in view.findings]


def test_a_table_behind_a_line_is_in_the_readers_units(review):
    cell = Said("{v}", {"v": Quantity(373.15, Kind.TEMPERATURE)})
    finding = replace(review.verdict.findings[0], table=Tabled(("Hot",), ((cell,),)))
    found = replace(review, verdict=Verdict("first-drive", (finding,), review.log.source))
    assert verdict_view(found, Preferences(temperature="°F")).findings[0].table.rows == (
        ("212 °F",),
    )  # fmt: skip
    assert "212 °F" in verdict_html(found, Preferences(temperature="°F")).replace("\u00a0", " ")


def test_a_channel_that_is_missing_is_never_kept(review):
    for finding in verdict_view(review).findings:
        assert (finding.answer == "Not shown") == ("does not show" in finding.found)


def test_moments_that_broke_a_limit_are_numbered_and_good_pulls_are_not(review):
    view = verdict_view(review)
    assert [(m.number, m.title) for m in view.moments] == [(1, "Engine speed ceiling")]
    assert [m.number for f in view.findings for m in f.moments] == [1, 0]


def test_the_moment_has_time_in_the_log_and_on_the_clock(review):
    (moment,) = verdict_view(review).moments
    # 500.25 s after 14:03:20 is 8 min 20 s into the log, 14:11:40 on the clock.
    assert (moment.at, moment.clock, moment.lasted) == ("8 min 20 s", "14:11:40", "5.8 s")


def test_no_clock_is_invented(review):
    blind = replace(review, log=replace(review.log, started=None))
    assert all(m.clock == "" for m in verdict_view(blind).moments)


def test_a_long_list_keeps_the_longest_in_order_of_time_and_says_what_it_leaves_out(review):
    view = verdict_view(with_events(review, 40))
    times = [m.said for m in view.moments]
    assert len(times) == MOMENTS_A_FINDING
    assert times == sorted(times, key=lambda said: int(said.split()[1]))
    assert {m.lasted for m in view.moments} <= {"6 s", "7 s"}
    assert view.findings[0].moments_left == "The 6 longest; 34 shorter not listed."


def test_numbers_come_in_the_readers_units(review):
    assert "psi" in verdict_view(review).findings[-1].found
    metric = verdict_view(review, Preferences(pressure="bar"))
    assert "bar" in metric.findings[-1].found


def test_all_counts_are_shown_even_zero(review):
    counts = {c.key: c.number for c in verdict_view(with_events(review, 1)).counts}
    assert counts == {"broken": 1, "too-little-shown": 0, "not-shown": 0, "kept": 0}
