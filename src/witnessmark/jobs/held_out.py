"""The share of a log that is kept back from a fit, as people type it."""

from witnessmark.errors import UserError
from witnessmark.units import Kind, parse


def read_held_out(text: str | None, where: str) -> float:
    """The share, 0 if nothing was typed. [-]

    `where`: what the face calls it. Raises UserError for a share nobody can keep back.
    """
    if text is None or not text.strip():
        return 0.0
    share = parse(text, Kind.FRACTION, where).value
    if not 0 < share < 1:
        raise UserError(
            where, f"'{text.strip()}'", "a share over 0 % and under 100 % is wanted",
            "Keep back half: 50%",
        )  # fmt: skip
    return share
