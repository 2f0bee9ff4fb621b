"""How sure it is that a column is what it was taken for, and by what: words, unit, values."""

from witnessmark.logs.channels.measure import Measured, shown
from witnessmark.logs.channels.naming import matches, take_apart
from witnessmark.logs.channels.recognise import Claim
from witnessmark.model.channel import How, Sure


def sure_of(claim: Claim) -> Sure | None:
    """How sure a claim is; None for a column that is none of ours."""
    if claim.may_be:
        return Sure.ASKED
    if claim.entry is None:
        return Sure.CERTAIN if claim.how is How.TOLD else None
    if claim.how is How.TOLD:
        return Sure.CERTAIN
    return Sure.CERTAIN if claim.sure else Sure.LIKELY


def reasons(measured: Measured, doubt: str = "") -> tuple[str, ...]:
    """By what a column in use was told, one line each. `doubt`: what its values speak against."""
    claim, entry = measured.claim, measured.entry
    if claim.how is How.TOLD:
        return ("You said so",)
    said = [_by_words(claim)]
    if claim.how is How.ASSUMED_UNIT:
        said.append(f"Unit: none named; {shown(measured.taken)} told from values")
    elif claim.unit:
        where = "in its unit row or cells" if claim.column.unit else "in its name"
        said.append(f"Unit: {claim.unit}, {where}")
    else:
        said.append("Unit: none named and none needed")
    usual = "do not speak against it" if not doubt else f"are unusual: {doubt}"
    said.append(f"Values: all in what is possible for the {entry.channel.title.lower()}"
                if not doubt else f"Values: {usual}")  # fmt: skip
    return tuple(said)


def _by_words(claim: Claim) -> str:
    entry = claim.entry
    assert entry is not None
    for name in filter(None, (claim.column.name, claim.column.also)):
        for match in matches(take_apart(name, claim.column.unit)):
            if match.entry.channel.name == entry.channel.name:
                named = take_apart(name, claim.column.unit).words
                words = ", ".join(f"'{w}'" for w in named if w in match.phrase.words)
                return f"Words: {words} in its name"
    return "Words: its name"
