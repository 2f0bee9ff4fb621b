"""What the process tells a script that called it; documented in docs/reference/exit-codes.md."""

from witnessmark.model.drift import Moved
from witnessmark.model.finding import Answer
from witnessmark.model.pressure_band import Shown

BAD_INPUT = 2
OF_ANSWER = {
    Answer.KEPT: 0,
    Answer.BROKEN: 3,
    Answer.TOO_LITTLE: 4,
    Answer.NOT_SHOWN: 5,
}
OF_READING = {
    Shown.RIGHT: 0,
    Shown.LOW: 3,
    Shown.HIGH: 3,
    Shown.FAR_TOO_LOW: 3,
    Shown.FAR_TOO_HIGH: 3,
    Shown.CANNOT_TELL: 5,
}
OF_DRIFT = {
    Moved.SAME: 0,
    Moved.CHANGED: 3,
    Moved.CANNOT_TELL: 5,
}
