"""The headline: first what decides the answer, then what else is open."""

import pytest

from witnessmark.model.finding import Answer, Finding, Verdict
from witnessmark.model.log import Source
from witnessmark.model.said import Said
from witnessmark.report.verdict.view import headline

B, T, N, K = Answer.BROKEN, Answer.TOO_LITTLE, Answer.NOT_SHOWN, Answer.KEPT
SOURCE = Source("a.csv", "0" * 64, 1, 1)


def verdict(*lines: tuple[str, Answer, bool]) -> Verdict:
    found = tuple(Finding(t.lower(), t, a, Said("-"), required) for t, a, required in lines)
    return Verdict("phase", found, SOURCE)


CASES = [
    (
        [("Engine speed ceiling", B, True), ("A", T, True), ("C", T, True),
         ("D", N, False), ("E", N, True), ("F", N, False)],
        "Broken: engine speed ceiling. 2 lines too little shown, 3 not shown.",
    ),
    ([("Boost ceiling", B, False), ("A", K, True)], "Broken: boost ceiling."),
    (
        [("Oil pressure", N, True), ("EGT limit", N, True), ("Knock", N, False), ("X", T, True)],
        "Not shown: oil pressure and EGT limit. 1 line too little shown, 1 not shown.",
    ),
    ([("Oil", N, True), ("Knock", N, False)], "Not shown: oil. 1 more line not shown."),
    (
        [("Engine braking", T, True), ("Pulls", T, True), ("Variety", T, True), ("Time", T, True)],
        "Too little shown: engine braking, pulls, variety and 1 more.",
    ),
    (
        [("Speed", K, True), ("Boost", K, True), ("Oil", N, False)],
        "Kept: all 2 lines this phase requires. 1 line not shown.",
    ),
    ([("Speed", K, True)], "Kept: the one line this phase requires."),
    (
        [("Oil", N, False)],
        "Not shown: the log holds nothing that this phase requires. 1 line not shown.",
    ),
    ([], "Not shown: the log holds nothing that this phase requires."),
]  # fmt: skip


@pytest.mark.parametrize(("lines", "expected"), CASES)
def test_headline(lines, expected):
    assert headline(verdict(*lines)) == expected


@pytest.mark.parametrize("answer", [B, T, N])
def test_only_a_kept_verdict_says_kept(answer):
    said = headline(verdict(("Speed", K, True), ("Line", answer, True)))
    assert "kept" not in said.lower()
    assert said.lower().startswith(answer.value)
