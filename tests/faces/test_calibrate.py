"""Calibration as a user asks for it, at the command line and in a browser."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from tests.faces.oil_logs import first, short_walks
from tests.faces.shop import Shop, text_of
from witnessmark.cli.main import app
from witnessmark.jobs.calibrate import load_calibration

HERON = Path(__file__).parents[2] / "demo" / "heron.toml"


def calibrate(*words):
    return CliRunner().invoke(app, ["calibrate", str(HERON), *map(str, words)])


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    """A log, and what one call made of it."""
    path = tmp_path_factory.mktemp("calibrate")
    (path / "drive.csv").write_bytes(first())
    outs = [word for name in ("c.json", "c.html", "c.svg") for word in ("--out", path / name)]
    with short_walks():
        done = calibrate(path / "drive.csv", "--hold-out", "50%", *outs)
    assert done.exit_code == 0, done.stderr
    (path / "said.txt").write_text(done.output)
    return path


def test_the_table_tells_build_from_fit_and_who_says_so(folder):
    said = (folder / "said.txt").read_text()
    assert "Bearing" in said
    assert "Relief opens" in said
    assert "mostly the" in said
    assert "follows" in said
    assert "drive.csv" in said
    assert "extrapolated" in " ".join(said.split())


def test_the_miss_on_readings_it_had_not_seen_stands_beside_plain_rules(folder):
    said = " ".join((folder / "said.txt").read_text().split())
    for rule in ("the fitted circuit", "one constant pressure", "straight lines", "a power law"):
        assert rule in said
    assert "5 to 95 % range" in said


def test_the_file_to_keep_is_whole_and_comes_back(folder):
    learned = load_calibration(folder / "c.json")
    assert learned.serial == "TS-0417"
    assert learned.foretold is not None
    assert learned.foretold.circuit < learned.foretold.constant
    changed = json.loads((folder / "c.json").read_text())
    assert changed["format"] == "witnessmark calibration 1"


def test_the_page_has_both_pictures_and_their_words(folder):
    page = (folder / "c.html").read_text()
    assert page.count("<svg") >= 4  # two pictures, each for page and phone
    assert "In words" in page
    assert "the fitted circuit" in page
    assert len(page) < 1_500_000
    assert (folder / "c.svg").read_text().startswith("<svg")


@pytest.mark.parametrize("share", ["150%", "0%", "-10%", "half", "0.5"])
def test_a_share_nobody_can_keep_back_is_one_clear_error(folder, share):
    done = calibrate(folder / "drive.csv", f"--hold-out={share}")
    assert done.exit_code == 2
    assert "--hold-out" in done.stderr
    assert share in done.stderr


def test_a_log_without_the_channels_says_which_are_missing(tmp_path):
    path = tmp_path / "bare.csv"
    path.write_text("Time [s],Engine speed [rpm]\n" + "".join(f"{i},900\n" for i in range(300)))
    done = calibrate(path)
    assert done.exit_code == 2
    assert "oil temperature and oil pressure" in done.stderr
    assert "--channel" in done.stderr


def test_a_stuck_gauge_and_a_short_log_are_refused(tmp_path):
    lines = first().decode().splitlines()
    stuck = [lines[0], *(line.rpartition(",")[0] + ",60" for line in lines[1:])]
    (tmp_path / "stuck.csv").write_text("\n".join(stuck))
    (tmp_path / "short.csv").write_text("\n".join(lines[:150]))
    assert "stays at" in calibrate(tmp_path / "stuck.csv").stderr
    assert "settled running" in calibrate(tmp_path / "short.csv").stderr


def test_the_same_log_twice_teaches_nothing_more(folder):
    done = calibrate(folder / "drive.csv", folder / "drive.csv")
    assert done.exit_code == 2
    assert "the same log" in done.stderr


def test_an_ending_we_cannot_write_is_refused_before_any_work(folder):
    done = calibrate(folder / "drive.csv", "--out", folder / "c.docx")
    assert done.exit_code == 2
    assert ".docx" in done.stderr


@pytest.fixture(scope="module")
def shop() -> Shop:
    return Shop()


@pytest.fixture(scope="module")
def learned(shop) -> str:
    """Path of a calibration made in the browser."""
    plan = shop.plan()
    with short_walks():
        answer = shop.post(
            plan + "/calibrate", data={"held_out": "", "columns": ""},
            files={"log": ("drive.csv", first())},
        )  # fmt: skip
    assert answer.status_code == 303, text_of(answer)
    return answer.headers["location"]


def test_the_plan_leads_to_the_form(shop):
    plan = shop.plan()
    assert f'href="{plan}/calibrate"' in shop.get(plan).text
    form = shop.get(plan + "/calibrate")
    assert form.status_code == 200
    assert "Keep back" in text_of(form)


def test_the_page_shows_pictures_table_and_the_file_to_keep(shop, learned):
    page = shop.get(learned)
    assert page.status_code == 200
    assert "<svg" in page.text
    assert "Bearing leakage" in text_of(page)
    kept = shop.get(learned + "/calibration.json")
    assert kept.headers["content-disposition"] == 'attachment; filename="TS-0417-calibration.json"'
    assert kept.json()["calibration"]["serial"] == "TS-0417"


def test_what_is_wrong_is_said_in_the_pages_words_and_the_log_is_still_there(shop):
    plan = shop.plan()
    answer = shop.post(
        plan + "/calibrate", data={"held_out": "150%"}, files={"log": ("drive.csv", first())}
    )
    assert answer.status_code == 400
    assert "Keep back" in text_of(answer)
    assert "--hold-out" not in answer.text
    assert "drive.csv is still here" in text_of(answer)


def test_a_log_that_cannot_teach_is_refused_in_the_pages_words(shop):
    bare = b"Time [s],Engine speed [rpm]\n" + b"".join(b"%d,900\n" % i for i in range(300))
    answer = shop.post(shop.plan() + "/calibrate", files={"log": ("bare.csv", bare)})
    assert answer.status_code == 400
    assert "oil temperature and oil pressure" in text_of(answer)
    assert "--channel" not in answer.text


def test_what_was_typed_comes_back_escaped(shop):
    answer = shop.post(
        shop.plan() + "/calibrate", data={"columns": "<i>x"}, files={"log": ("d.csv", first())}
    )
    assert answer.status_code == 400
    assert "&lt;i&gt;x" in answer.text
    assert "<i>x" not in answer.text


def test_no_file_a_frozen_plan_and_a_page_that_is_gone(shop):
    plan = shop.plan()
    assert shop.post(plan + "/calibrate", data={"held_out": ""}).status_code == 400
    frozen = shop.get(plan + "/plan.json").content
    sent = shop.post("/plans", files={"file": ("plan.json", frozen)}).headers["location"]
    assert shop.get(sent + "/calibrate").status_code == 409
    assert shop.get("/calibrations/nobody").status_code == 404
    assert shop.get("/calibrations/nobody/calibration.json").status_code == 404
