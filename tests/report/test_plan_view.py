"""The plan in words: notes, spreads, blank columns, and numbers that stand in a sentence."""

from dataclasses import replace

from tests.report.conftest import limit, line, rpm
from witnessmark.report.plan_view import plan_view
from witnessmark.report.words import unbroken
from witnessmark.units import Preferences


def test_lines_with_the_same_reason_and_owner_share_a_note(plan):
    same = line("Another sentence.", plan.fuel[0].why)
    view = plan_view(replace(plan, fuel=(*plan.fuel, same)))
    first, second = view.fuel
    assert first.note == second.note
    assert [n.number for n in view.notes] == list(range(1, len(view.notes) + 1))


def test_spread_names_the_unit_once_and_is_left_out_when_there_is_none(plan):
    def spread(low, high):
        fuel = replace(plan.fuel[0], numbers={"x": limit(rpm(2000), "-", low, high)})
        return plan_view(replace(plan, fuel=(fuel,))).fuel[0].numbers[0].spread

    assert spread(1800, 2500) == "1,800 to 2,500 rpm"
    assert spread(1800, None) == "1,800 rpm or more"
    assert spread(None, 2500) == "up to 2,500 rpm"
    assert spread(2000, 2000) == ""
    assert spread(None, None) == ""


def test_units_follow_the_reader_everywhere(plan):
    view = plan_view(plan, Preferences(pressure="bar", temperature="°F", distance="km"))
    bay, road = view.phases
    assert bay.blanks[:2] == ("Oil, bar", "Coolant, °F")
    assert road.blanks[0] == "Odometer, km"
    assert [n.value for n in bay.ceilings] == ["4,500 rpm", "221 °F"]


def test_a_plan_that_is_not_frozen_says_so(plan):
    view = plan_view(plan)
    assert "not frozen" in view.footer
    assert "Plan hash" in {f.name for f in view.facts}


def test_a_number_and_its_unit_stay_on_one_line():
    assert unbroken("75 °C, 4,000 rpm for 5 min at 10 % in 2nd") == (
        "75\u00a0°C, 4,000\u00a0rpm for 5\u00a0min at 10\u00a0% in 2nd"
    )
