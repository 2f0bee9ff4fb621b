"""What a shop keeps: never twice, never half, and a damaged record is said and left alone."""

import json
from concurrent.futures import ThreadPoolExecutor

import pytest

from witnessmark.errors import UserError
from witnessmark.records import originals, shop, told
from witnessmark.records.shop import add_line, open_shop, read_lines, writing

FORM, KEYS = "witnessmark test 1", ("n",)


@pytest.fixture
def folder(tmp_path):
    return open_shop(tmp_path / "shop")


def test_a_folder_is_made_and_known_again(tmp_path):
    made = open_shop(tmp_path / "a" / "shop")
    assert json.loads((made.path / "shop.json").read_text())["format"] == "witnessmark shop 1"
    assert open_shop(tmp_path / "a" / "shop") == made


def test_a_folder_with_other_things_is_not_taken(tmp_path):
    (tmp_path / "letters.txt").write_text("dear")
    with pytest.raises(UserError, match="holds other things"):
        open_shop(tmp_path)
    with pytest.raises(UserError, match="this is a file"):
        open_shop(tmp_path / "letters.txt")
    with pytest.raises(UserError, match="no such folder"):
        open_shop(tmp_path / "none", make=False)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["letters.txt"]


def test_a_folder_of_a_later_version_is_left_alone(folder):
    (folder.path / "shop.json").write_text('{"format": "witnessmark shop 2"}')
    with pytest.raises(UserError, match="not written as this version writes it"):
        open_shop(folder.path)


def test_lines_come_back_in_order(folder):
    path = folder.path / "x.jsonl"
    for n in range(3):
        add_line(path, FORM, KEYS, {"n": n, "text": "Kühlmittel\n\ud800"})
    assert [line["n"] for line in read_lines(path, FORM, KEYS)] == [0, 1, 2]
    assert read_lines(folder.path / "none.jsonl", FORM, KEYS) == []


@pytest.mark.parametrize(
    ("damage", "said"),
    [
        (lambda b: b[:-1], "line 3.*cut off"),
        (lambda b: b[:-4], "line 3.*cut off"),
        (lambda b: b.replace(b'"n": 0', b'"m": 0'), "line 2.*it has no n"),
        (lambda b: b.replace(b"{", b"(", 2), "line 1.*it is no JSON"),
        (lambda b: b.replace(b'{"n": 0}', b"[]"), "line 2.*it is no record"),
        (lambda b: b.replace(b"test 1", b"test 2"), "not written as this version"),
        (lambda b: b"\xff" + b, "it is no text"),
        (lambda b: b"", "not written as this version"),
    ],
)
def test_a_damaged_record_is_said_and_nothing_is_written_over_it(folder, damage, said):
    path = folder.path / "x.jsonl"
    add_line(path, FORM, KEYS, {"n": 0})
    add_line(path, FORM, KEYS, {"n": 1})
    path.write_bytes(damage(path.read_bytes()))
    before = path.read_bytes()
    with pytest.raises(UserError, match=said):
        read_lines(path, FORM, KEYS)
    with pytest.raises(UserError, match=said):
        add_line(path, FORM, KEYS, {"n": 2})
    assert path.read_bytes() == before


def test_cut_off_while_writing_the_old_record_stands(folder, monkeypatch):
    path = folder.path / "x.jsonl"
    add_line(path, FORM, KEYS, {"n": 0})

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(shop.os, "fsync", full)
    with pytest.raises(UserError, match="No space left"):
        add_line(path, FORM, KEYS, {"n": 1})
    assert [line["n"] for line in read_lines(path, FORM, KEYS)] == [0]
    assert not list(folder.path.glob(".*.part"))


def test_writers_wait_for_each_other(folder):
    path = folder.path / "x.jsonl"

    def write(n: int) -> None:
        with writing(folder):
            add_line(path, FORM, KEYS, {"n": n})

    with ThreadPoolExecutor(4) as pool:
        list(pool.map(write, range(40)))
    assert sorted(line["n"] for line in read_lines(path, FORM, KEYS)) == list(range(40))


# --- originals --------------------------------------------------------------------------------

# FIPS 180-4, the one-block example message "abc" (NIST's worked examples of SHA-256).
ABC = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


def test_bytes_are_kept_under_their_hash_once(folder):
    assert originals.keep_original(folder, b"abc", "drive.csv", "2026-11-25") == ABC
    path = originals.original_path(folder, ABC)
    stamp = path.stat().st_mtime_ns
    originals.keep_original(folder, b"abc", "copy of drive.csv", "2026-11-26")
    assert path.stat().st_mtime_ns == stamp
    assert path == folder.path / "originals" / "ba" / ABC
    assert originals.original(folder, ABC) == b"abc"
    about = json.loads(path.with_name(ABC + ".json").read_text())
    assert about == {"name": "drive.csv", "came_on": "2026-11-25", "bytes": 3}


def test_a_changed_original_is_noticed_and_not_written_over(folder):
    originals.keep_original(folder, b"abc", "drive.csv", "2026-11-25")
    path = originals.original_path(folder, ABC)
    path.write_bytes(b"abd")
    for act in (
        lambda: originals.original(folder, ABC),
        lambda: originals.keep_original(folder, b"abc", "drive.csv", "2026-11-25"),
    ):
        with pytest.raises(UserError, match="not those that were kept"):
            act()
    assert path.read_bytes() == b"abd"


@pytest.mark.parametrize("digest", ["0" * 64, "../../etc", "abc", "G" * 64])
def test_an_original_that_is_not_kept(folder, digest):
    with pytest.raises(UserError, match=r"no such original|no SHA-256"):
        originals.original(folder, digest)


# --- what was said of columns -----------------------------------------------------------------


def test_corrections_are_remembered_by_layout_and_the_later_holds(folder):
    told.remember(folder, "one", ["A=lambda:AFR", "B=ignore"], "2026-11-20")
    told.remember(folder, "two", ["A=ignore"], "2026-11-21")
    told.remember(folder, "one", ["A=lambda:AFR E85", "B=ignore"], "2026-11-25")
    assert told.remembered(folder, "one") == [
        ("B=ignore", "2026-11-20"), ("A=lambda:AFR E85", "2026-11-25"),
    ]  # fmt: skip
    assert told.remembered(folder, "two") == [("A=ignore", "2026-11-21")]
    assert told.remembered(folder, "three") == []


def test_what_is_forgotten_is_not_applied_and_the_record_still_has_it(folder):
    told.remember(folder, "one", ["A=ignore"], "2026-11-20")
    assert told.forget(folder, "one", "2026-11-21") == 1
    assert told.forget(folder, "one", "2026-11-21") == 0
    assert told.remembered(folder, "one") == []
    assert "A=ignore" in (folder.path / "told.jsonl").read_text()
    told.remember(folder, "one", ["A=lambda:AFR"], "2026-11-22")
    assert told.remembered(folder, "one") == [("A=lambda:AFR", "2026-11-22")]
