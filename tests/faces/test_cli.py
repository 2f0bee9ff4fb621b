"""The commands as a user types them."""

import json
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner

from tests.faces.learned import calibration
from witnessmark.cli.exit_codes import OF_ANSWER
from witnessmark.cli.main import app
from witnessmark.cli.reference import command_paths, command_reference
from witnessmark.jobs.build import build_schema
from witnessmark.model.finding import Answer

ROOT = Path(__file__).parents[2]
HERON = ROOT / "demo" / "heron.toml"
run = CliRunner().invoke


@pytest.fixture(scope="module")
def drive(tmp_path_factory):
    path = tmp_path_factory.mktemp("drive") / "drive.csv"
    subprocess.run([sys.executable, ROOT / "demo" / "drive.py", path], check=True)
    return path


def command(*words):
    return run(app, [str(word) for word in words])


def reviewed(drive, *more):
    return command("review", drive, "--build", HERON, "--phase", "first-50-miles", *more)


def test_build_check_says_what_the_engine_is():
    done = command("build", "check", HERON)
    assert done.exit_code == 0
    assert "inline 5, 2,438 cm³, turbocharged, bucket cams" in done.output


def test_build_check_names_every_fault_at_once(tmp_path):
    sheet = HERON.read_text()
    sheet = sheet.replace('top_gaps = ["0.46 mm"', 'top_gaps = ["0.20 mm"')
    sheet = sheet.replace('end_float = "0.15 mm"', 'end_float = "0.40 mm"')
    sheet = sheet.replace('redline = "7000 rpm"', 'redline = "3900 rpm"')
    sheet = sheet.replace('clearances = ["0.0021 in"', 'clearances = ["-0.0003 in"')
    path = tmp_path / "bad.toml"
    path.write_text(sheet)
    done = command("build", "check", path)
    assert done.exit_code == 2
    for words in ("ring gap", "End float", "redline", "rod bearing 1"):
        assert words.lower() in done.stderr.lower(), words


def test_build_schema_is_the_published_one():
    assert json.loads(command("build", "schema").output) == build_schema()


def test_what_is_left_out_is_listed_as_assumed(tmp_path):
    lines = [line for line in HERON.read_text().splitlines() if "rod_length" not in line]
    path = tmp_path / "short.toml"
    path.write_text("\n".join(lines))
    done = command("build", "check", path)
    assert done.exit_code == 0
    assert "assumed" in done.output
    assert "layout.rod_length" in done.output


def test_plan_is_written_in_every_form(tmp_path):
    outs = [tmp_path / name for name in ("plan.pdf", "plan.html", "plan.json")]
    done = command("plan", HERON, *(word for out in outs for word in ("--out", out)))
    assert done.exit_code == 0
    assert outs[0].read_bytes().startswith(b"%PDF")
    assert "TS-0417" in outs[1].read_text()
    assert json.loads(outs[2].read_text())["plan"]["serial"] == "TS-0417"
    assert "TS-0417" in done.output


def test_the_plan_gives_its_reasons_when_asked():
    short, whole = command("plan", HERON).output, command("plan", HERON, "--why").output
    assert "add --why" in short
    assert "WHY, AND WHO SAYS SO" in whole
    assert len(whole) > 1.5 * len(short)


def test_the_other_school_is_a_word_away():
    done = command("plan", HERON, "--school", "load early")
    assert done.exit_code == 0
    assert "road-boosted-load-early" in done.output


@pytest.fixture(scope="module")
def plain(drive):
    """The demo drive judged by the build sheet, nothing else asked for."""
    return reviewed(drive)


def test_review_of_the_demo_drive_is_broken_by_one_ceiling(plain):
    assert plain.exit_code == OF_ANSWER[Answer.BROKEN] == 3
    assert "Broken: engine speed ceiling" in plain.output
    assert "Engine braking" in plain.output


def test_review_by_a_frozen_plan_gives_the_same_verdict(drive, plain, tmp_path):
    plan = tmp_path / "plan.json"
    command("plan", HERON, "--out", plan, "--quiet")
    by_plan = command("review", drive, "--plan", plan, "--phase", "first-50-miles")
    assert by_plan.exit_code == 3
    assert by_plan.output == plain.output


def test_a_plan_with_a_changed_byte_is_refused(drive, tmp_path):
    plan = tmp_path / "plan.json"
    command("plan", HERON, "--out", plan, "--quiet")
    plan.write_text(plan.read_text().replace("TS-0417", "TS-0418", 1))
    done = command("review", drive, "--plan", plan, "--phase", "first-50-miles")
    assert done.exit_code == 2
    assert "changed after it was made" in done.stderr


def test_review_is_written_in_every_form(drive, tmp_path):
    outs = [tmp_path / name for name in ("v.pdf", "v.html", "v.json")]
    reviewed(drive, "--quiet", *(word for out in outs for word in ("--out", out)))
    assert outs[0].read_bytes().startswith(b"%PDF")
    assert "<svg" in outs[1].read_text()
    assert json.loads(outs[2].read_text())["answer"] == "broken"


def test_units_are_changed_for_one_reader(drive):
    done = reviewed(drive, "--units", "bar,°F,km,AFR,mm")
    assert "Highest 190 °F, ceiling 221 °F" in done.output  # 88 and 105 °C
    assert " psi" not in done.output.split("LINE BY LINE")[1].split("HOW THE FILE WAS READ")[0]


def test_a_column_can_be_put_right_by_name(drive):
    done = reviewed(drive, "--channel", "Pedal [%]=ignore")
    assert "told by you" in done.output


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--units", "furlong"], "'furlong' is not offered"),
        (["--out", "verdict.docx"], "ending '.docx'"),
        (["--out", "no/such/folder/v.pdf"], "there is no folder"),
        (["--channel", "Pedal [%]=peddle:%"], "pedal_position"),
        (["--recipe", "no-such"], "known recipes are"),
    ],
)
def test_a_wrong_word_is_one_clear_error(drive, words, said):
    done = reviewed(drive, *words)
    assert done.exit_code == 2
    assert said in done.stderr


def test_a_review_needs_a_sheet_or_a_plan(drive):
    done = command("review", drive, "--phase", "first-50-miles")
    assert done.exit_code == 2
    assert "one of --build FILE and --plan FILE" in done.stderr


def test_an_unknown_phase_lists_the_known_ones(drive):
    done = command("review", drive, "--build", HERON, "--phase", "nonsense")
    assert done.exit_code == 2
    assert "first-heat, first-50-miles" in done.stderr


def test_nothing_is_written_when_the_input_is_bad(tmp_path):
    empty = tmp_path / "empty.csv"
    empty.touch()
    out = tmp_path / "v.html"
    assert reviewed(empty, "--out", out).exit_code == 2
    assert list(tmp_path.iterdir()) == [empty]


def test_a_shop_copies_edits_checks_and_uses_a_recipe(tmp_path, drive):
    made = command(
        "recipe", "copy", "road-boosted-gentle", tmp_path, "--id", "tarn-street", "--owner", "Tarn"
    )
    assert made.exit_code == 0
    path = tmp_path / "tarn-street.toml"
    limit = 'value = "4000 rpm", range = ["3500 rpm", "4000 rpm"]'
    assert limit in path.read_text()
    path.write_text(path.read_text().replace(limit, limit.replace("4000", "4300")))
    assert command("recipe", "check", path).exit_code == 0
    done = reviewed(drive, "--recipe", path)
    assert "ceiling 4,300 rpm" in done.output
    assert "Tarn, common practice" in done.output


def test_recipes_are_listed_and_shown():
    assert "road-boosted-gentle" in command("recipe", "list").output.replace("\n", "")
    assert 'id = "diesel"' in command("recipe", "show", "diesel").output


def test_a_broken_recipe_names_its_faults(tmp_path):
    path = tmp_path / "bad.toml"
    path.write_text('id = "x"\n')
    done = command("recipe", "check", path)
    assert done.exit_code == 2
    assert "things to put right" in done.stderr


@pytest.mark.parametrize("path", list(command_paths(app)), ids=" ".join)
def test_every_command_has_help(path):
    done = command(*path, "--help")
    assert done.exit_code == 0
    assert len(done.output.split("Options:")[0].strip().splitlines()) > 1


def test_the_command_reference_is_current():
    # Remake it with: python -m witnessmark.cli.reference docs/reference/commands.md
    page = ROOT / "docs" / "reference" / "commands.md"
    assert page.read_text(encoding="utf-8") == command_reference()


def test_the_verdict_names_what_its_pressures_rest_on(drive, tmp_path):
    learned = calibration(tmp_path)
    plan = tmp_path / "plan.json"
    assert command("plan", HERON, "--quiet", "--out", plan).exit_code == 0
    by_sheet, known, both = (
        " ".join(command("review", drive, "--phase", "first-50-miles", *words).output.split())
        for words in (
            ("--build", HERON),
            ("--build", HERON, "--calibration", learned),
            ("--plan", plan, "--build", HERON, "--calibration", learned),
        )
    )
    assert "band, from the build sheet alone" in by_sheet
    assert "band, calibrated on 1 log of this engine" in known
    assert "band, calibrated on 1 log of this engine" in both


def test_a_plan_made_with_a_calibration_keeps_it(drive, tmp_path):
    plan = tmp_path / "plan.json"
    done = command("plan", HERON, "--calibration", calibration(tmp_path), "--out", plan)
    assert "calibrated on 1 log of this engine" in " ".join(done.output.split())
    done = command("review", drive, "--plan", plan, "--phase", "first-50-miles")
    assert "calibrated on 1 log of this engine" in " ".join(done.output.split())


@pytest.mark.parametrize("words", [("--build", HERON), ("--plan", "plan.json")])
def test_a_calibration_of_another_build_or_without_its_sheet_is_refused(drive, tmp_path, words):
    plan = tmp_path / "plan.json"
    assert command("plan", HERON, "--quiet", "--out", plan).exit_code == 0
    words = [plan if word == "plan.json" else word for word in words]
    other = calibration(tmp_path, "TS-0001", "1" * 64)
    done = command("review", drive, "--phase", "first-50-miles", *words, "--calibration", other)
    assert done.exit_code == 2
    said = "another build sheet" if words[0] == "--build" else "without its build sheet"
    assert said in " ".join(done.stderr.split())
