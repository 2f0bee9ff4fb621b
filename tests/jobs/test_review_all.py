"""Many logs in one go: each gets its line, in order, and a bad one stops no other."""

from pathlib import Path

import pytest

from tests.faces.shop import DEMO, made_log
from witnessmark.errors import UserError
from witnessmark.jobs import review_all as many
from witnessmark.jobs.build import load_build
from witnessmark.jobs.plan import make_plan
from witnessmark.jobs.review import review
from witnessmark.jobs.review_all import Order, judge_one, logs_in, review_all
from witnessmark.logs.read import read_log
from witnessmark.model.finding import Answer

PHASE = "first-50-miles"


@pytest.fixture(scope="module")
def order() -> Order:
    return Order(make_plan(load_build(DEMO), films=False), PHASE)


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    """A sound drive, one over the ceiling, no log at all, and the first again."""
    place = tmp_path_factory.mktemp("drives")
    (place / "1.csv").write_bytes(made_log())
    (place / "2.csv").write_bytes(made_log(top=6900))
    (place / "3.csv").write_text("hello")
    (place / "4.csv").write_bytes(made_log())
    return place


@pytest.fixture(scope="module")
def batch(order, folder):
    return review_all(order, logs_in([folder]), jobs=1)


def test_each_line_says_what_a_review_of_its_log_alone_says(order, folder, batch):
    for line in (batch.logs[0], batch.logs[1]):
        alone = review(order.plan, PHASE, read_log(folder / line.name)).verdict
        assert line.verdict.answer is alone.answer
        assert line.broken == sum(f.answer is Answer.BROKEN for f in alone.findings)
    assert batch.logs[0].broken < batch.logs[1].broken


def test_lines_stand_in_the_order_of_the_files_whoever_finishes_first(
    order, folder, batch, monkeypatch
):
    monkeypatch.setattr(many, "_WORTH_A_PROCESS", 1)  # two processes for four logs
    names = [line.name for line in batch.logs]
    assert names == ["1.csv", "2.csv", "3.csv", "4.csv"]
    parallel = review_all(order, logs_in([folder]), jobs=2)
    assert [line.name for line in parallel.logs] == names
    assert [line.verdict for line in parallel.logs] == [line.verdict for line in batch.logs]
    assert str(parallel.logs[2].fault) == str(batch.logs[2].fault)


def test_a_bad_log_is_one_line_with_its_fault(batch):
    bad = batch.logs[2]
    assert bad.verdict is None and bad.drive is None
    assert "no columns in it" in str(bad.fault)


def test_the_same_file_twice_counts_once(batch):
    assert batch.logs[3].drive.twin_of == batch.logs[0].drive.sha256
    counted = [batch.logs[0].drive, batch.logs[1].drive]
    assert batch.totals.running == pytest.approx(sum(d.running for d in counted))
    assert batch.totals.twins == 1


def test_stopped_from_the_keyboard_what_is_done_is_kept(order, folder):
    def stop(done: int) -> None:
        if done == 2:
            raise KeyboardInterrupt

    batch = review_all(order, logs_in([folder]), jobs=1, done=stop)
    assert [line.name for line in batch.logs] == ["1.csv", "2.csv"]
    assert batch.left == ("3.csv", "4.csv")


def test_a_folder_without_files_is_told_of(tmp_path):
    with pytest.raises(UserError, match="no file in this folder"):
        logs_in([tmp_path])


def test_a_file_that_is_not_there_is_a_line_not_an_end(order, tmp_path):
    assert "No such file" in str(judge_one(order, tmp_path / "gone.csv").fault)
