"""An engine's hours, from the drives a shop keeps: on the terminal and in the browser."""

import json

import pytest
from typer.testing import CliRunner

from tests.faces.shop import DEMO, Shop, made_log, text_of
from witnessmark.cli.main import app
from witnessmark.records.originals import original
from witnessmark.records.shop import open_shop
from witnessmark.web.store import Store

SERIAL = "TS-0417"


def run(*words: str):
    done = CliRunner().invoke(app, list(map(str, words)), env={"COLUMNS": "80"})
    assert done.exit_code in (0, 3, 4, 5), done.output
    return done


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A shop that kept one drive, sent twice, and its twin from a slower logger."""
    home = tmp_path_factory.mktemp("kept")
    fast, slow = home / "fast.csv", home / "slow.csv"
    whole = uneven_log()
    fast.write_bytes(whole)
    lines = whole.splitlines()
    slow.write_bytes(b"\n".join([lines[0], *lines[100::5]]) + b"\n")
    shop = home / "shop"
    for log in (fast, fast, slow):
        said = run("review", log, "--build", DEMO, "--phase", "first-50-miles", "--shop", shop)
    assert "took this same drive" in said.stdout
    return shop


def uneven_log() -> bytes:
    """Five minutes of `made_log`'s kind, but no two pulls alike: a drive is known by its pulls."""
    lines = made_log(rows=1).decode().splitlines()[:1]
    for i in range(1500):
        swing = abs((i % 60) - 30) / 30
        speed = 1000 + (1600 + 37 * (i // 60 * 7 % 23) * 2) * (1 - swing)
        lines.append(f"{i / 5:.1f},{speed:.0f},{30 + 60 * swing:.0f},{60 + i / 90:.1f},70")
    return ("\n".join(lines) + "\n").encode()


def test_drives_add_up_once(folder, tmp_path):
    out = tmp_path / "e.json"
    said = run(
        "engine", SERIAL, "--shop", folder, "--out", out, "--out", tmp_path / "e.html"
    ).stdout
    data = json.loads(out.read_text())
    assert data["totals"]["drives"] == 1 and data["totals"]["twins"] == 1
    assert data["totals"]["running"] == pytest.approx(300, abs=1)
    assert data["totals"]["distance"] is None
    assert "not shown" in said and "that drive counts once" in said
    turns = sum(1000 + (1600 + 37 * (i // 60 * 7 % 23) * 2) * (1 - abs((i % 60) - 30) / 30)
                for i in range(1500)) / 60 / 5  # fmt: skip
    assert data["totals"]["revolutions"] == pytest.approx(turns, rel=1e-3)
    assert SERIAL in (tmp_path / "e.html").read_text()


def test_the_log_itself_is_kept_as_it_came(folder):
    data = uneven_log()
    kept = json.loads(next((folder / "engines").glob("*/drives.jsonl")).read_text().split("\n")[1])
    assert original(open_shop(folder), kept["sha256"]) == data


def test_without_a_folder_the_verdict_says_so_and_the_command_asks(tmp_path):
    log = tmp_path / "d.csv"
    log.write_bytes(made_log())
    said = run("review", log, "--build", DEMO, "--phase", "first-50-miles").stdout
    assert "Nothing is kept of this drive" in said
    done = CliRunner().invoke(app, ["engine", SERIAL])
    assert done.exit_code == 2 and "no shop folder" in done.stderr


def test_the_browser_keeps_and_shows(tmp_path):
    shop = Shop(store=Store(shop=open_shop(tmp_path / "shop")))
    assert "No drive is kept yet" in text_of(shop.get("/engines"))
    verdict = shop.drive(shop.plan(), made_log()).headers["location"]
    assert f"All drives of engine {SERIAL}" in text_of(shop.get(verdict))
    assert 'href="/engines"' in shop.get("/").text
    assert f'href="/engines/{SERIAL}"' in shop.get("/engines").text
    page = shop.get(f"/engines/{SERIAL}")
    assert page.status_code == 200 and "drive.csv" in text_of(page)
    assert shop.get("/engines/nobody").status_code == 404


def test_the_browser_without_a_folder_keeps_nothing():
    shop = Shop()
    assert shop.get("/engines").status_code == 404
    assert 'href="/engines"' not in shop.get("/").text


def test_in_a_damaged_folder_nothing_is_kept_and_the_verdict_stands(tmp_path):
    kept = open_shop(tmp_path / "shop")
    shop = Shop(store=Store(shop=kept))
    shop.drive(shop.plan(), made_log())
    record = next((kept.path / "engines").glob("*/drives.jsonl"))
    record.write_text("nothing\n")
    said = text_of(shop.get(shop.drive(shop.plan(), made_log()).headers["location"]))
    assert "NOT KEPT." in said and "this record is damaged" in said
    assert "Line by line" in said
    assert record.read_text() == "nothing\n"
