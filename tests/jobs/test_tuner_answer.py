"""The tuner's answer: taken whole under his name, or refused with reasons."""

import json
import math
import tomllib
from dataclasses import replace
from pathlib import Path

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.jobs.engines import engine
from tests.jobs.packets import MAP, PHASE, log_text, packet_of, plan_made
from tests.model.sheets import LEAST
from witnessmark.errors import UserError
from witnessmark.jobs.frozen import freeze, parse_plan, thaw
from witnessmark.jobs.packet.answer_blank import answer_blank
from witnessmark.jobs.packet.map_file import map_of
from witnessmark.jobs.plan import make_plan
from witnessmark.jobs.review import review
from witnessmark.jobs.sealed import Seal
from witnessmark.jobs.stopped import refuse_stopped
from witnessmark.jobs.tuner_answer import (
    SCHEMA,
    AtHand,
    answer_of_form,
    parse_answer,
    schema_text,
    take_answer,
)
from witnessmark.logs.read import read_log_bytes
from witnessmark.model.answer_file import CEILINGS
from witnessmark.model.authority import SourceKind
from witnessmark.model.build import parse_build
from witnessmark.model.recipe import Ceilings
from witnessmark.model.tuner_answer import Decision, MapNamed
from witnessmark.units import Kind, parse

PLAN = plan_made()
SHA = str(freeze(PLAN)["sha256"])
LOG = "ab" * 32
NAMED = map_of(MAP, "heron v7")
BLANK = answer_blank(PLAN, SHA, LOG, "0123456789abcdef", NAMED)


def filled(decision="continue", words="Fine so far.", ceilings=None, **changed):
    """answer.toml as a tuner fills it in: the blank with his words between the quotes."""
    text = BLANK
    lines = {"decision": decision, "words": words, "signed_by": "Mirko Vale",
             "signed_on": "2026-11-05", **changed}  # fmt: skip
    for key, value in lines.items():
        old = next(line for line in text.splitlines() if line.startswith(f"{key} = "))
        text = text.replace(old, f'{key} = "{value}"', 1)
    for phase, values in (ceilings or {}).items():
        text += f"\n[ceilings.{phase}]\n"
        text += "".join(f'{name} = "{value}"\n' for name, value in values.items())
    return text


def taken(plan=PLAN, sha=SHA, at_hand=None, **answer):
    return take_answer(plan, sha, parse_answer(filled(**answer), "answer.toml"), at_hand)


def rpm(text):
    return parse(text, Kind.ROTATIONAL_SPEED, "")


def test_the_names_of_ceilings_are_those_of_a_recipe():
    assert set(CEILINGS) == set(Ceilings.model_fields)


def test_an_answer_left_blank_names_all_that_is_missing():
    with pytest.raises(UserError) as caught:
        parse_answer(BLANK, "answer.toml")
    said = str(caught.value)
    assert "decision: '' is written; 'continue', 'new map'" in said
    assert "signed_on" in said


def test_new_ceilings_stand_under_his_name_beside_what_they_were():
    changes = {PHASE: {"engine_speed": "4200 rpm", "coolant_temperature": "98 °C"}}
    plan = taken(ceilings=changes)
    phase, was = plan.phase(PHASE), PLAN.phase(PHASE)
    speed = phase.ceilings["engine_speed"]
    assert speed.value == rpm("4200 rpm")
    assert (speed.authority.owner, speed.authority.source) == ("Mirko Vale", SourceKind.TUNER)
    assert "2026-11-05" in speed.authority.cite
    assert SHA[:12] in speed.authority.cite
    assert speed.high == was.ceilings["engine_speed"].high  # what others use stays what it is
    kept = {c.name: c for c in plan.answers[0].ceilings}
    assert kept["engine_speed"].before == was.ceilings["engine_speed"].value
    assert kept["engine_speed"].raised
    assert not kept["coolant_temperature"].raised
    for other in plan.phases:
        if other.id != PHASE:
            assert other == PLAN.phase(other.id)


def test_a_raised_ceiling_is_a_caution_with_both_numbers_and_a_lowered_one_is_not():
    plan = taken(ceilings={PHASE: {"engine_speed": "4200 rpm", "oil_temperature": "110 °C"}})
    more = [c for c in plan.phase(PHASE).cautions if c not in PLAN.phase(PHASE).cautions]
    assert len(more) == 1
    said = more[0].said.read(PLAN.prefer)
    assert "4,200 rpm" in said
    assert "4,000 rpm (Witnessmark default, common practice)" in said


def test_sentences_and_road_speeds_follow_the_new_ceiling():
    plan = taken(ceilings={PHASE: {"engine_speed": "4400 rpm"}})

    def marks(of):
        return next(g for g in of.phase(PHASE).gates if "gear_1" in g.said.values).said.values

    now, before = marks(plan), marks(PLAN)
    assert now["engine_speed"] == rpm("4400 rpm")
    for gear in ("gear_1", "gear_5"):  # no slip: road speed goes with engine speed
        assert now[gear].value == pytest.approx(before[gear].value * 1.1)


def test_a_ceiling_under_the_steps_says_that_it_holds():
    plan = taken(ceilings={PHASE: {"engine_speed": "3000 rpm"}})
    said = [c.said.read(PLAN.prefer) for c in plan.phase(PHASE).cautions]
    assert any("3,000 rpm" in s and "3,800 rpm" in s for s in said)


def test_the_log_is_judged_by_the_new_ceiling_and_the_verdict_says_whose_it_is():
    log = read_log_bytes(log_text(4150).encode(), "drive.csv")
    before = {f.check: f for f in review(PLAN, PHASE, log).verdict.findings}
    plan = taken(ceilings={PHASE: {"engine_speed": "4200 rpm"}})
    after = {f.check: f for f in review(plan, PHASE, log).verdict.findings}
    assert before["speed.ceiling"].answer == "broken"
    assert after["speed.ceiling"].answer == "kept"
    assert after["speed.ceiling"].authority.owner == "Mirko Vale"


def test_a_second_answer_is_held_against_what_the_recipe_said():
    first = taken(ceilings={PHASE: {"engine_speed": "4400 rpm"}})
    sha = str(freeze(first)["sha256"])
    second = taken(
        first, sha, plan_sha256=sha, ceilings={PHASE: {"engine_speed": "4200 rpm"}}
    )  # fmt: skip
    said = [c.said.read(PLAN.prefer) for c in second.phase(PHASE).cautions]
    ours = [s for s in said if "The tuner allows" in s]
    assert len(ours) == 1  # what the first answer said no longer holds
    assert "4,200 rpm" in ours[0]
    assert "4,000 rpm" in ours[0]
    assert [a.ceilings[0].value for a in second.answers] == [rpm("4400 rpm"), rpm("4200 rpm")]


def test_nothing_goes_over_the_redline_of_the_build_sheet():
    # The demo sheet's redline is 7000 rpm.
    assert taken(ceilings={PHASE: {"engine_speed": "7000 rpm"}}).answers
    with pytest.raises(UserError, match=r"over the engine's redline.*7,000 rpm"):
        taken(ceilings={PHASE: {"engine_speed": "7001 rpm"}})


def test_a_plan_without_a_redline_goes_no_higher_than_it_went_unless_the_sheet_is_given():
    old = replace(PLAN, redline=None)
    sha = str(freeze(old)["sha256"])
    asks = {"plan_sha256": sha, "ceilings": {"tuning": {"engine_speed": "7100 rpm"}}}
    with pytest.raises(UserError, match="--build FILE"):
        taken(old, sha, **asks)
    with pytest.raises(UserError, match="over the engine's redline"):
        taken(old, sha, AtHand(sheet=engine()), **asks)


def test_a_ceiling_no_sensor_could_show_is_refused():
    for name, value in (("coolant_temperature", "400 °F"), ("oil_pressure", "2000 kPa"),
                        ("boost", "9 bar")):  # fmt: skip
        with pytest.raises(UserError, match="more than such a sensor can show"):
            taken(ceilings={PHASE: {name: value}})


@pytest.mark.parametrize(
    ("value", "said"),
    [("4200", "no unit"), ("4200 bar", "does not fit"), ("-4200 rpm", "above zero"),
     ("0 rpm", "above zero"), ("1e999 rpm", "above zero"), ("fast", "not a number")],
)  # fmt: skip
def test_a_ceiling_that_is_none_is_refused(value, said):
    with pytest.raises(UserError, match=said):
        taken(ceilings={PHASE: {"engine_speed": value}})


def test_no_boost_at_all_is_a_ceiling():
    plan = taken(ceilings={"50-to-250-miles": {"boost": "0 bar"}})
    assert plan.phase("50-to-250-miles").ceilings["boost"].value.value == 0


def test_a_phase_and_a_ceiling_nobody_knows_list_those_there_are():
    with pytest.raises(UserError, match=r"one of .*first-50-miles"):
        taken(ceilings={"first-mile": {"engine_speed": "4200 rpm"}})
    with pytest.raises(UserError, match="known names are engine_speed"):
        taken(ceilings={PHASE: {"revs": "4200 rpm"}})


def test_stop_closes_the_plan_with_his_own_words():
    plan = taken(decision="stop", words="Bearing noise at 3 minutes. Pull the sump.")
    assert plan.stopped is not None
    log = read_log_bytes(log_text().encode(), "drive.csv")
    with pytest.raises(UserError, match=r"STOPPED by the tuner, Mirko Vale.*Pull the sump"):
        review(plan, PHASE, log)
    # What was stopped can be let go on by him, and by nobody else's plan.
    sha = str(freeze(plan)["sha256"])
    again = taken(plan, sha, plan_sha256=sha, decision="continue")
    refuse_stopped(again)
    assert [a.decision for a in again.answers] == [Decision.STOP, Decision.CONTINUE]


def test_repeat_the_log_changes_nothing_but_is_written_down():
    plan = taken(decision="repeat the log", words="No oil pressure in it.")
    assert replace(plan, answers=()) == PLAN
    assert plan.answers[0].words == "No oil pressure in it."


@pytest.mark.parametrize("decision", ["stop", "repeat the log"])
def test_stop_and_repeat_need_words_and_take_no_ceilings(decision):
    with pytest.raises(UserError, match="told why"):
        taken(decision=decision, words="")
    with pytest.raises(UserError, match="with new ceilings"):
        taken(decision=decision, ceilings={PHASE: {"engine_speed": "4200 rpm"}})


def test_the_decision_is_read_as_people_type_it():
    assert parse_answer(filled(decision=" New  Map "), "x").file.decision is Decision.NEW_MAP


@pytest.mark.parametrize("decision", ["continue", "new map"])
def test_going_on_needs_a_map_and_its_checksum(decision):
    for change in ({"name": ""}, {"sha256": "", "crc32": ""}):
        with pytest.raises(UserError, match="without a map's name and checksum"):
            taken(decision=decision, **change)
    assert taken(decision=decision, sha256="").answers[0].map.crc32 == NAMED.crc32


@pytest.mark.parametrize(
    ("change", "where"),
    [({"plan_sha256": "0" * 64}, "plan_sha256"), ({"serial": "TS-0001"}, "serial")],
)
def test_an_answer_to_something_else_says_to_what(change, where):
    with pytest.raises(UserError, match=f"answer.toml, {where}"):
        taken(**change)


def test_all_that_does_not_fit_is_named_at_once():
    other = AtHand("cd" * 32, "f" * 16, MapNamed("old", "0" * 64), MapNamed("sent", "1" * 64))
    with pytest.raises(UserError) as caught:
        taken(at_hand=other, plan_sha256="0" * 64)
    places = {fault.where for fault in caught.value.faults}
    assert places == {f"answer.toml, {p}" for p in ("plan_sha256", "log_sha256", "packet", "map")}


def test_a_new_map_must_be_another_and_continue_the_same():
    hand = AtHand(sent_map=NAMED)
    assert taken(at_hand=hand).answers
    with pytest.raises(UserError, match="names the map the packet was about"):
        taken(at_hand=hand, decision="new map")
    with pytest.raises(UserError, match="'continue' with another map"):
        taken(at_hand=hand, sha256="0" * 64)


def test_the_file_he_sent_must_be_the_one_he_names():
    good = AtHand(new_map=NAMED)
    assert taken(at_hand=good).answers
    with pytest.raises(UserError, match="is not the map file given here"):
        taken(at_hand=AtHand(new_map=map_of(MAP + b"!", "heron v7")))


def test_an_answer_is_taken_once():
    plan = taken()
    with pytest.raises(UserError, match="in the plan already"):
        taken(plan, str(freeze(plan)["sha256"]))


def test_a_build_sheet_of_another_engine_is_refused():
    with pytest.raises(UserError, match="not the one the plan was made from"):
        taken(at_hand=AtHand(sheet=parse_build(LEAST, "x.toml")))


def test_with_the_sheet_the_oil_film_is_worked_out_again_without_it_that_is_said():
    change = {PHASE: {"engine_speed": "4200 rpm"}}
    without = taken(ceilings=change).phase(PHASE).film
    assert "not worked out" in without.said.text
    film = taken(at_hand=AtHand(sheet=engine()), ceilings=change).phase(PHASE).film
    assert film.said.values["speed"] == rpm("4200 rpm")


def test_a_plan_with_answers_comes_back_the_same_and_older_programs_refuse_it():
    plan = taken(ceilings={PHASE: {"engine_speed": "4200 rpm"}})
    frozen = json.loads(json.dumps(freeze(plan)))
    assert thaw(frozen) == plan
    assert frozen["format"] == "witnessmark plan 2"
    # A program that knows no answers knows only the first format.
    with pytest.raises(UserError, match="not a frozen plan"):
        Seal("witnessmark plan 1", "plan", "a frozen plan", "Make it again").opened(frozen, "x")


def test_the_format_of_a_plan_with_answers_cannot_be_turned_back():
    frozen = freeze(taken(decision="stop"))
    with pytest.raises(UserError, match="changed after"):
        thaw({**frozen, "format": "witnessmark plan 1"})


def test_a_plan_frozen_before_answers_were_kept_still_loads_and_keeps_its_hash():
    old = replace(PLAN, redline=None)
    frozen = freeze(old)
    assert "answers" not in frozen["plan"]
    assert "redline" not in frozen["plan"]
    assert frozen["format"] == "witnessmark plan 1"
    again = parse_plan(json.dumps(frozen), "plan.json")
    assert again == old
    assert freeze(again)["sha256"] == frozen["sha256"]


def test_the_packets_answer_is_one_to_its_plan_and_log():
    packet = packet_of(log_text())
    source = packet.review.log.source
    blank = answer_blank(PLAN, packet.plan_sha256, source.sha256, packet.id, packet.map)
    text = blank
    for key, value in (("decision", "continue"), ("signed_by", "M"), ("signed_on", "2026-11-05")):
        text = text.replace(f'{key} = ""', f'{key} = "{value}"', 1)
    hand = AtHand(source.sha256, packet.id, packet.map, map_of(MAP, "x"))
    plan = take_answer(PLAN, packet.plan_sha256, parse_answer(text, "answer.toml"), hand)
    assert plan.answers[0].packet == packet.id


def test_a_form_says_the_same_as_a_file():
    data = {
        "format": "witnessmark answer 1", "serial": PLAN.serial, "plan_sha256": SHA,
        "log_sha256": LOG, "packet": "0123456789abcdef", "decision": "continue",
        "words": "Fine so far.", "signed_by": "Mirko Vale", "signed_on": "2026-11-05",
        "map": {"name": NAMED.name, "sha256": NAMED.sha256, "crc32": NAMED.crc32},
        "ceilings": {PHASE: {"engine_speed": "4200 rpm"}},
    }  # fmt: skip
    form = take_answer(PLAN, SHA, answer_of_form(data, "Answer"))
    file = taken(ceilings={PHASE: {"engine_speed": "4200 rpm"}})
    assert replace(form, answers=()) == replace(file, answers=())
    assert replace(form.answers[0], sha256="") == replace(file.answers[0], sha256="")


@pytest.mark.parametrize("text", ["", "=", "\0", "[[[", "decision = “stop”", "a = " + "[" * 20000])
def test_what_is_no_toml_gives_one_error(text):
    with pytest.raises(UserError, match=r"answer\.toml"):
        parse_answer(text, "answer.toml")


HOSTILE = st.text(st.characters(exclude_categories=["Cs"]), max_size=60)


@settings(max_examples=80, deadline=None)
@given(at=st.integers(0, len(BLANK) - 1), cut=st.integers(0, 40), put=HOSTILE)
def test_a_damaged_answer_is_refused_or_says_what_it_says(at, cut, put):
    whole = filled(ceilings={PHASE: {"engine_speed": "4200 rpm"}})
    text = whole[:at] + put + whole[at + cut :]
    try:
        plan = take_answer(PLAN, SHA, parse_answer(text, "answer.toml"))
    except UserError as error:
        assert all(f.where and f.found and f.wanted and f.remedy for f in error.faults)
        return
    # Whatever got through is an answer to this plan, and holds to the redline.
    assert plan.answers[0].plan_sha256 == SHA
    assert all(
        p.ceilings["engine_speed"].value.value <= 7000 / 60 * (1 + 1e-9)
        for p in plan.phases if "engine_speed" in p.ceilings
    )  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(words=HOSTILE, name=HOSTILE, speed=st.floats(1, 20000, allow_nan=False))
def test_any_words_and_numbers_come_back_as_written_or_are_refused(words, name, speed):
    data = {
        "format": "witnessmark answer 1", "serial": PLAN.serial, "plan_sha256": SHA,
        "decision": "new map", "words": words, "signed_by": name, "signed_on": "2026-11-05",
        "map": {"name": "m", "crc32": "00000000"},
        "ceilings": {PHASE: {"engine_speed": f"{speed:f} rpm"}},
    }  # fmt: skip
    try:
        plan = take_answer(PLAN, SHA, answer_of_form(data, "Answer"))
    except UserError:
        assert speed > 7000 or not name.strip() or not (words + name).isprintable()
        return
    assert speed <= 7000 * (1 + 1e-9)
    answer = plan.answers[0]
    assert (answer.words, answer.signed_by) == (words.strip(), name.strip())
    found = plan.phase(PHASE).ceilings["engine_speed"].value.value
    assert math.isclose(found * 60, speed, rel_tol=1e-6, abs_tol=1e-6)


def test_a_plan_made_today_knows_its_redline_and_whose_it_is():
    plan = make_plan(engine(), films=False)
    assert plan.redline.value == rpm("7000 rpm")
    assert plan.redline.authority.source is SourceKind.BUILD_SHEET


def test_the_schema_of_an_answer_is_the_published_one_and_fits_a_filled_in_answer():
    page = Path(__file__).parents[2] / "docs" / "reference" / SCHEMA
    told = "remake it: python -m witnessmark.jobs.tuner_answer docs/reference"
    assert page.read_text("utf-8") == schema_text(), told
    schema = json.loads(schema_text())
    jsonschema.Draft202012Validator.check_schema(schema)
    whole = tomllib.loads(filled(ceilings={PHASE: {"engine_speed": "4200 rpm"}}))
    jsonschema.validate(whole, schema)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({**whole, "decision": "perhaps"}, schema)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({**whole, "revs": "9000 rpm"}, schema)
