import json
import tomllib
from datetime import date, datetime
from pathlib import Path

import jsonschema
import pytest

from tests.model.sheets import HERON, LEAST, changed
from witnessmark.errors import UserError
from witnessmark.jobs.build import build_schema, load_build
from witnessmark.jobs.build_reference import PAGE, SCHEMA, build_reference, schema_text
from witnessmark.model.build import BuildSheet
from witnessmark.model.build_rules import default_rules
from witnessmark.model.build_sheet.paths import keys

ROOT = Path(__file__).parents[2]
REFERENCE = ROOT / "docs" / "reference"
REMAKE = "remake it: python -m witnessmark.jobs.build_reference docs/reference"


def test_the_demo_sheet_loads():
    sheet = load_build(ROOT / "demo" / "heron.toml")
    assert sheet.identity.serial == "TS-0417"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_text_as_editors_save_it(tmp_path, encoding):
    file = tmp_path / "a.toml"
    file.write_bytes(HERON.replace("\n", "\r\n").encode(encoding))
    assert load_build(file).identity.name == "Heron 24T"


@pytest.mark.parametrize(
    ("content", "found"),
    [
        (b"%PDF-1.7\n\xe2\xe3\xcf\xd3\n", "not plain text"),
        (b"\0\0\0\0", "not plain text"),
        ('bore = "55 µm"'.encode("cp1252"), "not plain text"),
        (b"\xff\xfe\0", "not plain text"),
        (b"# " + b"x" * 5_100_000, "too big"),
        (b"bore = 84 mm", "cannot be read"),
    ],
)
def test_what_is_no_build_sheet(tmp_path, content, found):
    file = tmp_path / "a.toml"
    file.write_bytes(content)
    with pytest.raises(UserError) as caught:
        load_build(file)
    assert found in caught.value.found
    assert "a.toml" in caught.value.where


def test_no_file_and_a_folder(tmp_path):
    with pytest.raises(UserError, match="no such file"):
        load_build(tmp_path / "none.toml")
    with pytest.raises(UserError, match="a folder"):
        load_build(tmp_path)


# --- schema ---


def _plain(value):
    """TOML knows dates, JSON writes them as text."""
    if isinstance(value, dict):
        return {key: _plain(one) for key, one in value.items()}
    if isinstance(value, list):
        return [_plain(one) for one in value]
    return value.isoformat() if isinstance(value, date | datetime) else value


def _accepts(text):
    checker = jsonschema.Draft202012Validator(
        build_schema(), format_checker=jsonschema.FormatChecker()
    )
    return checker.is_valid(_plain(tomllib.loads(text)))


def test_the_schema_is_a_schema():
    jsonschema.Draft202012Validator.check_schema(build_schema())


@pytest.mark.parametrize("text", [HERON, LEAST])
def test_sound_sheets_fit_the_schema(text):
    assert _accepts(text)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('bore = "84.00 mm"', "bore = 84.0"),
        ('bore = "84.00 mm"', 'bore = "84"'),
        ('bore = "84.00 mm"', 'bore = "not measured"'),
        ('bore = "84.00 mm"\n', ""),
        ('bore = "84.00 mm"', 'boar = "84.00 mm"'),
        ("cylinders = 5", 'cylinders = "5"'),
        ("cylinders = 5", "cylinders = 17"),
        ('follower = "bucket"', 'follower = "bukket"'),
        ("2026-11-02", "true"),
        ("2026-11-02", '"2 Nov"'),
        ('grade = "15W-40"\n', ""),
        ('["0.46 mm", ', "[0.46, "),
        ('rk = "0.75 µm", ', ""),
        ("[use]", "[used]"),
    ],
)
def test_faulty_sheets_do_not_fit_the_schema(old, new):
    assert HERON.count(old) >= 1
    assert not _accepts(HERON.replace(old, new, 1))


def test_not_measured_fits_where_a_value_may_be_left_out():
    finish = 'finish = { rpk = "0.24 µm", rk = "0.75 µm", rvk = "1.6 µm" }'
    assert _accepts(changed(HERON, (finish, 'finish = "not measured"')))
    assert _accepts(changed(HERON, ('lash_intake = "0.22 mm"', 'lash_intake = "not measured"')))


def test_the_published_schema_is_current():
    published = (REFERENCE / SCHEMA).read_text(encoding="utf-8")
    assert published == schema_text(), REMAKE
    assert json.loads(published)["title"]


# --- reference page ---


def test_the_reference_page_is_current():
    assert (REFERENCE / PAGE).read_text(encoding="utf-8") == build_reference(), REMAKE


def test_every_key_and_rule_is_on_the_page():
    page = build_reference()
    for path, info in keys(BuildSheet):
        section, _, key = path.partition(".")
        assert f"## [{section}]" in page
        assert not key or f"| `{key}` | {info.title} |" in page, path
    for window in default_rules().windows:
        assert window.why in page
