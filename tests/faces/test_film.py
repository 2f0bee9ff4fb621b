"""The oil film as a user asks for it, at the command line and in a browser."""

import html
import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from tests.faces.shop import Shop, text_of
from tests.lubrication.films import coarse_maps
from witnessmark.cli import film_shown as face
from witnessmark.cli.main import app
from witnessmark.web import work

ROOT = Path(__file__).parents[2]
HERON = ROOT / "demo" / "heron.toml"


@pytest.fixture(scope="module", autouse=True)
def worked_out_once():
    """Each map takes a while; these tests ask for the demo's many times."""
    kept, make = {}, face.make_film

    def once(sheet, asked):
        key = (sheet.sha256, asked)
        if key not in kept:
            kept[key] = make(sheet, asked)
        return kept[key]

    face.make_film = work.make_film = once
    with coarse_maps():
        yield
    face.make_film = work.make_film = make


def film(*words, build=HERON):
    return CliRunner().invoke(app, ["film", str(build), *map(str, words)])


def test_the_terminal_names_the_worst_point_first_and_the_limits_last():
    done = film()
    assert done.exit_code == 0
    text = " ".join(done.output.split())
    order = ["THINNEST OF ALL", "WHAT IT MEANS", "Cold oil.", "Fuel in the oil.",
             "SPEED AND LOAD", "1,500 rpm", "NOT ON THE BUILD SHEET", "WHAT IT DOES NOT TELL",
             "A comparison, not a guarantee"]  # fmt: skip
    for words in order:  # each after the one before
        text = text[text.index(words) :]
    assert "nan" not in done.output
    assert max(map(len, done.output.splitlines())) <= 80


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--oil-temp", "110"), "'110' has no unit"),
        (("--oil-temp", "-5C"), "0 °C to 150 °C is wanted"),
        (("--fuel", "60%"), "0 to 20 % is wanted"),
        (("--out", "film.docx"), "ending '.docx'"),
        (("--units", "furlong"), "'furlong' is not offered"),
    ],
)
def test_a_wrong_word_is_one_clear_error(words, said):
    done = film(*words)
    assert done.exit_code == 2
    assert said in done.stderr


def test_a_bearing_without_clearance_is_refused_with_its_place(tmp_path):
    path = tmp_path / "none.toml"
    path.write_text(HERON.read_text().replace('"0.0022 in", "0.0021 in"]', '"0 in", "0.0021 in"]'))
    done = film(build=path)
    assert done.exit_code == 2
    assert "clearances[" in done.stderr


def test_it_is_written_in_every_form_the_same_each_time(tmp_path):
    outs = [tmp_path / name for name in ("f.html", "f.json", "f.svg", "f.png")]
    asked = ["--quiet", *(word for out in outs for word in ("--out", out))]
    done = film(*asked)
    assert done.exit_code == 0
    assert done.output == ""
    page = html.unescape(outs[0].read_text())
    assert page.count("<svg") == 2
    assert "It clears no bearing" in page
    data = json.loads(outs[1].read_text())
    assert data["format"] == "witnessmark-film/1"
    sizes = (len(data["bearings"]), len(data["speed"]["values"]), len(data["load"]),
             len(data["oil_temperature"]["values"]))  # fmt: skip
    table = data["film"]["values"]
    assert (len(table), len(table[0]), len(table[0][0]), len(table[0][0][0])) == sizes
    within = [
        film
        for row in table
        for films, open_ in zip(row, data["reached"], strict=True)
        for oils, here in zip(films, open_, strict=True)
        if here
        for film in oils
    ]
    assert min(within) == pytest.approx(data["worst"]["film"], abs=1e-11)  # rounded to 0.01 nm
    assert outs[2].read_text().startswith("<svg")
    assert outs[3].read_bytes().startswith(b"\x89PNG")
    kept = [out.read_bytes() for out in outs[1:3]]
    film("--quiet", "--out", outs[1], "--out", outs[2])  # a page is these two and fixed words
    assert [out.read_bytes() for out in outs[1:3]] == kept


def test_the_units_are_the_readers():
    text = " ".join(film("--units", "bar,°F").output.split())
    assert "oil of 248 °F" in text
    assert "bar abs" in text
    assert "psi abs" not in text


@pytest.fixture(scope="module")
def shop() -> Shop:
    return Shop()


@pytest.fixture(scope="module")
def page(shop) -> str:
    return shop.plan() + "/film"


def test_the_plan_leads_to_the_film_and_back(shop, page):
    plan = page.removesuffix("/film")
    assert f'href="{page}"' in shop.get(plan).text
    shown = shop.get(page)
    assert shown.status_code == 200
    assert f'href="{plan}"' in shown.text
    assert "<svg" in shown.text
    assert "A comparison, not a guarantee" in text_of(shown)


def test_another_oil_is_worked_out_on_the_page(shop, page):
    shown = shop.get(page, params={"oil": "110C", "fuel": "5 %"})
    assert shown.status_code == 200
    assert "on oil of 110 °C with 5 % of fuel in it" in text_of(shown).replace("\u00a0", " ")
    assert 'value="110C"' in shown.text


@pytest.mark.parametrize(
    ("field", "text", "said"),
    [("oil", "110", "Oil temperature"), ("fuel", "90%", "Fuel in the oil")],
)
def test_what_cannot_be_read_is_said_in_the_pages_words_and_nothing_is_lost(
    shop, page, field, text, said
):
    shown = shop.get(page, params={field: text})
    assert shown.status_code == 400
    assert said in text_of(shown)
    assert "--" not in text_of(shown)
    assert f'value="{text}"' in shown.text


def test_what_was_typed_comes_back_escaped(shop, page):
    shown = shop.get(page, params={"oil": "<b>9</b>"})
    assert shown.status_code == 400
    assert "<b>9</b>" not in shown.text


def test_a_frozen_plan_alone_has_no_film(shop, page):
    frozen = shop.get(page.replace("/film", "/plan.json")).content
    path = shop.post("/plans", files={"file": ("plan.json", frozen)}).headers["location"]
    assert '/film"' not in shop.get(path).text
    answer = shop.get(path + "/film")
    assert answer.status_code == 409
    assert "build sheet" in text_of(answer)


def test_a_plan_that_is_gone_is_said_to_be(shop):
    assert shop.get("/plans/nobody/film").status_code == 404
