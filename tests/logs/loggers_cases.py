"""All the logs of `cases`, in one list."""

from tests.logs.cases import engine, languages, phone, shapes, strange, vehicles

CASES = [
    *engine.CASES,
    *phone.CASES,
    *languages.CASES,
    *vehicles.CASES,
    *shapes.CASES,
    *strange.CASES,
]
