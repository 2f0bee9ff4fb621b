"""Drives over HTTP: a log in, a verdict out; put columns right and judge again without it."""

import re

import jsonschema
import pytest

from tests.faces.learned import calibration
from tests.faces.shop import Shop, made_log, text_of
from witnessmark.report import html
from witnessmark.report.verdict.data import verdict_schema


@pytest.fixture(scope="module")
def shop() -> Shop:
    return Shop()


@pytest.fixture(scope="module")
def plan(shop) -> str:
    return shop.plan()


@pytest.fixture(scope="module")
def verdict(shop, plan) -> str:
    """Path of a verdict on a sound drive."""
    answer = shop.drive(plan, made_log())
    assert answer.status_code == 303, text_of(answer)
    return answer.headers["location"]


def test_a_log_becomes_a_verdict_as_page_pdf_and_json(shop, verdict):
    path = verdict
    page = shop.get(path)
    assert page.status_code == 200
    assert "drive.csv" in page.text
    assert "<svg" in page.text
    assert f"{path}/verdict.pdf" in page.text
    assert shop.get(path + "/verdict.pdf").content.startswith(b"%PDF-")
    data = shop.get(path + "/verdict.json").json()
    jsonschema.validate(data, verdict_schema())
    assert data["headline"] in text_of(page)
    assert data["log"]["name"] == "drive.csv"


@pytest.fixture
def undrawn(monkeypatch):
    """Pages without their pictures, which take seconds and are looked at above."""
    monkeypatch.setattr(html, "charts", lambda *_: [])


@pytest.mark.usefixtures("undrawn")
def test_a_limit_broken_in_the_log_is_broken_in_the_verdict(shop, plan):
    path = shop.drive(plan, made_log(top=6900)).headers["location"]
    data = shop.get(path + "/verdict.json").json()
    assert {f["check"]: f["answer"] for f in data["findings"]}["speed.ceiling"] == "broken"


@pytest.mark.usefixtures("undrawn")
def test_judging_again_needs_no_log_and_leaves_the_first_verdict_alone(shop, plan, verdict):
    first = verdict
    told = "Oil temp [°C]=ignore"
    answer = shop.post(first, data={"phase": shop.phase(plan), "columns": told})
    second = answer.headers["location"]
    assert second != first
    columns = shop.get(second + "/verdict.json").json()["log"]["columns"]
    assert {c["name"]: c["how"] for c in columns}["Oil temp [°C]"] == "told by you"
    assert told in shop.get(second).text
    before = shop.get(first + "/verdict.json").json()["log"]["columns"]
    assert "oil_temperature" in {c["channel"] for c in before}


@pytest.mark.usefixtures("undrawn")
def test_a_log_that_cannot_be_judged_is_kept_to_be_put_right(shop, plan):
    log = made_log().replace(b"Engine speed [rpm]", b"Q7")
    answer = shop.drive(plan, log)
    assert answer.status_code == 400
    said = text_of(answer)
    assert "no engine speed" in said
    assert "--channel" not in said
    assert "drive.csv is still here" in said
    again = re.search(r'<form method="post" action="(/reviews/[^"]+)"', answer.text)[1]
    assert shop.get(again).status_code == 200
    told = {"phase": shop.phase(plan), "columns": "Q7=engine_speed:rpm"}
    assert shop.post(again, data=told).status_code == 303


@pytest.mark.parametrize("told", ["nonsense", "Speed=road_sped:km/h", "Coolant [°C]=boost:°C",
                                  "Nobody=ignore"])  # fmt: skip
def test_a_correction_that_fits_nothing_is_said_and_still_there(shop, plan, told):
    answer = shop.drive(plan, made_log(), columns=told)
    assert answer.status_code == 400
    assert f"Columns put right, {told}" in text_of(answer)
    assert f">\n{told}</textarea>" in answer.text
    assert "--channel" not in text_of(answer)


@pytest.mark.parametrize("log", [b"", b"%PDF-1.7 x", b"\x00\x01\x02" * 99, b"no columns at all"])
def test_a_file_that_is_no_log_is_refused_with_its_name(shop, plan, log):
    answer = shop.drive(plan, log, name="odd.csv")
    assert answer.status_code == 400
    assert "odd.csv" in text_of(answer)


def test_no_file_chosen_is_said_and_what_was_typed_is_still_there(shop, plan):
    told = {"phase": shop.phase(plan), "columns": "A=ignore"}
    answer = shop.post(plan + "/drive", data=told)
    assert answer.status_code == 400
    assert "no file was chosen" in text_of(answer)
    assert ">\nA=ignore</textarea>" in answer.text
    assert re.search(rf'value="{told["phase"]}" required checked', answer.text)


@pytest.mark.parametrize("phase", ["", "no-such-phase"])
def test_a_phase_that_is_not_in_the_plan_lists_those_that_are(shop, plan, phase):
    answer = shop.post(
        plan + "/drive", data={"phase": phase}, files={"log": ("drive.csv", made_log())}
    )
    assert answer.status_code == 400
    assert shop.phase(plan) in text_of(answer)


def test_a_link_can_name_the_phase(shop, plan):
    wanted = re.findall(r'href="(/plans/[^"]+/drive\?phase=([^"]+))"', shop.get(plan).text)
    assert wanted
    for path, phase in wanted:
        checked = re.findall(r'value="([^"]+)" required checked', shop.get(path).text)
        assert checked == [phase]


@pytest.mark.parametrize("path", ["", "/verdict.pdf", "/verdict.json"])
def test_a_verdict_that_is_gone_says_so(shop, path):
    answer = shop.get("/reviews/AAAAAAAAAAAAAAAAAAAAAA" + path)
    assert answer.status_code == 404
    assert "no longer here" in text_of(answer)


def test_sending_to_what_is_gone_says_so(shop):
    log = {"log": ("drive.csv", made_log())}
    assert shop.post("/plans/gone/drive", files=log).status_code == 404
    assert shop.post("/reviews/gone", data={"phase": "x"}).status_code == 404


def test_a_plan_is_no_verdict(shop, plan):
    assert shop.get(plan.replace("/plans/", "/reviews/")).status_code == 404


def sent(shop, plan, learned, log=None):
    files = {"log": ("drive.csv", log or made_log()), "calibration": ("cal.json", learned)}
    return shop.post(plan + "/drive", data={"phase": shop.phase(plan)}, files=files)


@pytest.mark.usefixtures("undrawn")
def test_a_calibration_sent_with_the_log_is_what_pressure_is_judged_by(shop, plan, tmp_path):
    learned = calibration(tmp_path).read_bytes()
    path = sent(shop, plan, learned).headers["location"]
    basis = shop.get(path + "/verdict.json").json()["plan"]["oil_pressure"]["basis"]
    assert basis == "calibrated on 1 log of this engine"
    assert "Judged by cal.json" in text_of(shop.get(path))
    # Judged again it stays, unless it is put aside.
    for more, told in (({}, basis), ({"no_calibration": "yes"}, "from the build sheet alone")):
        again = shop.post(path, data={"phase": shop.phase(plan), **more}).headers["location"]
        data = shop.get(again + "/verdict.json").json()
        assert data["plan"]["oil_pressure"]["basis"] == told


@pytest.mark.parametrize("bad", ["another engine's", "no calibration"])
def test_a_calibration_that_does_not_belong_here_is_refused(shop, plan, tmp_path, bad):
    learned = b"{}" if bad == "no calibration" else b""
    if not learned:
        learned = calibration(tmp_path, "TS-0001", "1" * 64).read_bytes()
    answer = sent(shop, plan, learned)
    assert answer.status_code == 400
    wanted = "another build sheet" if bad == "another engine's" else "not a calibration"
    assert wanted in text_of(answer)


def test_a_frozen_plan_alone_cannot_read_a_calibration(shop, plan, tmp_path):
    frozen = shop.get(plan + "/plan.json").content
    path = shop.post("/plans", files={"file": ("plan.json", frozen)}).headers["location"]
    answer = sent(shop, path, calibration(tmp_path).read_bytes())
    assert answer.status_code == 400
    assert "without its build sheet" in text_of(answer)
