"""What a log can tell and the sensors, on the verdict's pages."""

from pathlib import Path

import numpy as np
import pytest

from tests.checks.signals.signals import drive
from tests.made import KPA, make_log
from witnessmark.jobs.build import load_build
from witnessmark.jobs.plan import make_plan
from witnessmark.jobs.review import review
from witnessmark.report.html import verdict_html
from witnessmark.report.verdict.data import verdict_json
from witnessmark.report.verdict.signals_view import signals_view
from witnessmark.units import Preferences

DEMO = Path(__file__).parents[2] / "demo" / "heron.toml"


@pytest.fixture(scope="module")
def plan():
    return make_plan(load_build(DEMO), films=False)


def reviewed(plan, step=0.1, **changed):
    log = make_log({**drive(180, step), **changed}, step)
    return review(plan, "first-50-miles", log)


def test_nothing_is_invented_where_everything_is_well(plan):
    view = signals_view(reviewed(plan, 0.04), Preferences())
    assert view.sensors == ()
    assert view.summary == "None of 8 channels stands still, is cut off or drops out."
    assert [q.asks for q in view.questions if q.answer == "Partly"] == []
    assert "brief dips of oil pressure" in view.answered
    assert view.paces[0].startswith("Read 25 times a second")


def test_a_slow_log_says_what_it_would_catch_and_a_missing_channel_what_is_missing(plan):
    view = signals_view(reviewed(plan, 1.0), Preferences())
    said = {q.asks: (q.answer, q.said) for q in view.questions}
    assert said["Highest engine speed"] == (
        "Partly", "Engine speed is read every 1 s, which catches 1 in 5 over-speeds of 0.2 s.",
    )  # fmt: skip
    assert said["Brief dips of oil pressure in corners and under braking"][0] == "No"


def test_a_faulty_sensor_stands_in_every_output_with_its_reason(plan):
    stuck = drive(180)["manifold_pressure"]
    stuck[100:] = 73 * KPA
    found = reviewed(plan, manifold_pressure=stuck)
    page = verdict_html(found, Preferences())
    assert "Something is wrong with 1 of 8 channels." in page
    assert "Stands still at 73\u00a0kPa abs" in page
    data = verdict_json(found, Preferences())
    (sensor,) = [s for s in data["sensors"] if s["channel"] == "manifold_pressure"]
    assert sensor["faults"][0]["flaw"] == "stuck"
    assert np.isclose(sensor["faults"][0]["spans"][0]["start"], 10.0)
    lines = {f["check"]: f for f in data["findings"]}
    assert lines["boost.ceiling"]["answer"] == "too little shown"
    assert "stuck" in lines["boost.ceiling"]["said"]["text"]
    asked = {q["question"]: q for q in data["questions"]}
    assert asked["boost"]["answered"] == "no" and asked["speed"]["answered"] == "yes"
