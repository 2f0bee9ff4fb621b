"""Several logs at once, as a user sends them: in a terminal and in a browser."""

import csv
import json

import pytest
from typer.testing import CliRunner

from tests.faces.shop import DEMO, Shop, made_log, text_of
from witnessmark.cli.main import app


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    place = tmp_path_factory.mktemp("drives")
    (place / "good.csv").write_bytes(made_log())
    (place / "over.csv").write_bytes(made_log(top=6900))
    (place / "words.csv").write_text("hello")
    return place


def judged(folder, *more):
    words = ["review-all", folder, "--build", DEMO, "--phase", "first-50-miles", "--jobs", 1]
    return CliRunner().invoke(app, [str(word) for word in (*words, *more)])


def test_a_folder_becomes_a_table_on_the_screen_and_in_files(folder, tmp_path):
    files = [tmp_path / f"table.{ending}" for ending in ("csv", "html", "json")]
    done = judged(folder, *(word for file in files for word in ("-o", file)))
    assert done.exit_code == 3, done.output  # a ceiling was broken in one of them
    assert "3 logs: 2 broken, 1 not judged" in done.output
    rows = list(csv.DictReader(files[0].read_text().splitlines()))
    assert [row["log"] for row in rows] == ["good.csv", "over.csv", "words.csv"]
    assert [row["answer"] for row in rows][1:] == ["broken", "not judged"]
    data = json.loads(files[2].read_text())
    assert [line["answer"] for line in data["logs"]] == [row["answer"] for row in rows]
    assert data["totals"]["drives"] == 2
    page = files[1].read_text()
    assert all(f"{name}.csv" in page for name in ("good", "over", "words"))


def test_the_exit_code_is_the_gravest(folder, tmp_path):
    (tmp_path / "words.csv").write_text("hello")
    assert judged(tmp_path, "--quiet").exit_code == 2
    assert judged(tmp_path / "words.csv", folder / "over.csv", "--quiet").exit_code == 3


@pytest.fixture(scope="module")
def shop() -> Shop:
    return Shop()


@pytest.fixture(scope="module")
def plan(shop) -> str:
    return shop.plan()


def test_several_logs_in_the_browser_lead_each_to_its_own_page(shop, plan):
    files = [("logs", ("good.csv", made_log())), ("logs", ("words.csv", b"hello"))]
    sent = shop.post(f"{plan}/drives", data={"phase": shop.phase(plan)}, files=files)
    assert sent.status_code == 303, text_of(sent)
    page = shop.get(sent.headers["location"])
    assert "2 logs:" in text_of(page) and "no columns in it" in text_of(page)
    links = [part.split('"')[0] for part in page.text.split('href="/reviews/')[1:]]
    good, bad = (shop.get(f"/reviews/{link}") for link in links)
    assert "good.csv" in good.text and good.status_code == 200
    assert "words.csv is still here" in text_of(bad)


def test_no_file_and_too_many_get_a_word(shop, plan):
    none = shop.post(f"{plan}/drives", data={"phase": shop.phase(plan)}, files={"x": b""})
    assert none.status_code == 400 and "no file was chosen" in text_of(none)
    many = [("logs", (f"{i}.csv", b"hello")) for i in range(41)]
    answer = shop.post(f"{plan}/drives", data={"phase": shop.phase(plan)}, files=many)
    assert answer.status_code == 400 and "41 files" in text_of(answer)
