"""The pictures: what they hold, that they can be told in words, that they repeat."""

import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import numpy as np
import pytest

from tests.made import JUDGING, make_table
from tests.report.conftest import limit
from witnessmark.checks.case import Case
from witnessmark.checks.driving.doing import doings
from witnessmark.checks.pressure.pressure_map import pressure_map
from witnessmark.checks.terms import Terms
from witnessmark.model.log import Span
from witnessmark.report.charts import charts
from witnessmark.report.drawing import WIDE
from witnessmark.report.html import verdict_html
from witnessmark.report.verdict.doing_strip import states
from witnessmark.report.verdict.pressure_chart import pressure_chart
from witnessmark.report.verdict.pressure_shade import pressure_shade
from witnessmark.report.verdict.timeline import Flag, _rows, timeline
from witnessmark.units import Kind, Preferences, parse


@pytest.fixture(scope="module")
def drawn(review):
    return {chart.name: chart for chart in charts(review)}


def test_words_state_the_numbers(drawn):
    time, load = drawn["timeline"].alt, drawn["load"].alt
    assert "Over 22 min." in time
    assert "Engine speed from 950 rpm to 4,310 rpm." in time
    assert "ceiling 4,000 rpm" in time
    assert "Moments over a limit: 1 at 8 min 20 s." in time
    assert re.search(r"\d+ of 81 cells hold 5 s or more\.", load)
    assert "1 pause in the recording, 1 min in all" in drawn["timeline"].caption


def test_drawings_are_well_formed_and_fetch_nothing(drawn):
    for chart in drawn.values():
        for svg in (chart.wide, chart.narrow):
            root = ET.fromstring(svg)
            links = [v for e in root.iter() for k, v in e.attrib.items() if k.endswith("href")]
            assert links
            assert all(link.startswith("#") for link in links)
            assert "<image" not in svg
            assert "<text" not in svg


def test_identifiers_are_unique_on_the_page(review):
    ids = re.findall(r'\sid="([^"]+)"', verdict_html(review))
    assert len(ids) == len(set(ids))


def test_a_log_without_load_has_a_timeline_only(review):
    log = replace(review.log, channels={"engine_speed": review.log["engine_speed"]})
    bare = replace(review, log=log, load_map=None)
    assert [c.name for c in charts(bare, narrow=False)] == ["timeline"]


def test_a_channel_of_nothing_but_gaps_is_not_drawn(review):
    nothing = np.full(len(review.log.time), np.nan)
    log = replace(review.log, channels={**review.log.channels, "oil_temperature": nothing,
                                        "coolant_temperature": nothing})  # fmt: skip
    (chart, _) = charts(replace(review, log=log), narrow=False)
    assert "emperature" not in chart.alt


def test_one_sample_draws_no_timeline(review):
    log = replace(
        review.log, time=review.log.time[:1], held=review.log.held[:1],
        channels={k: v[:1] for k, v in review.log.channels.items()},
    )  # fmt: skip
    assert [c.name for c in charts(replace(review, log=log), narrow=False)] == ["load"]


def test_flags_that_stand_close_get_rows_of_their_own():
    flags = [Flag(1, Span(0, 1)), Flag(2, Span(1, 2)), Flag(3, Span(50, 51))]
    assert _rows(flags, 100.0, WIDE) == [0, 1, 0]


def with_gauge(review, band):
    """The review with an oil gauge, and numbers the rule of thumb and the band need."""
    terms = {name: limit(parse(text, kind, ""), "-") for name, (text, kind) in JUDGING.items()}
    log = review.log
    log = replace(log, channels={**log.channels, "oil_pressure": 3e3 * log["engine_speed"] + 5e4})
    return replace(review, plan=replace(review.plan, band=band, limits=terms), log=log)


def test_the_band_is_drawn_behind_the_gauge_and_said(review):
    prefer = review.plan.prefer
    plain, banded = (
        timeline(with_gauge(review, band), prefer, narrow=True) for band in (None, make_table())
    )
    assert "from the build sheet alone" in banded.caption
    assert "rule of thumb, for comparison only" in banded.caption
    assert "for want of a band" in plain.caption
    filled = [svg.count("FillBetween") for svg in (plain.wide, banded.wide)]
    assert filled[0] == 0
    assert filled[1] > 0


def test_the_band_drawn_is_the_band_judged_by(review):
    seen = with_gauge(review, make_table())
    shade = pressure_shade(seen)
    case = Case(seen.log, Terms(seen.phase, seen.plan.limits, seen.plan.band))
    np.testing.assert_array_equal(shade.floor, case.own_pressure.floor)
    np.testing.assert_array_equal(shade.top, case.own_pressure.top)


def driven(review):
    """The review as `review()` would fill it for its phase, with a gauge and a band."""
    seen = with_gauge(review, make_table())
    phase = replace(seen.phase, evidence={**seen.phase.evidence, "load_cells": limit(
        parse("8", Kind.COUNT, ""), "-")})  # fmt: skip
    case = Case(seen.log, Terms(phase, seen.plan.limits, seen.plan.band))
    return replace(
        seen, phase=phase, load_map=case.load_map, coverage=case.coverage, gears=case.gears,
        pressure_map=pressure_map(case), doings=doings(case),
    )  # fmt: skip


@pytest.fixture(scope="module")
def full(review):
    seen = driven(review)
    return seen, {chart.name: chart for chart in charts(seen)}


def test_every_chart_of_a_full_review_repeats_to_the_byte(full):
    seen, one = full
    assert list(one) == ["timeline", "load", "pressure"]
    assert [c.wide for c in charts(seen, narrow=False)] == [c.wide for c in one.values()]


def test_what_is_still_to_drive_is_marked_by_pattern_and_told(full):
    seen, load = full[0], full[1]["load"]
    missing = int(seen.coverage.missing.sum())
    assert f"{missing} are still to be driven" in load.alt
    # Slanted lines and dots are patterns of the drawing, so a grey print shows them.
    assert load.wide.count("<pattern") >= 2
    assert "Slanted lines" in load.caption


def test_the_pressure_chart_names_what_its_band_rests_on(full):
    seen, chart = full[0], full[1]["pressure"]
    assert "from the build sheet alone" in chart.caption
    assert "rule of thumb, for comparison only" in chart.caption
    bare = replace(seen, plan=replace(seen.plan, band=None))
    case = Case(bare.log, Terms(bare.phase, bare.plan.limits, None, bare.plan.no_band))
    ruled = pressure_chart(
        replace(bare, pressure_map=pressure_map(case)), Preferences(), narrow=False
    )
    assert "rule of thumb only" in ruled.caption
    assert "no oil pump" not in chart.caption
    assert bare.plan.no_band in ruled.caption


def test_the_strip_over_the_timeline_tells_every_state_and_leaves_pauses_open(full):
    seen = full[0]
    end = float(seen.log.time[-1] + seen.log.held[-1])
    begins, stops, found = states(seen.doings, end)
    assert begins[0] == 0
    assert stops[-1] == pytest.approx(end)
    np.testing.assert_allclose(begins[1:], stops[:-1])
    (pause,) = np.flatnonzero(found == -1)
    # The made drive stops recording from 700 to 760 s; the strip has 360 places.
    assert begins[pause] == pytest.approx(700, abs=end / 360)
    assert stops[pause] == pytest.approx(760, abs=end / 360)


def test_ceilings_name_who_set_them(full):
    assert "Ceilings set by Alder Lane Motors." in full[1]["timeline"].caption
