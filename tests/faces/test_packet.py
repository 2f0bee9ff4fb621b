"""Packet and answer as people ask for them: by command, and by the forms of the browser."""

import html
import io
import json
import re
import zipfile

import pytest
from typer.testing import CliRunner

from tests.faces.shop import DEMO, SHEET, Shop, made_log, text_of
from tests.jobs.packets import light
from witnessmark.cli.main import app
from witnessmark.jobs.build import load_build
from witnessmark.jobs.frozen import freeze, load_plan
from witnessmark.jobs.plan import make_plan

PHASE = "first-50-miles"
run = CliRunner().invoke


def command(*words):
    return run(app, [str(word) for word in words])


@pytest.fixture(scope="module")
def shop() -> Shop:
    return Shop()


@pytest.fixture(scope="module")
def bench(tmp_path_factory):
    """A folder with a log, a map and a frozen plan."""
    folder = tmp_path_factory.mktemp("bench")
    (folder / "drive.csv").write_bytes(made_log(top=4300))
    (folder / "map.bin").write_bytes(b"map seven")
    plan = make_plan(load_build(DEMO))
    (folder / "plan.json").write_text(json.dumps(freeze(plan)))
    return folder


def packed(bench, out, *more):
    with light(charts=False):
        return command(
            "packet", bench / "drive.csv", "--phase", PHASE, "--plan", bench / "plan.json",
            "--out", out, *more,
        )  # fmt: skip


def filled(text, decision="continue", **more):
    words = {"decision": decision, "signed_by": "Mirko Vale", "signed_on": "2026-11-05", **more}
    for key, value in words.items():
        text = text.replace(f'\n{key} = ""', f'\n{key} = "{value}"', 1)
    return text


@pytest.fixture(scope="module")
def packet(bench):
    out = bench / "packet.zip"
    done = packed(
        bench, out, "--map", "heron v7", "--map-file", bench / "map.bin", "--sheet", DEMO,
        "--tuner-units", "psi,F,mph,afr", "--note", "Listen to 3,000 rpm.",
    )  # fmt: skip
    assert done.exit_code == 0, done.stderr
    assert "Broken: engine speed ceiling" in done.output
    assert "heron v7" in done.output
    return out


def test_the_command_leaves_one_zip_that_zipfile_reads(packet):
    with zipfile.ZipFile(packet) as zipped:
        assert zipped.testzip() is None
        assert "Listen to 3,000 rpm." in zipped.read("1-first-page.txt").decode()
        assert b"engine_speed [rpm]" in zipped.read("4-log/log-tuner.csv")
    assert not packet.with_name("packet.zip.part").exists()


def test_nothing_is_written_over_unless_told(bench, packet):
    before = packet.read_bytes()
    done = packed(bench, packet)
    assert done.exit_code == 2
    assert "--force" in done.stderr
    assert packet.read_bytes() == before


def test_an_answer_makes_the_next_plan_and_the_next_packet_knows_it(bench, packet, tmp_path):
    text = filled(zipfile.ZipFile(packet).read("answer.toml").decode(), words="Go to 4400.")
    text += f'\n[ceilings.{PHASE}]\nengine_speed = "4400 rpm"\n'
    (tmp_path / "answer.toml").write_text(text, encoding="utf-8")
    outs = [tmp_path / name for name in ("plan-2.json", "plan-2.html", "plan-2.pdf")]
    done = command(
        "answer", tmp_path / "answer.toml", "--plan", bench / "plan.json", "--packet", packet,
        "--map-file", bench / "map.bin", *(w for out in outs for w in ("--out", out)),
    )  # fmt: skip
    assert done.exit_code == 0, done.stderr
    assert "higher than before. It was 4,000 rpm" in " ".join(done.output.replace("┃", "").split())
    assert load_plan(outs[0]).phase(PHASE).ceilings["engine_speed"].authority.owner == "Mirko Vale"
    page = text_of_file(outs[1])
    for words in ("What the tuner answered", "Go to 4400.", "Mirko Vale", "heron v7", "4,000 rpm"):
        assert words in page, words
    assert outs[2].read_bytes().startswith(b"%PDF-")
    judged = command("review", bench / "drive.csv", "--plan", outs[0], "--phase", PHASE)
    assert "Mirko Vale" in judged.output
    with light(charts=False):
        again = command("packet", bench / "drive.csv", "--phase", PHASE, "--plan", outs[0],
                        "--out", tmp_path / "p2.zip")  # fmt: skip
    assert again.exit_code == 0, again.stderr
    first = zipfile.ZipFile(tmp_path / "p2.zip").read("1-first-page.txt").decode()
    assert "YOUR LAST ANSWER" in first
    assert "Go to 4400." in first


def text_of_file(path):
    bare = re.sub(r"<style>.*?</style>|<[^>]*>", " ", path.read_text("utf-8"), flags=re.DOTALL)
    return " ".join(bare.split())


def test_after_a_stop_review_and_packet_say_so_at_once(bench, packet, tmp_path):
    text = zipfile.ZipFile(packet).read("answer.toml").decode()
    (tmp_path / "a.toml").write_text(filled(text, "stop", words="Noise."), encoding="utf-8")
    stop = tmp_path / "stop.json"
    done = command("answer", tmp_path / "a.toml", "--plan", bench / "plan.json", "--out", stop)
    assert done.exit_code == 0, done.stderr
    for asked in (
        command("review", bench / "drive.csv", "--plan", stop, "--phase", PHASE),
        command("packet", bench / "drive.csv", "--plan", stop, "--phase", PHASE,
                "--out", tmp_path / "z.zip"),
    ):  # fmt: skip
        assert asked.exit_code == 2
        assert "STOPPED by the tuner, Mirko Vale, on 2026-11-05: Noise." in asked.stderr
    assert not (tmp_path / "z.zip").exists()


def test_an_answer_to_another_log_is_refused(bench, packet, tmp_path):
    text = filled(zipfile.ZipFile(packet).read("answer.toml").decode())
    (tmp_path / "a.toml").write_text(text, encoding="utf-8")
    (tmp_path / "other.csv").write_bytes(made_log())
    done = command("answer", tmp_path / "a.toml", "--plan", bench / "plan.json",
                   "--log", tmp_path / "other.csv", "--out", tmp_path / "plan.json")  # fmt: skip
    assert done.exit_code == 2
    assert "it answers log" in done.stderr
    assert not (tmp_path / "plan.json").exists()


def test_an_empty_answer_can_be_written_for_a_plan(bench, tmp_path):
    blank = tmp_path / "answer.toml"
    done = command("answer", "--plan", bench / "plan.json", "--blank", blank)
    assert done.exit_code == 0, done.stderr
    (tmp_path / "filled.toml").write_text(filled(blank.read_text(), "stop", words="Noise."))
    done = command("answer", tmp_path / "filled.toml", "--plan", bench / "plan.json")
    assert done.exit_code == 0, done.stderr
    assert "STOP: do not start this engine" in done.output


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["--tuner-units", "furlong"], "'furlong' is not offered"),
        (["--include-map"], "no map file was given"),
        (["--map-file", "no-such.bin"], "there is no such file"),
        (["--build", DEMO], "one of --build FILE and --plan FILE"),
    ],
)
def test_what_cannot_be_packed_is_said_before_any_work(bench, tmp_path, more, said):
    done = packed(bench, tmp_path / "p.zip", *more)
    assert done.exit_code == 2
    assert said in done.stderr
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("damage", ["not a zip", "cut"])
def test_a_damaged_packet_gives_one_clear_error(bench, packet, tmp_path, damage):
    raw = packet.read_bytes()
    (tmp_path / "p.zip").write_bytes(raw[: len(raw) // 2] if damage == "cut" else b"hello")
    (tmp_path / "a.toml").write_text(
        filled(zipfile.ZipFile(packet).read("answer.toml").decode()), encoding="utf-8"
    )
    done = command("answer", tmp_path / "a.toml", "--plan", bench / "plan.json",
                   "--packet", tmp_path / "p.zip")  # fmt: skip
    assert done.exit_code == 2
    assert "cannot be read as a packet" in done.stderr


# The browser


@pytest.fixture(scope="module")
def plan(shop) -> str:
    return shop.plan()


@pytest.fixture(scope="module")
def verdict(shop, plan) -> str:
    fields = {"phase": PHASE, "columns": ""}
    log = {"log": ("drive.csv", made_log(top=4300))}
    return shop.post(plan + "/drive", data=fields, files=log).headers["location"]


def test_the_verdict_leads_to_the_packet_and_the_form_makes_it(shop, verdict):
    assert f'href="{verdict}/packet"' in shop.get(verdict).text
    form = shop.get(verdict + "/packet")
    assert form.status_code == 200
    assert "drive.csv" in text_of(form)
    fields = {"map": "v7", "note": "Hello.", "pressure": "bar", "temperature": "°C",
              "distance": "km", "mixture": "lambda", "include_map": "yes"}  # fmt: skip
    with light(charts=False):
        sent = {"map_file": ("m.bin", b"map seven")}
        answer = shop.post(verdict + "/packet", data=fields, files=sent)
    assert answer.status_code == 200, text_of(answer)
    assert answer.headers["content-type"] == "application/zip"
    assert answer.headers["content-disposition"].startswith('attachment; filename="TS-0417-')
    zipped = zipfile.ZipFile(io.BytesIO(answer.content))
    assert zipped.testzip() is None
    assert zipped.read("8-map/v7") == b"map seven"
    assert zipped.read("7-original/drive.csv") == made_log(top=4300)
    assert b"manifold_pressure [bar abs]" in zipped.read("4-log/log-tuner.csv")
    assert b"Hello." in zipped.read("1-first-page.txt")


@pytest.mark.parametrize(
    ("fields", "said"),
    [({"include_map": "yes", "note": "Kept?"}, "no file was chosen"),
     ({"pressure": "furlong", "note": "Kept?"}, "not offered")],
)  # fmt: skip
def test_a_packet_that_cannot_be_made_says_why_and_keeps_what_was_typed(
    shop, verdict, fields, said
):
    whole = {"pressure": "psi", "temperature": "°C", "distance": "km", "mixture": "AFR", **fields}
    answer = shop.post(verdict + "/packet", data=whole)
    assert answer.status_code == 400
    assert said in text_of(answer)
    assert "Kept?" in answer.text


FORM = {"decision": "continue", "map_name": "v7", "checksum": "0011AAff", "words": "Go on.",
        "signed_by": "Mirko Vale", "signed_on": "2026-11-05"}  # fmt: skip


def test_the_form_takes_an_answer_and_a_new_plan_comes_out(shop, plan, verdict):
    assert f'href="{plan}/answer"' in shop.get(plan).text
    name = verdict.rpartition("/")[2]
    assert f'href="{plan}/answer?review={name}"' in shop.get(verdict).text
    form = shop.get(f"{plan}/answer?review={name}")
    log = re.search(r'name="log_sha256" value="([0-9a-f]{64})"', form.text)[1]
    fields = {**FORM, "log_sha256": log, f"{PHASE}/engine_speed": "4400 rpm"}
    answer = shop.post(plan + "/answer", data=fields)
    assert answer.status_code == 303, text_of(answer)
    later = answer.headers["location"]
    assert later != plan
    page = text_of(shop.get(later))
    for words in ("What the tuner answered", "Mirko Vale", "4,400 rpm", "Go on.", "0011aaff"):
        assert words in page, words
    frozen = shop.get(later + "/plan.json").json()
    assert frozen["plan"]["answers"][0]["log_sha256"] == log
    assert "What the tuner answered" not in text_of(shop.get(plan))  # the one before stays


def test_a_file_with_its_packet_and_map_is_held_against_them(shop, plan, bench, verdict):
    sheet = {"map": "v7", "pressure": "psi", "temperature": "°C", "distance": "km",
             "mixture": "AFR"}  # fmt: skip
    with light(charts=False):
        made = shop.post(verdict + "/packet", data=sheet, files={"map_file": ("m.bin", b"seven")})
    text = filled(zipfile.ZipFile(io.BytesIO(made.content)).read("answer.toml").decode())
    files = {"answer": ("answer.toml", text.encode()), "packet_file": ("p.zip", made.content),
             "map_file": ("m.bin", b"seven")}  # fmt: skip
    assert shop.post(plan + "/answer", files=files).status_code == 303
    files["map_file"] = ("m.bin", b"eight")
    refused = shop.post(plan + "/answer", files=files)
    assert refused.status_code == 400
    assert "is not the map file given here" in text_of(refused)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"decision": ""}, "'continue', 'new map', 'repeat the log' or 'stop' is wanted"),
        ({f"{PHASE}/engine_speed": "9000 rpm"}, "over the engine's redline"),
        ({"checksum": "xyz"}, "is not a CRC32"),
        ({"signed_by": "", "words": "<script>"}, "signed_by is empty"),
    ],
)
def test_a_form_that_cannot_be_taken_says_why_and_keeps_what_was_typed(shop, plan, change, said):
    answer = shop.post(plan + "/answer", data={**FORM, **change})
    assert answer.status_code == 400
    assert said in html.unescape(text_of(answer))
    assert 'value="v7"' in answer.text
    assert "<script>" not in answer.text
    for value in change.values():
        assert not value or value.replace("<", "&lt;").replace(">", "&gt;") in answer.text


def test_a_file_and_a_filled_in_form_at_once_are_one_too_many(shop, plan):
    answer = shop.post(plan + "/answer", data=FORM, files={"answer": ("a.toml", b"x")})
    assert answer.status_code == 400
    assert "one of them is wanted" in text_of(answer)


@pytest.mark.parametrize("sent", [b"", b"\xff\xfe\x00", b"not toml [", b"PK\x03\x04"])
def test_a_file_that_is_no_answer_is_refused_with_its_name(shop, plan, sent):
    answer = shop.post(plan + "/answer", files={"answer": ("odd.toml", sent)})
    assert answer.status_code == 400


def test_a_stopped_plan_says_so_on_its_page_and_takes_no_log(shop, plan):
    fields = {"decision": "stop", "words": "Noise.", "signed_by": "Mirko Vale",
              "signed_on": "2026-11-05"}  # fmt: skip
    later = shop.post(plan + "/answer", data=fields).headers["location"]
    assert "STOPPED by the tuner" in text_of(shop.get(later))
    assert "Noise" in text_of(shop.get(later + "/drive"))
    answer = shop.post(
        later + "/drive", data={"phase": PHASE}, files={"log": ("d.csv", made_log())}
    )
    assert answer.status_code == 400
    assert "STOPPED by the tuner, Mirko Vale" in text_of(answer)


def test_what_is_gone_says_so(shop, plan):
    for path in ("/reviews/gone/packet", "/plans/gone/answer"):
        assert shop.get(path).status_code == 404
        assert shop.post(path, data=FORM).status_code == 404
    assert shop.get(plan.replace("/plans/", "/reviews/") + "/packet").status_code == 404


def test_a_plan_sent_frozen_can_be_answered_too(shop):
    frozen = shop.get(shop.plan(SHEET) + "/plan.json").content
    path = shop.post("/plans", files={"file": ("plan.json", frozen)}).headers["location"]
    assert shop.post(path + "/answer", data=FORM).status_code == 303
