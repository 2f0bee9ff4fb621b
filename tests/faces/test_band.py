"""The pressure band as a user asks for it, at the command line and in a browser."""

import html
import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from tests.faces.learned import calibration
from tests.faces.shop import SHEET, Shop, text_of
from witnessmark.cli import band as face
from witnessmark.cli.exit_codes import OF_READING
from witnessmark.cli.main import app
from witnessmark.model.pressure_band import Shown

ROOT = Path(__file__).parents[2]
HERON = ROOT / "demo" / "heron.toml"


@pytest.fixture(scope="module", autouse=True)
def worked_out_once():
    """Each band takes a second; these tests ask for the demo's many times."""
    kept, make = {}, face.make_band

    def once(sheet, known=None):
        if known is not None:
            return make(sheet, known)
        if sheet.sha256 not in kept:
            kept[sheet.sha256] = make(sheet)
        return kept[sheet.sha256]

    face.make_band = once
    yield
    face.make_band = make


def band(*words):
    return CliRunner().invoke(app, ["band", str(HERON), *map(str, words)])


def asked(reading, rpm="900", oil="95C", *more):
    return band("--reading", reading, "--rpm", rpm, "--oil-temp", oil, *more)


def test_the_table_names_its_basis_and_what_was_assumed():
    done = band()
    assert done.exit_code == 0
    assert "From the build sheet alone" in done.output
    assert "950 idle" in done.output
    assert "7,000" in done.output
    assert "100 °C" in done.output
    assert "Rule of thumb, not this engine's: 10 psi" in done.output
    assert "oil.kv100" in done.output


@pytest.mark.parametrize(
    ("reading", "answer"),
    [("38psi", Shown.RIGHT), ("2.6 bar", Shown.RIGHT), ("5psi", Shown.FAR_TOO_LOW),
     ("110 psi", Shown.FAR_TOO_HIGH)],
)  # fmt: skip
def test_a_reading_is_answered_in_one_line_with_an_exit_code(reading, answer):
    done = asked(reading)
    assert done.exit_code == OF_READING[answer]
    assert len(done.output.strip().splitlines()) == 1
    assert answer.value in done.output
    assert "from the build sheet alone" in done.output
    assert "least certain" in done.output


def test_exit_codes_are_as_documented():
    assert {OF_READING[a] for a in (Shown.LOW, Shown.HIGH, Shown.FAR_TOO_HIGH)} == {3}
    page = (ROOT / "docs" / "reference" / "exit-codes.md").read_text()
    assert "`witnessmark band`" in page


@pytest.mark.parametrize("oil", ["-10C", "310F"])
def test_where_no_oil_is_known_it_cannot_tell(oil):
    done = asked("40psi", "900", oil)
    assert done.exit_code == 5
    assert "Cannot tell" in done.output


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--reading", "80psi"), "--rpm and --oil-temp"),
        (("--reading", "80psi", "--rpm", "900"), "--oil-temp: nothing is given"),
        (("--rpm", "900"), "--reading and --oil-temp"),
        (("--reading", "80", "--rpm", "900", "--oil-temp", "95C"), "'80' has no unit"),
        (("--reading", "80psi", "--rpm", "900", "--oil-temp", "95"), "'95' has no unit"),
        (("--reading", "80psi", "--rpm", "fast", "--oil-temp", "95C"), "--rpm"),
        (("--reading", "95 psia", "--rpm", "900", "--oil-temp", "95C"), "absolute pressure"),
        (("--out", "band.docx"), "ending '.docx'"),
        (("--units", "furlong"), "'furlong' is not offered"),
    ],
)
def test_a_wrong_word_is_one_clear_error(words, said):
    done = band(*words)
    assert done.exit_code == 2
    assert said in done.stderr


def test_a_sheet_whose_pressure_never_builds_is_refused(tmp_path):
    text = SHEET.replace(
        '"0.0022 in", "0.0021 in", "0.0023 in"', '"0.022 in", "0.021 in", "0.023 in"'
    )
    path = tmp_path / "wide.toml"
    path.write_text(text)
    done = CliRunner().invoke(app, ["band", str(path)])
    assert done.exit_code == 2
    assert "main_bearings.clearances[3]" in done.stderr
    assert "never builds" in done.stderr


def test_the_units_are_the_readers():
    done = asked("2.6 bar", "900", "203F", "--units", "bar,°F")
    assert "2.6 bar at 900 rpm on oil of 203 °F" in done.output
    assert "psi" not in done.output


def test_it_is_written_in_every_form_the_same_each_time(tmp_path):
    names = ("b.html", "b.json", "b.svg", "b.png")
    outs = [tmp_path / name for name in names]
    first = asked("38psi", "900", "95C", *(word for out in outs for word in ("--out", out)))
    assert first.exit_code == 0
    page = outs[0].read_text()
    assert "<svg" in page
    assert "rule of thumb, not this engine" in html.unescape(page).lower()
    data = json.loads(outs[1].read_text())
    assert data["format"] == "witnessmark-band/1"
    assert data["reading"]["answer"] == "right"
    five = data["reading"]["expected"]
    assert five == sorted(five)
    sizes = [len(data["pressure"]["values"]), len(data["pressure"]["values"][0])]
    assert sizes == [5, len(data["speed"]["values"])]
    assert outs[2].read_text().startswith("<svg")
    assert outs[3].read_bytes().startswith(b"\x89PNG")
    kept = [out.read_bytes() for out in outs]
    asked("38psi", "900", "95C", *(word for out in outs for word in ("--out", out)))
    assert [out.read_bytes() for out in outs] == kept


def test_a_calibrated_engine_has_the_narrower_band_and_says_so(tmp_path):
    path = calibration(tmp_path)
    done = asked("38psi", "900", "95C", "--calibration", path, "--out", tmp_path / "c.json")
    assert "calibrated on 1 log" in done.output
    asked("38psi", "900", "95C", "--out", tmp_path / "s.json")
    known, sheet = (json.loads((tmp_path / n).read_text()) for n in ("c.json", "s.json"))
    assert known["basis"] == "calibrated on 1 log of this engine"
    widths = [d["reading"]["expected"][3] - d["reading"]["expected"][1] for d in (known, sheet)]
    assert widths[0] < 0.3 * widths[1]


def test_another_engines_calibration_is_refused(tmp_path):
    done = band("--calibration", calibration(tmp_path, "TS-0001", "1" * 64))
    assert done.exit_code == 2
    assert "another build sheet" in done.stderr


def test_a_calibration_that_is_not_there_is_one_clear_error(tmp_path):
    done = band("--calibration", tmp_path / "none.json")
    assert done.exit_code == 2
    assert "none.json" in done.stderr


@pytest.fixture(scope="module")
def shop() -> Shop:
    return Shop()


@pytest.fixture(scope="module")
def page(shop) -> str:
    return shop.plan() + "/band"


def test_the_plan_leads_to_the_band_and_back(shop, page):
    plan = page.removesuffix("/band")
    assert f'href="{page}"' in shop.get(plan).text
    shown = shop.get(page)
    assert shown.status_code == 200
    assert f'href="{plan}"' in shown.text
    assert "<svg" in shown.text
    assert "Rule of thumb, not this engine's" in html.unescape(text_of(shown))


def test_a_reading_is_answered_on_the_page(shop, page):
    shown = shop.get(page, params={"reading": "5 psi", "rpm": "900", "oil": "95C"})
    assert shown.status_code == 200
    assert "Far too low: stop" in text_of(shown)
    assert "shut off" in text_of(shown)
    assert 'value="5 psi"' in shown.text


def test_what_is_missing_is_said_in_the_pages_words_and_nothing_is_lost(shop, page):
    shown = shop.get(page, params={"reading": "38 psi", "rpm": "", "oil": "95C"})
    assert shown.status_code == 400
    assert "Engine speed" in text_of(shown)
    assert "--rpm" not in shown.text
    assert 'value="38 psi"' in shown.text


def test_what_was_typed_comes_back_escaped(shop, page):
    shown = shop.get(page, params={"reading": "<b>9</b>", "rpm": "900", "oil": "95C"})
    assert shown.status_code == 400
    assert "<b>9</b>" not in shown.text


def test_a_frozen_plan_alone_has_no_band(shop, page):
    frozen = shop.get(page.replace("/band", "/plan.json")).content
    sent = shop.post("/plans", files={"file": ("plan.json", frozen)})
    path = sent.headers["location"]
    assert "/band" not in shop.get(path).text
    answer = shop.get(path + "/band")
    assert answer.status_code == 409
    assert "build sheet" in text_of(answer)


def test_a_plan_that_is_gone_is_said_to_be(shop):
    assert shop.get("/plans/nobody/band").status_code == 404
