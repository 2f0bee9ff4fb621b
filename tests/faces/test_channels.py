"""What a log's columns are, on the terminal, as files and in the browser; and remembered."""

import json

import pytest
from typer.testing import CliRunner

from tests.faces.shop import Shop, text_of
from witnessmark.cli.main import app
from witnessmark.records.shop import open_shop
from witnessmark.web.store import Store


def odd_log(brand: str = "Qz") -> bytes:
    """A log whose road speed names no unit and whose mixture nobody can tell. Invented."""
    lines = [f"Time (s),RPM,MAP [kPa],Coolant [°C],AFR,VSS,{brand}"]
    for i in range(600):
        up = abs((i % 100) - 50) / 50
        lines.append(f"{i / 10},{900 + 2500 * up:.0f},{35 + 50 * up:.0f},80,{10.8 + up / 9:.2f},"
                     f"{40 + 9 * up:.0f},7")  # fmt: skip
    return ("\n".join(lines) + "\n").encode()


def run(*words: str, code: int = 0, shop: str = ""):
    env = {"WITNESSMARK_SHOP": shop} if shop else {}
    done = CliRunner().invoke(app, list(map(str, words)), env={**env, "COLUMNS": "80"})
    assert done.exit_code == code, done.output
    return done


@pytest.fixture
def log(tmp_path):
    path = tmp_path / "odd.csv"
    path.write_bytes(odd_log())
    return path


def test_the_terminal_says_what_waits_what_is_used_and_what_is_not(log):
    said = run("channels", log).stdout
    assert "2 columns wait for your answer" in " ".join(said.split())
    for option in ("--channel 'VSS=road_speed:km/h'", "--channel 'AFR=lambda:AFR E85'"):
        assert f"\n{option}\n" in said  # whole, on a line of its own
    assert "certain" in said and "no channel of ours goes by this name" in said


def test_a_correction_and_a_fuel_are_taken(log):
    said = run("channels", log, "--channel", "VSS=road_speed:mph", "--fuel", "E85",
               "--channel", "AFR=lambda:AFR E85").stdout  # fmt: skip
    assert "wait" not in said
    assert "You said so" in said
    assert "is no fuel we know" in run("channels", log, "--fuel", "soup", code=2).stderr


def test_json_and_page_say_the_same(log, tmp_path):
    page, data = tmp_path / "c.html", tmp_path / "c.json"
    run("channels", log, "--out", page, "--out", data, "--quiet")
    found = json.loads(data.read_text())
    by_name = {c["name"]: c for c in found["columns"]}
    assert found["format"] == "witnessmark-channels/1"
    assert by_name["RPM"]["sure"] == "certain" and by_name["RPM"]["si_unit"] == "turn/s"
    assert by_name["RPM"]["low"] == pytest.approx(15)
    assert by_name["RPM"]["readings_a_second"] == pytest.approx(10, rel=0.01)
    assert by_name["VSS"]["to_type"] == ["VSS=road_speed:km/h"]
    assert by_name["Qz"]["sure"] is None
    assert "<script" not in page.read_text() and "VSS=road_speed:km/h" in page.read_text()


def test_what_is_said_is_remembered_for_the_next_log_laid_out_the_same(log, tmp_path):
    folder = str(tmp_path / "shop")
    done = run("channels", log, "--channel", "VSS=road_speed:mph", shop=folder)
    assert "Remembered" in done.stderr
    later = tmp_path / "later.csv"
    later.write_bytes(odd_log().replace(b",80,", b",84,"))
    assert "told by you on 20" in run("channels", later, "--shop", folder).stdout
    other = tmp_path / "other.csv"
    other.write_bytes(odd_log("Qy"))
    assert "told by you" not in run("channels", other, "--shop", folder).stdout
    # What is said now goes over what was said before.
    now = run("channels", later, "--shop", folder, "--channel", "VSS=ignore").stdout
    assert "left out, as told by you" in now
    forgot = run("channels", later, "--shop", folder, "--forget")
    assert "1 forgotten" in forgot.stderr
    assert "VSS=road_speed:km/h" in forgot.stdout
    assert "Give --shop FOLDER" in run("channels", later, "--forget", code=2).stderr


def test_a_log_that_is_unreadable_without_what_was_said_is_read_with_it(tmp_path):
    folder, log = str(tmp_path / "shop"), tmp_path / "odd.csv"
    log.write_bytes(b"Time (s),Qa\n" + b"".join(b"%d,%d\n" % (i, 900 + i) for i in range(90)))
    run("channels", log, "--shop", folder, code=2)
    run("channels", log, "--shop", folder, "--channel", "Qa=engine_speed:rpm")
    assert "told by you on" in run("channels", log, "--shop", folder).stdout


# --- in the browser ---------------------------------------------------------------------------


@pytest.fixture(scope="module")
def shop() -> Shop:
    return Shop()


def test_a_log_is_looked_into_without_a_plan(shop):
    assert 'href="/channels"' in shop.get("/").text
    assert shop.get("/channels").status_code == 200
    answer = shop.post("/channels", files={"log": ("odd.csv", odd_log())}, data={"columns": ""})
    path = answer.headers["location"]
    said = text_of(shop.get(path))
    assert "2 columns wait for your answer" in said
    assert "--channel" not in said
    again = shop.post(path, data={"columns": "VSS=road_speed:mph\nAFR=lambda:AFR E85"})
    second = again.headers["location"]
    assert "wait for your answer" not in text_of(shop.get(second))
    data = shop.get(second + "/channels.json").json()
    assert {c["name"]: c["channel"] for c in data["columns"]}["VSS"] == "road_speed"


def test_what_cannot_be_read_is_said_and_put_right_without_sending_again(shop):
    answer = shop.post("/channels", files={"log": ("odd.csv", b"a,b\n1,2\n2,3\n")})
    assert answer.status_code == 400 and "odd.csv is still here" in text_of(answer)
    assert shop.post("/channels", data={"columns": ""}).status_code == 400
    wrong = shop.post("/channels", files={"log": ("odd.csv", odd_log())}, data={"fuel": "soup"})
    assert "Fuel in the tank" in text_of(wrong) and wrong.status_code == 400
    assert shop.get("/channels/nobody").status_code == 404


def test_a_verdict_leads_to_its_columns(shop):
    verdict = shop.drive(shop.plan(), odd_log()).headers["location"]
    assert f'href="{verdict}/channels"' in shop.get(verdict).text
    said = text_of(shop.get(verdict + "/channels"))
    assert "What each column of a log was taken for" in said
    assert "Nothing is kept of this drive" in text_of(shop.get(verdict))


def test_a_name_with_markup_is_shown_as_text(shop):
    answer = shop.post("/channels", files={"log": ("<b>.csv", odd_log("<script>alert(1)"))})
    page = shop.get(answer.headers["location"]).text
    assert "<script" not in page and "&lt;script" in page


def test_with_a_folder_the_browser_remembers_too(tmp_path):
    shop = Shop(store=Store(shop=open_shop(tmp_path / "shop")))
    sent = {"log": ("odd.csv", odd_log())}
    shop.post("/channels", files=sent, data={"columns": "VSS=road_speed:mph"})
    later = shop.post("/channels", files=sent, data={"columns": ""}).headers["location"]
    assert "told by you on 20" in text_of(shop.get(later)).lower()
