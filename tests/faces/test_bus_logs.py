"""A bus log and its DBC from the command line and over HTTP."""

import re

import pytest
from typer.testing import CliRunner

from tests.faces.shop import Shop, text_of
from tests.logs.recordings.drive import BUS, DBC, frames, written
from witnessmark.cli.main import app

LOG = written("blf", frames())


@pytest.fixture(scope="module")
def shop() -> Shop:
    return Shop()


@pytest.fixture(scope="module")
def plan(shop) -> str:
    return shop.plan()


def send(shop, plan, dbc: bytes | None):
    files = [("log", ("drive.blf", LOG))]
    if dbc is not None:
        files.append(("dbc", ("drive.dbc", dbc)))
    return shop.post(plan + "/drive", data={"phase": shop.phase(plan)}, files=files)


def columns(shop, path):
    return {c["name"] for c in shop.get(path + "/verdict.json").json()["log"]["columns"]}


def test_a_log_with_its_dbc_becomes_a_verdict(shop, plan):
    answer = send(shop, plan, DBC.encode())
    assert answer.status_code == 303, text_of(answer)
    path = answer.headers["location"]
    assert {"EngineSpeed", "OilPressure"} <= columns(shop, path)
    # Judging again needs neither log nor DBC.
    again = shop.post(path, data={"phase": shop.phase(plan), "columns": "OilPressure=ignore"})
    assert again.status_code == 303, text_of(again)
    page = text_of(shop.get(again.headers["location"]))
    assert "Read by drive.dbc; choose another to change it." in page


def test_a_log_without_its_dbc_is_kept_and_asks_for_it(shop, plan):
    answer = send(shop, plan, None)
    assert answer.status_code == 400
    said = text_of(answer)
    assert "under “DBC of the bus”" in said and "--dbc" not in said
    assert "drive.blf is still here" in said
    (path,) = set(re.findall(r'action="(/reviews/[^"]+)"', answer.text))
    more = {"phase": shop.phase(plan)}
    told = shop.post(path, data=more, files=[("dbc", ("drive.dbc", DBC.encode()))])
    assert told.status_code == 303, text_of(told)
    assert "EngineSpeed" in columns(shop, told.headers["location"])


def test_a_file_that_is_no_dbc_is_told(shop, plan):
    answer = send(shop, plan, b"no messages here")
    assert answer.status_code == 400
    assert "drive.dbc" in text_of(answer) and "a DBC file is wanted" in text_of(answer)


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "drive.blf").write_bytes(LOG)
    (tmp_path / "drive.dbc").write_text(BUS.text)
    (tmp_path / "not.dbc").write_text("nothing")
    return tmp_path


def run(*arguments):
    return CliRunner().invoke(app, [str(a) for a in arguments])


def test_the_channels_of_a_bus_log(folder):
    told = run("channels", folder / "drive.blf", "--dbc", folder / "drive.dbc")
    assert told.exit_code == 0, told.output
    assert "EngineSpeed" in told.output


@pytest.mark.parametrize(
    ("more", "words"),
    [((), "--dbc FILE"), (("--dbc", "not.dbc"), "no messages (BO_)"),
     (("--dbc", "absent.dbc"), "No such file")],
)  # fmt: skip
def test_what_is_wrong_with_the_dbc_is_one_line(folder, more, words):
    paths = [folder / m if m.endswith(".dbc") else m for m in more]
    told = run("channels", folder / "drive.blf", *paths)
    assert told.exit_code == 2
    assert words in " ".join(told.output.split())
