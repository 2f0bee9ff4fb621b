"""Plans over HTTP: sheet or frozen plan in, plan out; what is wrong is said and nothing is lost."""

import hashlib
import html
import json
import re
import tomllib

import jsonschema
import pytest

from tests.faces.shop import SHEET, Shop, text_of
from witnessmark.jobs.book import open_book


@pytest.fixture(scope="module")
def shop() -> Shop:
    return Shop()


def typed_in(answer) -> str:
    return html.unescape(re.search(r"<textarea[^>]*>\n(.*?)</textarea>", answer.text, re.S)[1])


def test_a_pasted_sheet_becomes_a_plan_with_job_card_and_frozen_plan(shop):
    path = shop.plan()
    page = shop.get(path)
    assert page.status_code == 200
    assert "TS-0417" in page.text
    assert f"{path}/job-card.pdf" in page.text
    card = shop.get(path + "/job-card.pdf")
    assert card.content.startswith(b"%PDF-")
    assert card.headers["content-disposition"] == 'inline; filename="TS-0417-job-card.pdf"'
    frozen = shop.get(path + "/plan.json")
    assert frozen.headers["content-disposition"] == 'attachment; filename="TS-0417-plan.json"'
    assert frozen.json()["sha256"][:12] in page.text


def test_a_sheet_sent_as_a_file_gives_the_hash_of_that_very_file(shop):
    # Line ends as Windows writes them: rewritten, the hash would be of another file.
    data = SHEET.replace("\n", "\r\n").encode()
    answer = shop.post("/plans", files={"file": ("heron.toml", data)})
    frozen = shop.get(answer.headers["location"] + "/plan.json").json()
    assert frozen["plan"]["build_sha256"] == hashlib.sha256(data).hexdigest()


def test_a_frozen_plan_sent_back_is_the_same_plan(shop):
    frozen = shop.get(shop.plan() + "/plan.json").content
    answer = shop.post("/plans", files={"file": ("plan.json", frozen)}, data={"next": "drive"})
    assert answer.status_code == 303
    again = answer.headers["location"]
    assert again.endswith("/drive")
    assert shop.get(again.removesuffix("drive") + "plan.json").content == frozen


def test_a_frozen_plan_that_was_changed_is_refused(shop):
    frozen = shop.get(shop.plan() + "/plan.json").json()
    frozen["plan"]["serial"] = "TS-0418"
    answer = shop.post("/plans", files={"file": ("plan.json", json.dumps(frozen).encode())})
    assert answer.status_code == 400
    assert "changed after it was made" in text_of(answer)


@pytest.mark.parametrize("text", ["{", "{}", '{"format": 3}', "{" * 100_000, '{"a": NaN}'])
def test_what_only_begins_like_a_frozen_plan_is_refused(shop, text):
    answer = shop.post("/plans", files={"file": ("plan.json", text.encode())})
    assert answer.status_code == 400
    assert "plan.json" in text_of(answer)


def test_a_plan_from_an_older_book_says_what_moved(shop, monkeypatch):
    frozen = shop.get(shop.plan() + "/plan.json").content
    said = "The recipe is now version 9."
    monkeypatch.setattr("witnessmark.web.work.drift", lambda plan, book: said)
    answer = shop.post("/plans", files={"file": ("plan.json", frozen)})
    assert said in text_of(shop.get(answer.headers["location"]))


def test_every_fault_is_listed_and_the_text_is_still_there(shop):
    wrong = SHEET.replace('bore = "84.00 mm"', 'bore = "84.00 bar"').replace(
        "cylinders = 5", 'cylinders = "five"'
    )
    answer = shop.post("/plans", data={"sheet": wrong})
    said = text_of(answer)
    assert answer.status_code == 400
    assert "layout.bore" in said
    assert "layout.cylinders" in said
    assert re.search(r"\b[2-9] things to put right", said)
    assert typed_in(answer) == wrong


def test_a_faulty_file_is_put_into_the_field_to_be_mended(shop):
    wrong = SHEET.replace('bore = "84.00 mm"', 'bore = "84.00 bar"')
    answer = shop.post("/plans", files={"file": ("heron.toml", wrong.encode())})
    assert "heron.toml, layout.bore" in text_of(answer)
    assert typed_in(answer) == wrong


def test_a_contradiction_in_the_engine_is_named(shop):
    answer = shop.post("/plans", data={"sheet": SHEET.replace('= "0.15 mm"', '= "0.35 mm"')})
    assert answer.status_code == 400
    assert "end float" in text_of(answer).lower()


def test_file_and_text_together_are_refused(shop):
    answer = shop.post(
        "/plans", data={"sheet": "a = 1"}, files={"file": ("heron.toml", SHEET.encode())}
    )
    assert answer.status_code == 400
    assert "both a file (heron.toml) and a pasted text" in text_of(answer)
    assert typed_in(answer) == "a = 1"


@pytest.mark.parametrize("sent", [{"data": {"sheet": " \n"}}, {"files": {"file": ("x.toml", b"")}},
                                  {"data": {"elsewhere": "1"}}])  # fmt: skip
def test_nothing_sent_is_said(shop, sent):
    answer = shop.post("/plans", **sent)
    assert answer.status_code == 400
    assert "nothing is in it" in text_of(answer)


@pytest.mark.parametrize("data", [b"\xff\xfe\x00", b"PK\x03\x04\x00\xff", b"bore = '\xb5m'"])
def test_a_file_that_is_no_text_is_refused(shop, data):
    answer = shop.post("/plans", files={"file": ("sheet.toml", data)})
    assert answer.status_code == 400
    assert "not plain text" in text_of(answer)


def test_a_sheet_can_be_changed_after_the_plan_was_made(shop):
    answer = shop.get(shop.plan() + "/sheet")
    assert answer.status_code == 200
    assert typed_in(answer) == SHEET


# Recipes


def test_every_recipe_of_the_book_is_offered(shop):
    offered = re.findall(r'<option value="([^"]+)"', shop.get("/").text)
    assert offered == [recipe.file.id for recipe in open_book().recipes]


def test_a_recipe_can_be_chosen_and_the_choice_outlives_a_fault(shop):
    plan = shop.get(shop.plan() + "/plan.json").json()["plan"]["choice"]
    other = re.search(r"([a-z-]+) fits too", " ".join(plan["set_aside"]))[1]
    answer = shop.post("/plans", data={"sheet": SHEET, "recipe": other})
    frozen = shop.get(answer.headers["location"] + "/plan.json").json()
    assert frozen["plan"]["choice"]["recipe"] == other
    faulty = shop.post("/plans", data={"sheet": "a = ", "recipe": other})
    assert f'<option value="{other}" selected>' in faulty.text


@pytest.mark.parametrize("by", ["form", "sheet"])
def test_no_file_of_this_machine_is_opened_by_naming_it_as_a_recipe(shop, tmp_path, by):
    secret = tmp_path / "secret.toml"
    secret.write_text('password = "hunter2"')
    sheet, recipe = SHEET, ""
    if by == "form":
        recipe = str(secret)
    else:
        sheet = SHEET.replace('kind = "road"', f'kind = "road"\nrecipe = "{secret}"')
        assert sheet != SHEET
    answer = shop.post("/plans", data={"sheet": sheet, "recipe": recipe})
    assert answer.status_code == 400
    assert "is not in the book" in text_of(answer)
    assert "password" not in answer.text


# The rest


def test_the_schema_is_one_and_takes_the_demo_sheet(shop):
    schema = shop.get("/schema/build-sheet.json").json()
    jsonschema.Draft202012Validator.check_schema(schema)
    sheet = json.loads(json.dumps(tomllib.loads(SHEET), default=str))
    jsonschema.validate(sheet, schema)


def test_it_says_that_it_is_up(shop):
    assert shop.get("/health").json() == {"status": "up"}


@pytest.mark.parametrize("path", ["", "/sheet", "/drive", "/plan.json", "/job-card.pdf"])
def test_a_plan_that_is_gone_says_so(shop, path):
    answer = shop.get("/plans/AAAAAAAAAAAAAAAAAAAAAA" + path)
    assert answer.status_code == 404
    assert "no longer here" in text_of(answer)
    assert 'href="/"' in answer.text
