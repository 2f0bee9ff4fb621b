"""Whether a row of units stands under the names it was written for."""

from collections.abc import Sequence

from witnessmark.errors import UserError
from witnessmark.logs.channels.naming import unit_fits
from witnessmark.logs.channels.recognise import Claim
from witnessmark.logs.channels.vocabulary import vocabulary
from witnessmark.model.channel import How

_FEW, _SHARE = 2, 0.2  # so many names, and this share of them, beside units of another kind


def refuse_out_of_step(name: str, claimed: Sequence[Claim]) -> None:
    """Raise UserError when many names have units of another kind under them.

    A header that lost or gained a name stands one column off its units, and off the readings.
    """
    kinds = vocabulary().entries
    stated = [c for c in claimed if c.column.unit and c.how is not How.TOLD]
    fit = [c for c in stated if c.entry is not None]
    off = [
        c for c in stated
        if c.may_be and not unit_fits(c.column.unit, kinds[c.may_be].channel.kind)
    ]  # fmt: skip
    if len(off) < _FEW or len(off) < _SHARE * (len(off) + len(fit)):
        return
    some = ", ".join(f"'{c.column.name}' in {c.column.unit}" for c in off[:3])
    raise UserError(
        name, f"names and units do not belong together: {some}",
        "each unit under the name of its own column is wanted",
        "A name or a unit is missing or one too many in the file's header: put it right there, or "
        "export the log again",
    )  # fmt: skip
