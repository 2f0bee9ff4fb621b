"""What the process tells a script that called it; documented in docs/reference/exit-codes.md."""

from witnessmark.model.finding import Answer

BAD_INPUT = 2
OF_ANSWER = {
    Answer.KEPT: 0,
    Answer.BROKEN: 3,
    Answer.TOO_LITTLE: 4,
    Answer.NOT_SHOWN: 5,
}
