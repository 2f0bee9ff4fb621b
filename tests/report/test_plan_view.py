"""The plan in words: notes, spreads, blank columns, and numbers that stand in a sentence."""

from dataclasses import replace

from tests.made import make_table
from tests.report.conftest import SHEET, limit, line, rpm
from witnessmark.report.plan.view import plan_view
from witnessmark.report.words import unbroken
from witnessmark.units import Kind, Preferences, parse


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


RULE = limit(parse("70 kPa", Kind.PRESSURE, ""), "An old rule.")


def test_the_pressures_to_expect_stand_in_the_readers_units_with_the_rule_beside(plan):
    known = replace(plan, band=make_table(), no_band="", limits={"floor_per_1000rpm": RULE})
    view = plan_view(known, Preferences(pressure="bar", temperature="°F")).pressure
    assert view.oils == ("Cold oil, 104 °F", "Warm oil, 194 °F", "Hot oil, 248 °F")
    assert [row.speed for row in view.rows][:3] == ["800 rpm, idle", "1,000 rpm", "2,000 rpm"]
    # tests.made.pressure_at: 120 kPa at 2,000 rpm on oil of 120 °C.
    hot = view.rows[2].cells[2]
    assert (hot.floor, hot.low, hot.middle, hot.high, hot.top) == (
        "1.2", "1.4", "1.8", "2.4", "3.0"
    )  # fmt: skip
    assert view.rows[2].rule == "1.4"
    assert "Gauge pressure in bar, from the build sheet alone" in view.said
    assert "for comparison only" in view.rule


def test_a_plan_without_pressures_says_why_and_by_what_a_log_is_judged(plan):
    view = plan_view(replace(plan, limits={"floor_per_1000rpm": RULE})).pressure
    assert view.rows == ()
    assert plan.no_band in view.said
    assert "by which a log is judged instead: 10 psi" in view.rule


def test_what_is_said_of_any_engine_stands_beside_this_engines_own(plan):
    first, *rest = plan.aborts
    own = replace(first, line=line("Oil pressure under 3 bar.", "Rare.", SHEET), general=first.line)
    item = plan_view(replace(plan, aborts=(own, *rest))).aborts[0]
    assert item.text == "Oil pressure under 3 bar."
    assert item.general.text == (
        "For comparison, common practice (Alder Lane Motors): no oil pressure 5 s after it fires."
    )
