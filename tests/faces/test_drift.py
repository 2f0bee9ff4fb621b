"""Drift as a user asks for it."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from tests.faces.oil_logs import first, worn
from witnessmark.cli.exit_codes import OF_DRIFT
from witnessmark.cli.main import app
from witnessmark.model.drift import Moved

ROOT = Path(__file__).parents[2]
HERON = ROOT / "demo" / "heron.toml"


def drift(*words):
    return CliRunner().invoke(app, ["drift", str(HERON), *map(str, words)])


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    path = tmp_path_factory.mktemp("drift")
    (path / "first.csv").write_bytes(first())
    (path / "worn.csv").write_bytes(worn())
    return path


@pytest.fixture(scope="module")
def done(folder):
    outs = [word for name in ("d.json", "d.html", "d.svg") for word in ("--out", folder / name)]
    return drift(folder / "first.csv", folder / "worn.csv", *outs)


def test_wear_is_said_with_its_range_and_its_exit_code(done):
    assert done.exit_code == OF_DRIFT[Moved.CHANGED] == 3
    said = " ".join(done.output.split())
    assert "Changed: bearing leakage" in said
    assert "first.csv" in said
    assert "1 sound log in 1,000" in said
    assert "thinner" in said


def test_the_data_carry_every_number_a_verdict_rests_on(done, folder):
    data = json.loads((folder / "d.json").read_text())
    assert data["format"] == "witnessmark-drift/1"
    leak = data["logs"][0]["changes"][0]
    assert leak["moved"] == "changed"
    assert leak["low"] < leak["share"] < leak["high"]
    assert abs(leak["sure"]) > leak["limit"]
    assert data["logs"][0]["thinner_oil"]["viscosity"] < 0
    assert data["false_alarms"] == pytest.approx(0.001)


def test_the_page_answers_first_and_shows_the_picture(done, folder):
    page = (folder / "d.html").read_text()
    assert page.index("Changed: bearing") < page.index("Log after log")
    assert page.count("<svg") >= 3
    assert "In words" in page
    assert (folder / "d.svg").read_text().startswith("<svg")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("first.csv",), "one log and no calibration"),
        (("first.csv", "first.csv"), "the same log"),
        (("first.csv", "worn.csv", "--fuel", "3%"), "names no log"),
        (("first.csv", "worn.csv", "--fuel", "worn.csv=much"), "--fuel"),
        (("first.csv", "worn.csv", "--fuel", "other.csv=3%"), "none of the later logs"),
        (("first.csv", "worn.csv", "--new-oil", "worn.csv=banana"), "banana"),
        (("first.csv", "worn.csv", "--out", "d.pdf"), ".pdf"),
        (("first.csv", "worn.csv", "--calibration", "first.csv"), "first.csv"),
    ],
)
def test_a_wrong_word_is_one_clear_error(folder, words, said):
    given = [folder / word if word.endswith(".csv") and "=" not in word else word for word in words]
    answer = drift(*given)
    assert answer.exit_code == 2
    assert said in answer.stderr


def test_exit_codes_are_as_documented():
    assert OF_DRIFT == {Moved.SAME: 0, Moved.CHANGED: 3, Moved.CANNOT_TELL: 5}
    assert "`witnessmark drift`" in (ROOT / "docs/reference/exit-codes.md").read_text()
