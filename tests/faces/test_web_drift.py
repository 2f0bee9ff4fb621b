"""Drift in a browser: several logs in, what changed out."""

import re

import pytest

from tests.faces.learned import calibration
from tests.faces.oil_logs import first, worn
from tests.faces.shop import SHEET, Shop, text_of
from witnessmark.jobs.drift import watch
from witnessmark.model.drift import Moved
from witnessmark.web import work


@pytest.fixture(scope="module", autouse=True)
def watched_once():
    """Each comparison takes a second or two; these tests ask for the same one several times."""
    kept = {}

    def once(sheet, logs, learned, oils):
        key = (*(log.source.sha256 for log in logs), learned and learned.best, str(oils))
        if key not in kept:
            kept[key] = watch(sheet, logs, learned, oils)
        return kept[key]

    work.watch = once
    yield
    work.watch = watch


@pytest.fixture(scope="module")
def shop() -> Shop:
    return Shop()


@pytest.fixture(scope="module")
def plan(shop) -> str:
    return shop.plan()


def sent(shop, plan, *logs, kept=None, **fields):
    """The answer to logs sent as first, second ... log; None leaves a row free."""
    files = {
        f"log-{row}": log if isinstance(log, tuple) else (f"drive {row}.csv", log)
        for row, log in enumerate(logs, 1)
        if log is not None
    }
    if kept is not None:
        files["calibration"] = ("kept.json", kept)
    # A browser sends every text field, empty or not.
    data = {f"{name}-{row}": "" for name in ("grade", "fuel") for row in range(1, 7)}
    said = {name.replace("_", "-"): value for name, value in fields.items()}
    return shop.post(plan + "/drift", data={"columns": "", **data, **said}, files=files)


@pytest.fixture(scope="module")
def done(shop, plan) -> str:
    """Path of a comparison of a first log with a worn engine's."""
    answer = sent(shop, plan, first(), worn())
    assert answer.status_code == 303, text_of(answer)
    return answer.headers["location"]


def test_the_plan_leads_to_the_form(shop, plan):
    assert f'href="{plan}/drift"' in shop.get(plan).text
    form = shop.get(plan + "/drift")
    assert form.status_code == 200
    assert "First log" in text_of(form)
    assert "Fresh oil since the log before" in text_of(form)


def test_the_page_answers_first_then_draws_then_tables(shop, done):
    page = shop.get(done)
    assert page.status_code == 200
    said = text_of(page)
    order = ["Changed: bearing leakage", "drive 2.csv", "thinner", "Log after log",
             "Relief opening", "Held against", "drive 1.csv", "Compare again"]  # fmt: skip
    for words in order:  # each after the one before
        said = said[said.index(words) :]
    assert page.text.count("<svg") >= 3
    for one in Moved:  # each word has its place in the key of the picture
        assert one.value in text_of(page).lower()


def test_the_data_to_keep_say_what_the_page_says(shop, done):
    kept = shop.get(done + "/drift.json")
    assert kept.headers["content-disposition"] == 'attachment; filename="TS-0417-drift.json"'
    data = kept.json()
    assert data["format"] == "witnessmark-drift/1"
    assert [log["name"] for log in data["logs"]] == ["drive 2.csv"]
    leak = data["logs"][0]["changes"][0]
    assert leak["moved"] == "changed"
    assert leak["low"] < leak["share"] < leak["high"]
    assert data["logs"][0]["headline"] in text_of(shop.get(done)).replace("\N{NO-BREAK SPACE}", " ")


def test_oil_can_be_said_afterwards_and_the_first_answer_stays(shop, done):
    again = re.search(r'action="(/drifts/[^"]+)"', shop.get(done).text)[1]
    assert again == done
    answer = shop.post(again, data={"new-oil-2": "yes", "grade-2": "10W-40", "fuel-2": "3 %"})
    assert answer.status_code == 303, text_of(answer)
    other = answer.headers["location"]
    assert other != done
    page = text_of(shop.get(other))
    assert "a new fill of 10W-40, 3 % fuel in it" in page.replace("\N{NO-BREAK SPACE}", " ")
    assert 'value="10W-40"' in shop.get(other).text
    assert "the same fill" in text_of(shop.get(done))


def test_fresh_oil_of_the_same_kind_is_a_tick(shop, done):
    answer = shop.post(done, data={"new-oil-2": "yes"})
    assert "a new fill of the same oil" in text_of(shop.get(answer.headers["location"]))


def test_logs_of_one_name_are_told_apart_by_their_row(shop, plan):
    answer = sent(shop, plan, ("log.csv", first()), ("log.csv", worn()), fuel_2="3 %")
    said = text_of(shop.get(answer.headers["location"]))
    assert "Second log, log.csv" in said
    assert "First log, log.csv" in said


def test_a_calibration_stands_in_for_the_first_log(shop, plan, tmp_path):
    # Its hash is of the sheet as the shop got it, which is the demo's own file.
    kept = calibration(tmp_path).read_bytes()
    answer = sent(shop, plan, None, worn(), kept=kept)
    assert answer.status_code == 303, text_of(answer)
    page = shop.get(answer.headers["location"])
    assert "the calibration made of first heat.csv" in text_of(page)
    assert "kept.json" in text_of(page)


@pytest.mark.parametrize(
    ("logs", "fields", "said"),
    [
        ((None, worn), {}, "First log no file was chosen, and no calibration either"),
        ((first, None), {}, "Second log no file was chosen"),
        ((first, worn), {"fuel_3": "3 %"}, "Third log something is said of its oil"),
        ((first, worn), {"new_oil_4": "yes"}, "Fourth log something is said of its oil"),
        ((first, first), {}, "it is the same log as drive 1.csv"),
        ((first, worn), {"fuel_2": "much"}, "drive 2.csv, fuel in the oil"),
        ((first, worn), {"fuel_2": "90 %"}, "Fuel in the oil"),
        ((first, worn), {"grade_2": "banana"}, "banana"),
        ((first, lambda: b"%PDF-1.7\n"), {}, "drive 2.csv"),
        ((first, lambda: b""), {}, "drive 2.csv"),
        ((first, worn), {"columns": "Nothing=oil_pressure:psi"}, "Nothing"),
    ],
)
def test_what_cannot_be_is_one_clear_fault_in_the_pages_words(shop, plan, logs, fields, said):
    answer = sent(shop, plan, *(log and log() for log in logs), **fields)
    assert answer.status_code == 400
    assert said in text_of(answer)
    assert "One thing to put right" in text_of(answer)
    assert "--" not in text_of(answer)
    for name, value in fields.items():  # nothing typed is lost
        typed = {"new_oil": " checked", "columns": value}.get(name[:-2], f'value="{value}"')
        assert (value if name == "columns" else typed) in answer.text


def test_a_log_without_oil_pressure_is_refused_and_the_logs_stay(shop, plan):
    bare = b"Time [s],Engine speed [rpm]\n" + b"".join(b"%d,900\n" % i for i in range(300))
    answer = sent(shop, plan, first(), bare)
    assert answer.status_code == 400
    assert "oil temperature and oil pressure" in text_of(answer)
    assert "The logs are still here" in text_of(answer)
    where = re.search(r'action="(/drifts/[^"]+)"', answer.text)[1]
    assert shop.get(where).status_code == 200
    assert shop.get(where + "/drift.json").status_code == 404


@pytest.mark.parametrize("kept", [b"{}", b"\xff\x00", b"first log"])
def test_a_file_that_is_no_calibration_is_refused(shop, plan, kept):
    answer = sent(shop, plan, first(), worn(), kept=kept)
    assert answer.status_code == 400
    assert "kept.json" in text_of(answer)


def test_what_was_typed_comes_back_escaped(shop, plan):
    answer = sent(shop, plan, first(), worn(), columns="<i>x", grade_2='"><i>y')
    assert answer.status_code == 400
    assert "&lt;i&gt;x" in answer.text
    assert "<i>" not in answer.text


def test_more_than_is_taken_at_once_is_turned_away():
    small = Shop(upload_limit=10_000)
    # A megabyte is left for the form itself.
    answer = sent(small, small.plan(SHEET), first(), b"1,2\n" * 300_000)
    assert answer.status_code == 413
    assert "too large" in text_of(answer)


def test_a_frozen_plan_and_pages_that_are_gone(shop, plan):
    frozen = shop.get(plan + "/plan.json").content
    path = shop.post("/plans", files={"file": ("plan.json", frozen)}).headers["location"]
    assert f"{path}/drift" not in shop.get(path).text
    assert shop.get(path + "/drift").status_code == 409
    assert sent(shop, path, first(), worn()).status_code == 409
    for gone in ("/plans/nobody/drift", "/drifts/nobody", "/drifts/nobody/drift.json", plan[6:]):
        assert shop.get(gone).status_code == 404
    assert shop.post("/drifts/nobody", data={"columns": ""}).status_code == 404
